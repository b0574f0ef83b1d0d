"""Every measure of a layout against one worked out the slow and plain way, piece by piece."""

import itertools
import math
from math import sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from preview.floor.derived_measures import MEANINGS, derived_measures
from preview.floor.joints import border_joints, spline_length
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.floor.measures import measure, to_walls
from preview.floor.packing import boxes
from preview.floor.patterns.herringbone.legs import Legs
from preview.floor.sight_lines import middle_offsets, sight_offsets
from preview.floor.symmetry import symmetry
from preview.paper.exports.layout_json import layout_json
from preview.room.measured import build_room
from preview.scene.job import Center
from preview.steps import lay_jobs
from tests.strategies import INCH, box, laid_or_refused, make_job, obstacle, opening, rooms

ROOM = box(0, 0, 130 * INCH, 110 * INCH)
ARCH = opening(1, 30 * INCH, 50 * INCH, "cased opening", "archway")
ELL = [(0, 0), (3.2, 0), (3.2, 1.6), (2.0, 1.6), (2.0, 2.9), (0, 2.9)]


def lay(**kwargs):
    job = make_job(**{"corners": ROOM, "openings": [ARCH], **kwargs})
    room = build_room(job)
    return room, lay_floor(room, job)


CASES = {
    "plain": {},
    "on the archway": {"center": Center("opening", opening="archway")},
    "odd": {"courses": "odd"},
    "joints": {"gap": 0.002},
    "L": {"corners": ELL, "openings": []},
    "no border": {"border": 0.0},
    "hearth": {"obstacles": [obstacle(box(40 * INCH, 95 * INCH, 50 * INCH, 15 * INCH), "hearth", "hearth")]},
}


@pytest.fixture(params=CASES.values(), ids=CASES.keys(), scope="module")
def floor(request):
    return lay(**request.param)


def test_every_measure_has_a_meaning_and_a_unit(floor):
    room, layout = floor
    told = layout.measures | derived_measures(room, layout)
    assert set(told) == set(MEANINGS)
    assert {unit for unit, _ in MEANINGS.values()} == {"m", "m2", "1", "count"}
    assert all(math.isfinite(value) for value in told.values())
    for name in layout.measures:
        assert name in measure.__doc__ or name.startswith("chalk_to_")


def test_counts_and_areas(floor):
    """Whole and cut boards, blanks and areas, one piece after the other."""
    room, layout = floor
    pitch, length = layout.board.width + layout.board.gap, layout.board.length + layout.board.gap
    whole = cut = 0
    places, area, small = set(), 0.0, 0
    for number, polygon in enumerate(layout.pieces.polygons):
        if layout.pieces.role[number] != Role.BOARD:
            continue
        area += polygon.area
        places.add(tuple(layout.pieces.key[number]))
        if abs(polygon.area - pitch * length) < 1e-9:
            whole += 1
        else:
            cut += 1
            small += polygon.buffer(-0.00635 / 2).is_empty
    told = layout.measures | derived_measures(room, layout)
    assert (told["whole_boards"], told["cut_boards"], told["blanks"]) == (whole, cut, len(places))
    assert told["field_area"] == pytest.approx(area)
    assert told["small_pieces"] == small
    assert told["waste"] == pytest.approx(len(places) * pitch * length / area - 1)
    assert told["waste_reused"] == pytest.approx(told["blanks_reused"] * pitch * length / area - 1)


def layout_axes(layout):
    along = np.array([np.cos(layout.run), np.sin(layout.run)])
    return along, np.array([along[1], -along[0]])


def middles_under(lattice, points):
    """The middle of the board under each point, (n, 2)."""
    boards = lattice.boards(shapely.box(*(points.min(axis=0) - 0.1), *(points.max(axis=0) + 0.1))).polygons
    found = shapely.STRtree(boards).query_nearest(shapely.points(points), all_matches=False)[1]
    return shapely.get_coordinates(shapely.centroid(boards[found]))


def test_symmetry_by_points(floor):
    """Points strewn over the field: is the mirror image in the field, under the mirrored board slid by W / sqrt2?"""
    _, layout = floor
    along, right = layout_axes(layout)
    lattice = Legs(
        tuple(layout.start_point + layout.board.gap / sqrt(2) * right),  # the line runs through corners of wood
        layout.run,
        layout.board.width + layout.board.gap,
        layout.board.length + layout.board.gap,
    )
    rng = np.random.default_rng(3)
    low, high = np.array(layout.field.bounds[:2]), np.array(layout.field.bounds[2:])
    points = low + rng.random((4000, 2)) * (high - low)
    points = points[shapely.contains_xy(layout.field, points)]
    aside = (points - layout.center_line[0]) @ right
    mirrored = points - 2 * aside[:, None] * right
    inside = shapely.contains_xy(layout.field, mirrored)
    boards = middles_under(lattice, points)
    images = boards - 2 * ((boards - layout.center_line[0]) @ right)[:, None] * right
    slid = lattice.width / sqrt(2) * along
    under = middles_under(lattice, mirrored + slid)
    alike = inside & (np.hypot(*(under - images - slid).T) < 1e-6)
    assert symmetry(layout) == pytest.approx(alike.mean(), abs=0.03)


def test_symmetry_of_known_rooms():
    assert symmetry(lay()[1]) == pytest.approx(1)
    assert symmetry(lay(courses="odd")[1]) == 0
    _, layout = lay(center=Center("opening", opening="archway"), courses="even")
    field = 130 - 2 * 4.75
    assert symmetry(layout) == pytest.approx(1 - 20 / field)


