"""What a layer builds from the printed words alone is the layout, in rooms of every kind: 30 in the suite, 200 and more
in the slow run, and fewer of each further pattern."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace

import numpy as np
import shapely
from hypothesis import strategies as st
from pypdfium2 import PdfDocument
from shapely import Polygon

from preview.errors import SceneError
from preview.paper.card.card import layer_card
from preview.paper.exports.layout_json import layout_json
from preview.paper.words.layout_text import layout_text
from preview.paper.words.setting_out import set_out
from preview.steps import lay_jobs
from tests.laying import lay_by_words
from tests.reading import Reading, card_reading, opened, strip_by_words
from tests.strategies import box, checked, jobs, make_job, obstacle

ALIKE = 0.0015
"""A whole board lies where the layout has it to this, metres: what two tapes, read to half a mark, leave of boards no
further off than the line is long."""

SAWN = 0.003
"""Cut edges lie within this of the lines that the layout cuts to, metres."""


def misfit(job):
    """Return how far a layer's whole boards and cut edges are from the layout's, metres; None for no floor at all."""
    try:
        (floor,) = lay_jobs([job])
    except SceneError:
        return None
    said = Reading.of(layout_text(floor))
    obstacles = {each.name: each.polygon for each in floor.room.obstacles}
    built = lay_by_words(said, floor.room.corners, obstacles)
    assert same_strip(floor, strip_by_words(said, floor.room.corners, obstacles))
    return apart(floor, built)


def apart(floor, built):
    """Return how far what was built is from the floor as laid, metres: whole boards, as the line's marks are (see
    `_reach`), and edges; and how many boards."""
    document = json.loads(layout_json(floor))
    drawn = [each for each in document["pieces"] if each["role"] == "board"]
    gap = document["board"]["gap"]
    whole = [each for each in drawn if each["whole"]]
    middles = built.boards.mean(axis=1)
    if built.rows:
        off = max((_off_rows(each, built, gap) for each in drawn), default=0.0)
        off = max([off, *(_off_lattice(built, start, way) for start, way in built.others)])
        return off / _reach(floor, built), _edges_apart(document, drawn, built), len(drawn)
    boards = 0.0
    for each in whole:
        ring = np.array(each["polygon"][0])
        number = int(np.argmin(np.hypot(*(middles - ring.mean(axis=0)).T)))
        inner = np.array(Polygon(ring).buffer(-gap / 2, join_style="mitre").exterior.coords)[:-1] if gap else ring
        apart = np.hypot(*(inner[:, None] - built.boards[number][None]).transpose(2, 0, 1))
        boards = max(boards, float(apart.min(axis=1).max()))
    boards = max([boards, *(_off_lattice(built, start, way) for start, way in built.others)])
    return boards / _reach(floor, built), _edges_apart(document, drawn, built), len(whole)


def _off_rows(each, built, gap):
    """Return how far a board lies from the edges of the row that it is in, metres; one ripped is nearer to one edge."""
    pitch = built.repeat[1]
    right = np.array([built.along[1], -built.along[0]])
    aside = (np.array(each["polygon"][0]) - built.start) @ right
    row = np.floor((aside.min() + aside.max()) / 2 / pitch)
    low, high = row * pitch - gap / 2, row * pitch + pitch - gap / 2  # outlines reach to the middle of joints
    if each["whole"]:
        return float(max(abs(aside.min() - low), abs(aside.max() - high)))
    return float(max(low - aside.min(), aside.max() - high, 0.0))


def _reach(floor, built):
    """Return how many times as far as its marks the farthest board is turned with the line between them: its distance
    from S over the line's length, 1 at least. In a wing a metre long no line is longer."""
    away = np.hypot(*(shapely.get_coordinates(built.field) - built.start).T).max()
    return max(1.0, float(away) / set_out(floor.room, floor.layout).length)


def same_strip(floor, laid):
    """Return whether the feature strip that was laid is the layout's: neither has what the other lacks that is wider
    than `SAWN`."""
    pieces = json.loads(layout_json(floor))["pieces"]
    strip = [Polygon(each["polygon"][0], each["polygon"][1:]) for each in pieces if each["role"] == "strip"]
    frames = [Polygon(each["polygon"][0]) for each in pieces if each["role"] == "grille"]
    laid = shapely.difference(laid, shapely.union_all(frames))
    differing = shapely.symmetric_difference(shapely.union_all(strip), laid)
    return shapely.is_empty(shapely.buffer(differing, -SAWN / 2))


