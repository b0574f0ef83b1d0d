"""What a layer tapes must put the lines where the layout has them, before any of them exists."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from paper_scenes import ASKEW, PLAIN, laid
from shapely import Point, Polygon

from preview.floor.patterns.herringbone.legs import Legs
from preview.paper.words.border_line_text import border_ring, border_rows, diagonals, edge_text
from preview.paper.words.setting_out import directions, set_out, vent_turn, wall_lengths
from preview.paper.words.setting_out_text import mark_text, measured_from
from preview.room.measured import build_room
from preview.room.obstacles import clear_floor
from preview.room.places import corner_name, offset_from_wall, side_name, side_towards, wall_name
from preview.room.vents import vent_polygon
from preview.scene.job import Vent
from preview.steps import lay_jobs
from tests.strategies import box, checked, make_job, obstacle, opening, rooms, turned

INCH = 0.0254


def lattice_of(layout):
    """The lattice that a layout was laid by, from the line and the board that it prints."""
    gap = layout.board.gap
    across = np.array([np.sin(layout.run), -np.cos(layout.run)])
    origin = layout.start_point + gap / np.sqrt(2) * across
    return Legs(tuple(origin), layout.run, layout.board.width + gap, layout.board.length + gap)


@pytest.mark.parametrize("scene", [PLAIN, ASKEW])
def test_taping_back_finds_the_line_and_the_start(scene):
    for floor in laid(scene):
        lines = set_out(floor.room, floor.layout)
        along, left = directions(floor.layout)
        for mark in (lines.near, lines.far):
            assert abs((mark.point - floor.layout.chalk_line[0]) @ left) < 1e-9
            for each in mark.tapes:
                corner = floor.room.corners[each.corner]
                assert each.length == pytest.approx(np.hypot(*(mark.point - corner)), abs=1e-9)
        assert np.allclose(lines.near.point + lines.from_near * along, floor.layout.start_point, atol=1e-9)
        assert np.allclose(lines.far.point - lines.from_far * along, floor.layout.start_point, atol=1e-9)


def test_in_a_rectangle_both_ends_lie_on_walls_as_far_from_their_corners():
    floor = laid(PLAIN)[0]
    lines = set_out(floor.room, floor.layout)
    assert (lines.near.wall, lines.far.wall) == (1, 3)
    for mark in (lines.near, lines.far):
        assert sum(each.length for each in mark.tapes) == pytest.approx(180 * INCH, abs=1e-12)
        # The centre of the room is 90 in from either wall, and the chalk line lies its offset to the right of it.
        assert mark.tapes[0].length == pytest.approx(90 * INCH - floor.layout.chalk_offset, abs=1e-9)


def test_an_end_that_something_stands_before_is_where_two_tapes_cross():
    hearth = obstacle([(1.8, 3.2), (2.8, 3.2), (2.8, 4.0), (1.8, 4.0)], "hearth", "hearth")
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.6, 4.0), obstacles=[hearth])])
    far = set_out(floor.room, floor.layout).far
    assert far.wall is None and {each.corner for each in far.tapes} == {0, 1}  # the others are behind the breast
    assert mark_text(floor.room, far, 3.0, "m").endswith("; check 3.000 m from end to end of the line")
    slab = replace(hearth, height=0.02)
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.6, 4.0), obstacles=[slab])])
    assert len({each.corner for each in set_out(floor.room, floor.layout).far.tapes}) == 3  # a tape passes over a slab
    assert far.point[1] == pytest.approx(3.2 - 4 * INCH, abs=1e-9)  # the border line of the hearth


def test_a_tape_along_a_wall_starts_from_the_corner_that_nothing_stands_before():
    cabinet = obstacle([(0.2, 3.4), (1.4, 3.4), (1.4, 4.0), (0.2, 4.0)], "cabinet", "cabinet")
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.6, 4.0), obstacles=[cabinet])])
    far = set_out(floor.room, floor.layout).far
    assert far.wall == 3 and [corner_name(floor.room, each.corner) for each in far.tapes] == ["corner 2/3"]


def test_an_island_on_the_line_gives_a_parallel_one_an_even_number_of_courses_away():
    island = obstacle([(2.0, 1.6), (3.0, 1.6), (3.0, 2.6), (2.0, 2.6)], "island", "island")
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 5.0, 4.2), obstacles=[island])])
    line = floor.layout.lines[0]
    assert line.courses % 2 == 0 and line.courses != 0
    crossed = shapely.LineString(line.ends).intersection(floor.room.obstacles[0].polygon)
    assert crossed.is_empty
    courses = floor.layout.chalk_offset - floor.layout.board.width / (2 * np.sqrt(2))
    assert courses / floor.layout.course_width == pytest.approx(line.courses, abs=1e-6)


@pytest.mark.parametrize(
    "corners",
    [
        box(0, 0, 160 * INCH, 200 * INCH),
        turned(box(0, 0, 4.8, 3.6), 0.5),
        [(0, 0), (5, 0), (5, 4), (3.6, 4), (3.6, 1.8), (1.4, 1.8), (1.4, 4), (0, 4)],
        [(0, 0), (5, 0), (4, 3.6), (1, 3.6)],
        [(2 * np.cos(a), 2 * np.sin(a)) for a in np.radians(np.arange(0, 360, 60))],
        [(0, 0), (1.6, 0), (1.6, 0.5), (3.0, 0.5), (3.0, 0), (4.6, 0), (4.6, 4.2), (0, 4.2)],
        [(0, 0), (4.9, 0.2), (5.2, 3.1), (2.8, 4.6), (-0.3, 3.3)],
    ],
    ids=["rectangle", "turned", "U", "trapezoid", "hexagon", "chimney breast", "five-sided"],
)
@pytest.mark.parametrize("run", [0, 30, 45, 90, 200])
@pytest.mark.parametrize("start", ["full", "both", 0.1])
def test_the_start_lies_in_the_field_with_room_for_the_first_pair(corners, run, start):
    (floor,) = lay_jobs([make_job(corners=corners, board_width=0.07, board_length=0.42, run=np.radians(run),
                                  start=start, border=0.0)])  # fmt: skip
    layout = floor.layout
    assert layout.field.buffer(1e-9).covers(Point(layout.start_point))
    assert layout.lines[0].whole and layout.lines[0].straightedge
    clear = clear_floor(floor.room).buffer(1e-5, join_style="mitre")
    lattice = lattice_of(layout)
    for helper in lattice.aids(layout.start_point):
        assert clear.covers(helper)
    pieces = layout.pieces
    whole = [p for p, w in zip(pieces.polygons, pieces.whole, strict=True) if w]
    along, left = directions(layout)
    for way in (along + left, along - left):
        inside = Point(layout.start_point + 0.01 * along + 0.015 * way)
        assert any(each.covers(inside) for each in whole)


@checked(15, 40, rooms())
def test_the_start_of_every_line_lies_in_the_field(job):
    (floor,) = lay_jobs([job])
    for line in floor.layout.lines:
        assert floor.layout.field.buffer(1e-6).covers(Point(line.start))
        found = set_out(floor.room, floor.layout, line)
        assert found.from_near >= -1e-9 and found.from_far >= -1e-9 and found.inside >= -1e-9


def test_a_field_in_two_parts_has_a_line_for_each():
    wall = obstacle([(2.4, 0.0), (2.6, 0.0), (2.6, 4.0), (2.4, 4.0)], "cabinet", "partition")
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 5.6, 4.0), obstacles=[wall])])
    first, second = floor.layout.lines
    assert first.start[0] > 2.6 and second.start[0] < 2.4  # the larger part first
    across = abs(float(second.start[0] - first.start[0]))
    assert across / floor.layout.course_width == pytest.approx(abs(second.courses - first.courses), abs=1e-6)


def test_a_grille_is_found_square_from_a_wall_that_stands_opposite():
    room = build_room(make_job(corners=[(0, 0), (5, 0), (5, 3), (3, 5), (0, 5)],
                               vents=[Vent("A", (3.7, 3.9), (0.25, 0.1), np.radians(135))]))  # fmt: skip
    found = offset_from_wall(room, room.vents[0].center)
    assert found.wall == 3 and found.square == pytest.approx(0.4 / np.sqrt(2))
    assert vent_turn(room, room.vents[0], 3) == 0.0
    assert vent_turn(room, room.vents[0], 1) == -45.0
    assert vent_polygon(Vent("A", (3.7, 3.9), (0.25, 0.1), np.radians(135))).equals(room.vents[0].polygon)


def test_the_border_line_is_told_with_its_sides_and_diagonals():
    corners = [(0, 0), (4.9, 0.2), (5.2, 3.1), (2.8, 4.6), (-0.3, 3.3)]
    room = build_room(make_job(corners=corners))
    ring = border_ring(room)
    assert Polygon(ring).equals_exact(room.field.normalize(), 1e-9) or Polygon(ring).symmetric_difference(
        room.field
    ).area == pytest.approx(0, abs=1e-9)
    assert len(diagonals(ring)) == 2  # n - 3 that don't cross fix the shape
    assert diagonals(np.array(box(0, 0, 3, 2), float)) == [(0, 2), (1, 3)]


def test_an_obstacle_has_a_border_line_of_its_own():
    hearth = obstacle(box(1.8, 3.2, 1.0, 0.8), "hearth", "hearth")
    island = obstacle(box(1.0, 1.0, 0.5, 0.5), "island", "island", baseboard=1 * INCH)
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.6, 4.0), obstacles=[hearth, island])])
    words = edge_text(floor)
    assert words == '4 3/4" from the walls; 4" from the hearth; 4 3/4" from the island'


def test_walls_are_named_by_what_stands_in_them():
    room = laid(PLAIN)[0].room
    assert [wall_name(room, 1), wall_name(room, 2)] == ["wall 1 (with the archway)", "wall 2"]
    assert np.allclose(wall_lengths(room), np.array([180, 144, 180, 144]) * INCH)


def test_sides_are_named_by_their_walls():
    room = laid(PLAIN)[0].room
    assert side_towards(room, np.array([1.0, 0.1])) == "the east wall (wall 2)"
    assert side_name(room, 3) == "the north wall (wall 3)"
    ell = build_room(make_job(corners=[(0, 0), (5, 0), (5, 2), (3, 2), (3, 4), (0, 4)]))
    assert side_towards(ell, np.array([1.0, 0.0])) == "wall 2"  # two walls face east: the longer, by its number
    assert side_towards(laid(ASKEW)[0].room, np.array([0.0, 1.0])) == "wall 3"  # north is not up


def test_things_in_one_wall_are_told_by_count():
    wall = [opening(1, 0.2 + n, 0.6, kind, f"{kind} {n}") for n, kind in enumerate(["door", "window", "window"])]
    room = build_room(make_job(corners=box(0, 0, 5, 4), openings=[*wall, opening(3, 1, 1, "window", "bay"),
        opening(4, 0.5, 1, "door", "hall"), opening(4, 2.5, 1, "cased opening", "arch")]))  # fmt: skip
    assert wall_name(room, 1) == "wall 1 (with the door 0 and 2 windows)"
    assert wall_name(room, 3) == "wall 3 (with the bay)"
    assert wall_name(room, 4) == "wall 4 (with 2 openings)"


def test_no_side_or_diagonal_of_the_border_line_ends_under_an_obstacle():
    """A stage in the corner of wall 2 and wall 3 hides the border line's corner there."""
    stage = obstacle(box(3.0, 2.0, 1.0, 1.0), "cabinet", "stage")
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.0, 3.0), obstacles=[stage])])
    rows = dict(border_rows(floor.room, floor.layout, "mm"))
    assert re.findall(r"wall (\d)", rows["  its sides"]) == ["1", "4"]
    assert "2/3" not in rows["  its diagonals"] and "1/2 to 3/4" in rows["  its diagonals"]


def test_where_a_baseboard_stays_the_border_leaves_the_gap_in_front_of_it():
    """Baseboards of 1 in, wood 3/4 in from the plaster: an inch off both keeps 3/4 in before the baseboard."""
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 4.0, 3.0))])
    words = measured_from(floor.room, floor.layout, "in")
    assert words.endswith(
        'take 1" off what is measured from it, and rip as much off the border there, so that the expansion gap is left '
        "in front of it"
    )