def test_off_the_sight_line_in_a_room_out_of_square():
    """The archway's wall is turned by atan(2 / 130): its sight line drifts off a centre line that runs true."""
    askew = [(0, 0), (130 * INCH, 2 * INCH), (130 * INCH, 110 * INCH), (0, 110 * INCH)]
    room, layout = lay(corners=askew, center=Center("point", point=(55 * INCH, 0.0)))
    (seen,) = sight_offsets(room, layout)
    turn = math.atan2(2, 130)
    middle = 55 * INCH * math.cos(turn)
    assert seen.at_opening == pytest.approx(55 * INCH - middle, abs=1e-9)
    rise = 110 * INCH - 55 * INCH * math.sin(turn)
    assert seen.reach == pytest.approx(rise / math.cos(turn), abs=1e-5)
    assert seen.at_far_wall - seen.at_opening == pytest.approx(rise * math.tan(turn), abs=1e-5)


def test_off_the_sight_line_in_a_square_room():
    room, layout = lay(openings=[ARCH, opening(2, 20 * INCH, 30 * INCH, "door", "side door")])
    (seen,) = sight_offsets(room, layout)
    assert (seen.opening, seen.passable) == ("archway", True)
    assert seen.at_opening == pytest.approx(10 * INCH) and seen.at_far_wall == pytest.approx(10 * INCH)
    assert middle_offsets(room, layout) == pytest.approx((0, 0), abs=1e-9)


def test_sides_are_those_of_who_looks_in():
    """A door in the far wall, 10 in left of the middle on the plan: who looks in has the middle on the left."""
    far = opening(3, 60 * INCH, 30 * INCH, "door", "far door")
    room, layout = lay(openings=[far])
    (seen,) = sight_offsets(room, layout)
    assert seen.at_opening == pytest.approx(-10 * INCH) and seen.at_far_wall == pytest.approx(-10 * INCH)


def test_off_the_middle_of_a_room_that_widens():
    wide = [(0, 0), (100 * INCH, 0), (140 * INCH, 110 * INCH), (0, 110 * INCH)]
    room, layout = lay(corners=wide, openings=[], center=Center("point", point=(50 * INCH, 0.0)))
    near, far = middle_offsets(room, layout)
    start, end = layout.center_line[:, 1] / INCH + np.array([4, -4])
    assert near == pytest.approx((50 - (100 + 40 * start / 110) / 2) * INCH)
    assert far == pytest.approx((50 - (100 + 40 * end / 110) / 2) * INCH)


def test_border_joints_by_pairs(floor):
    _, layout = floor
    border = np.flatnonzero(layout.pieces.role == Role.BORDER)
    mitres = joints = 0
    for one, other in itertools.combinations(border, 2):
        a, b = layout.pieces.polygons[one], layout.pieces.polygons[other]
        if a.buffer(1e-7).intersection(b.buffer(1e-7)).area > 1e-8:
            if layout.pieces.key[one, 0] == layout.pieces.key[other, 0]:
                joints += 1
            else:
                mitres += 1
    told = border_joints(layout)
    assert (told.pieces, told.mitres, told.joints) == (len(border), mitres, joints)
    assert told.length == pytest.approx(layout.measures["border_length"])


def test_four_mitres_and_the_length_round_a_room():
    _, layout = lay()
    told = border_joints(layout)
    side, deep = 130 - 1.5, 110 - 1.5
    assert told.mitres == 4
    assert told.joints == 2 * (math.ceil(side / 84) - 1) + 2 * (math.ceil(deep / 84) - 1)
    assert told.length == pytest.approx(2 * (side + deep) * INCH)


def test_spline_by_pairs(floor):
    """What every two boards share of their outlines, and the border line."""
    _, layout = floor
    boards = layout.pieces.polygons[layout.pieces.role == Role.BOARD]
    shared = 0.0
    for number, board in enumerate(boards):
        for other in boards[number + 1 :]:
            if board.distance(other) < 1e-9:
                shared += board.boundary.intersection(other.buffer(1e-8)).length
    line = layout.field.length if layout.border_width else 0.0
    assert spline_length(layout) == pytest.approx(shared + line, rel=1e-4)


def test_boxes():
    assert boxes(100, 0.1, 0.5, 2.0) == 3
    assert boxes(40, 0.1, 0.5, 2.0) == 1
    assert boxes(41, 0.1, 0.5, 2.0) == 2


@settings(max_examples=15, deadline=None)
@given(rooms(2.2, 4.0))
def test_any_room_has_all_measures(job):
    if (found := laid_or_refused(job)) is None:
        return
    room, layout = found
    told = derived_measures(room, layout)
    assert 0 <= told["symmetry"] <= 1 + 1e-9
    assert told["blanks_least"] <= told["blanks_reused"] <= told["blanks_tongued"] <= layout.measures["blanks"]
    assert told["spline_length"] > 0


def test_no_distance_is_told_from_a_point_outside_the_room():
    """In an L the end of a line beyond the notch sees no wall of the room that a tape would be held to; an end in the
    room is 1 m and 3 m from the walls beside it."""
    ell = [(0, 0), (4, 0), (4, 2), (2, 2), (2, 5), (0, 5)]
    room = build_room(make_job(corners=ell))
    near, far = to_walls(room, np.array([[3.0, 0.0], [3.0, 5.0]]), 0.5)
    assert near == pytest.approx((3.0, 1.0))
    assert np.isnan(far).all()
    (floor,) = lay_jobs([make_job(corners=ell, center=Center("point", point=(3.0, 1.0)))])
    assert "NaN" not in layout_json(floor)
