"""What is said of each stretch of the field's edge, against every piece looked at by itself, in rooms of every kind."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import strategies as st

from preview.errors import SceneError
from preview.floor.lay import lay_floor, open_field
from preview.floor.layout import Role
from preview.paper.words.ends_text import ends_text
from preview.room.measured import build_room
from preview.room.offset import SPECK
from preview.units import parse_length
from tests.strategies import INCH, box, checked, obstacle, rooms
from tests.unit.test_lay import lay


def cut_at(layout, line):
    """Every cut piece, by number, that shares part of its outline with a line."""
    near = line.buffer(1e-6, cap_style="flat")
    cut = np.flatnonzero((layout.pieces.role == Role.BOARD) & ~layout.pieces.whole)
    return {n for n in cut.tolist() if layout.pieces.polygons[n].boundary.intersection(near).length > 2e-5}


def reach(layout, number):
    """Length along the board and width across it, of wood."""
    piece, grain, gap = layout.pieces.polygons[number], layout.pieces.grain[number], layout.board.gap
    g, n = np.array([np.cos(grain), np.sin(grain)]), np.array([-np.sin(grain), np.cos(grain)])
    length, width = layout.pieces.size[number]
    places = [
        (gap / 2, gap / 2),
        (length - gap / 2, gap / 2),
        (length - gap / 2, width - gap / 2),
        (gap / 2, width - gap / 2),
    ]
    board = shapely.Polygon([layout.pieces.origin[number] + s * g + t * n for s, t in places])
    # Without joints the piece is its wood; an overlay of outlines that coincide may lose all of it.
    wood = piece.intersection(board) if gap else piece
    points = shapely.get_coordinates(wood)
    if wood.area <= SPECK:
        return None
    return float(np.ptp(points @ g)), float(np.ptp(points @ n)), corners_of(points[:-1])


def corners_of(ring):
    """Corners of a convex outline (k, 2) that are a micrometre or more from the line between their neighbours."""
    ring = [tuple(point) for point in ring]
    number = 0
    while number < len(ring) and len(ring) > 3:
        before, after = ring[number - 1], ring[(number + 1) % len(ring)]
        if shapely.LineString([before, after]).distance(shapely.Point(ring[number])) < 1e-6:
            del ring[number]
            number = 0
        else:
            number += 1
    return len(ring)


def check(room, layout):
    edges = []
    for each in layout.stretches:
        lines = [shapely.LineString(ends) for ends in each.ends]
        assert each.length == pytest.approx(sum(line.length for line in lines))
        edges.append(set().union(*(cut_at(layout, line) for line in lines)))
    total = sum(each.length for each in layout.stretches)
    assert total == pytest.approx(open_field(room).length, abs=1e-6)
    for number, (each, pieces) in enumerate(zip(layout.stretches, edges, strict=True)):
        others = set().union(*(other for place, other in enumerate(edges) if place != number))
        alone = [size for piece in pieces - others if (size := reach(layout, piece))]
        corner = [size for piece in pieces & others if (size := reach(layout, piece))]
        triangles = [(length, width) for length, width, corners in alone if corners == 3]
        boards = [(length, width) for length, width, corners in alone if corners != 3]
        for told, found in ((each.triangles, triangles), (each.boards, boards), (each.corners, corner)):
            assert (told is None) == (not found)
            if told:
                lengths, widths = [one[0] for one in found], [one[1] for one in found]
                assert told.count == len(found)
                assert (told.shortest, told.longest) == pytest.approx((min(lengths), max(lengths)), abs=1e-6)
                assert (told.narrowest, told.widest) == pytest.approx((min(widths), max(widths)), abs=1e-6)


@checked(12, 40, rooms(2.2, 4.5), st.sampled_from([0.0, 0.002]))
def test_stretches_are_what_the_pieces_are(job, gap):
    job = replace(job, floor=replace(job.floor, gap=gap))
    room = build_room(job)
    try:
        layout = lay_floor(room, job)
    except SceneError:
        return
    check(room, layout)
    read_back(layout)


def read_back(layout):
    """The ranges that are printed hold every piece that only one wall cuts: lengths at sides, legs at ends."""
    printed = {}
    for label, words in ends_text(layout):
        place = label or place  # noqa: F821  a second row of one thing
        printed.setdefault(place, []).append(words)
    for each in layout.stretches:
        if each.kind == "grille":
            continue
        name = each.name.removeprefix("the ")
        words = " ".join(printed[name[:1].upper() + name[1:]])
        sizes = [
            parse_length(text, "in") for text in re.findall(r"(?:\d+' ?)?(?:\d+(?: \d+/\d+)?|\d+/\d+)\"|\d+'", words)
        ]
        if each.triangles and each.meets == "ends" and "full triangles" not in words:
            low = 0.0 if "up to" in words or "next to nothing" in words else min(sizes)
            assert low - 0.001 <= each.triangles.shortest <= each.triangles.longest <= max(sizes) + 0.001
        if each.boards and not each.triangles:
            low = 0.0 if "up to" in words or "next to nothing" in words else min(sizes)
            assert low - 0.001 <= each.boards.shortest, words


def test_a_hearth_parts_one_wall_but_not_its_stretch():
    hearth = obstacle(box(55 * INCH, 186 * INCH, 66 * INCH, 20 * INCH), "hearth", "hearth")
    room, layout = lay(obstacles=[hearth])
    (far,) = [each for each in layout.stretches if each.wall == 3]
    assert len(far.ends) == 2
    assert [each.facing for each in layout.stretches if each.name == "hearth"].count("far") == 1
    check(room, layout)
