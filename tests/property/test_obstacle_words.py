"""Where an obstacle stands, read back: from the printed words and the room's corners alone its outline is drawn."""

import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from preview.paper.words.obstacle_text import obstacle_text
from preview.room.measured import build_room
from tests.reading import LENGTH, length
from tests.strategies import INCH, box, make_job, obstacle, rooms, turned

ROUNDING = 0.0012
"""Half of 1/16", the coarser of the two roundings, and a little for where two of them meet."""


def drawn(words, corners):
    """The outline that the words describe, in a room whose corners the reader sees."""
    count = len(corners)
    inside = 1 if Polygon(corners).exterior.is_ccw else -1

    def ends(wall, corner):
        """The corner that a distance along a wall is from, and the ways along the wall and into the room."""
        here, other = corners[wall], corners[(wall + 1) % count]
        way = (other - here) / np.hypot(*(other - here))
        into = inside * np.array([-way[1], way[0]])
        return (here, way, into) if corner == wall else (other, -way, into)

    def place(text):
        on = re.fullmatch(rf"on wall (\d+), ({LENGTH}) from corner (\d+)/(\d+)", text)
        off = re.fullmatch(rf"({LENGTH}) from wall (\d+), square to it, at ({LENGTH}) from corner (\d+)/(\d+)", text)
        assert on or off, text
        square, wall, along, corner = (0.0, on[1], on[2], on[4]) if on else (length(off[1]), off[2], off[3], off[5])
        here, way, into = ends(int(wall) - 1, int(corner) - 1)
        return here + length(along) * way + square * into

    along = re.search(
        rf"({LENGTH}) along the wall × ({LENGTH}) deep, (?:against|({LENGTH}) clear of) wall (\d+).*; "
        rf"it begins (?:in|({LENGTH}) from) corner \d+/(\d+)$",
        words,
    )
    if along:
        here, way, into = ends(int(along[4]) - 1, int(along[6]) - 1)
        clear = length(along[3]) if along[3] else 0.0
        offset = length(along[5]) if along[5] else 0.0
        first, last = offset * way, (offset + length(along[1])) * way
        near, far = clear * into, (clear + length(along[2])) * into
        return Polygon([here + first + near, here + last + near, here + last + far, here + first + far])
    return Polygon([place(each) for each in words.split("its corners ")[1].split("; ")])


@given(rooms(), st.sampled_from(["in", "mm"]))
@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
def test_obstacles_of_any_room_are_where_the_words_have_them(job, units):
    room = build_room(job)
    for each in room.obstacles:
        words = obstacle_text(room, each, units)
        found = drawn(words, room.corners)
        assert found.hausdorff_distance(each.polygon.convex_hull) < 2 * ROUNDING or "corners" in words, words
        assert found.exterior.hausdorff_distance(each.polygon.exterior) < 2 * ROUNDING, words


@pytest.mark.parametrize("angle", [0.0, 0.35, 1.2])
def test_an_island_that_no_wall_runs_along_is_told_by_its_corners(angle):
    room = [(0, 0), (5, 0), (5, 4), (0, 4)]
    skew = obstacle(turned([(2.6, -0.5), (3.6, -0.5), (3.6, 0.1), (2.6, 0.1)], 0.4), "island", "island")
    placed = build_room(make_job(corners=turned(room, angle), obstacles=[
        obstacle(turned(skew.corners, angle), "island", "island")]))  # fmt: skip
    words = obstacle_text(placed, placed.obstacles[0], "mm")
    assert words.startswith("its corners ")
    assert drawn(words, placed.corners).exterior.hausdorff_distance(placed.obstacles[0].polygon.exterior) < 0.001


def test_a_round_column_is_told_by_its_size_and_its_middle():
    ring = [(2 + 0.15 * np.cos(turn), 1 + 0.15 * np.sin(turn)) for turn in np.arange(24) * np.pi / 12]
    room = build_room(make_job(corners=box(0, 0, 5, 4), obstacles=[obstacle(ring)]))
    words = obstacle_text(room, room.obstacles[0], "mm")
    assert words == (
        "300 mm × 300 mm over all; its middle 1000 mm from wall 1, square to it, at 2000 mm from corner 4/1"
    )


def test_a_hearth_against_a_wall_is_told_by_that_wall():
    hearth = obstacle(box(60 * INCH, 124 * INCH, 48 * INCH, 20 * INCH), "hearth", "hearth")
    room = build_room(make_job(corners=box(0, 0, 180 * INCH, 144 * INCH), obstacles=[hearth]))
    words = obstacle_text(room, room.obstacles[0], "in")
    assert words == "4' along the wall × 20\" deep, against wall 3; it begins 5' from corner 3/4"