def _off_lattice(built, start, way):
    """Return how far a further line's start lies from a corner of the boards laid from S, metres."""
    left = np.array([-built.along[1], built.along[0]])
    forward, aside = float((start - built.start) @ built.along), float((start - built.start) @ left)
    pair, two = built.repeat
    off = [each - round(each / step) * step for each, step in ((forward, pair), (aside, two))]
    assert way @ built.along > 1 - 1e-5
    return float(np.hypot(*off))


def _edges_apart(document, drawn, built):
    """Return how far cut edges, and the line that is sawn to, stray from the layout's, either way, metres.

    A piece's corner on the edge of the field is held against the line that the layer saws to; any other, which is a
    board's own, against the outlines of the boards that the layer laid.
    """
    rings = document["field"]["polygon"]
    field = shapely.build_area(shapely.multilinestrings([shapely.linearrings(each) for each in rings]))
    frames = [Polygon(each["polygon"][0]) for each in document["pieces"] if each["role"] == "grille"]
    field = shapely.difference(field, shapely.union_all(frames))
    field, sawn = opened(field), shapely.boundary(built.field)
    cut = [Polygon(each["polygon"][0], each["polygon"][1:]) for each in drawn if not each["whole"]]
    corners = shapely.points(shapely.get_coordinates(cut))
    corners = corners[shapely.distance(corners, field) < 1e-6]
    on_edge = shapely.distance(corners, shapely.boundary(field)) < 1e-6
    outlines = shapely.STRtree(shapely.boundary(shapely.polygons(built.boards)))
    _, inside = outlines.query_nearest(corners[~on_edge], return_distance=True, all_matches=False)
    return max(
        float(shapely.distance(corners[on_edge], sawn).max(initial=0.0)),
        float(inside.max(initial=0.0)) - built.size[2],  # a piece's outline reaches to the middle of its joints
        float(shapely.distance(shapely.points(shapely.get_coordinates(built.field)), shapely.boundary(field)).max()),
    )


def in_pattern(job, name, **keys):
    return replace(job, floor=replace(job.floor, pattern=name, **keys))


def holds(found):
    if found is not None:
        boards, edges, _ = found
        assert boards < ALIKE
        assert edges < SAWN


@checked(10, 200, jobs())
def test_a_layer_who_has_only_the_words_builds_the_layout(job):
    holds(misfit(job))


@checked(5, 40, jobs(), st.sampled_from([2, 3]))
def test_a_layer_who_has_only_the_words_builds_a_double_herringbone(job, strips):
    holds(misfit(in_pattern(job, "double herringbone", own=(("strips", strips),))))


@checked(5, 40, jobs(), st.integers(30, 60))
def test_a_layer_who_has_only_the_words_builds_a_chevron(job, angle):
    holds(misfit(in_pattern(job, "chevron", own=(("angle", math.radians(angle)),))))


@checked(5, 40, jobs(), st.sampled_from([0.1, 0.15, 0.2]), st.sampled_from([None, 0.9]))
def test_a_layer_who_has_only_the_words_lays_straight_rows(job, stagger, length):
    straight = in_pattern(job, "straight", own=(("stagger", stagger),), board_length=length)
    holds(misfit(straight))


@checked(
    3,
    40,
    jobs(),
    st.sampled_from(
        [{}, {"pattern": "straight", "board_length": None}, {"pattern": "double herringbone"}, {"pattern": "chevron"}]
    ),
)
def test_a_layer_who_has_only_the_card_builds_the_layout(job, pattern):
    """The card's words are read back from its PDF by another library."""
    try:
        (floor,) = lay_jobs([replace(job, floor=replace(job.floor, **pattern))])
    except SceneError:
        return
    content = layer_card(floor)
    words = " ".join(re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in PdfDocument(content))
    obstacles = {each.name: each.polygon for each in floor.room.obstacles}
    said = card_reading(words)
    built = lay_by_words(said, floor.room.corners, obstacles)
    assert same_strip(floor, strip_by_words(said, floor.room.corners, obstacles))
    holds(apart(floor, built))


def test_a_field_in_two_parts_is_laid_from_two_lines_as_one():
    partition = obstacle([(2.4, 0.0), (2.6, 0.0), (2.6, 4.0), (2.4, 4.0)], "cabinet", "partition")
    job = make_job(corners=box(0, 0, 5.6, 4.0), obstacles=[partition], gap=0.001)
    (floor,) = lay_jobs([job])
    text = layout_text(floor)
    built = lay_by_words(Reading.of(text), floor.room.corners, {"partition": floor.room.obstacles[0].polygon})
    assert len(built.others) == 1
    boards, edges, _ = apart(floor, built)
    assert boards < ALIKE and edges < SAWN
