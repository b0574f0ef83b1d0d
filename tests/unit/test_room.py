"""The room from what was measured: exact corners, border line, recesses, and every fault named with its key."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon

from preview.errors import SceneError
from preview.room.measured import build_room
from preview.room.places import name_edge
from preview.scene.job import Leg, Vent
from tests.strategies import INCH, box, make_job, obstacle, opening

EXACT = 1e-12
W, D = 186 * INCH, 148 * INCH
RECT = box(0, 0, W, D)


def ring(polygon):
    """Return a polygon's corners, beginning with the lowest left one."""
    corners = shapely.get_coordinates(polygon)[:-1]
    return np.roll(corners, -int(np.lexsort(corners.T[::-1])[0]), axis=0)


@pytest.mark.parametrize("corners", [RECT, RECT[::-1], RECT[2:] + RECT[:2]], ids=["left", "right", "begun elsewhere"])
def test_rectangle_has_exact_corners(corners):
    room = build_room(make_job(corners))
    edge, line = 0.75 * INCH, 4.75 * INCH
    assert room.border_line == pytest.approx(line, abs=EXACT)
    np.testing.assert_allclose(ring(room.floor), box(edge, edge, W - 2 * edge, D - 2 * edge), atol=EXACT)
    np.testing.assert_allclose(ring(room.field), box(line, line, W - 2 * line, D - 2 * line), atol=EXACT)


def test_walls_keep_the_scenes_order():
    room = build_room(make_job(RECT[::-1], openings=[opening(1, 0.5, 1.0)]))
    door = room.openings[0]
    np.testing.assert_allclose(room.corners, RECT[::-1])
    np.testing.assert_allclose(door.inward, [0, -1], atol=EXACT)
    np.testing.assert_allclose([door.a, door.b], [(0.5, D), (1.5, D)], atol=EXACT)
    np.testing.assert_allclose(door.middle, (1.0, D), atol=EXACT)


def test_no_border_means_the_field_is_the_floor():
    room = build_room(make_job(RECT, border=0))
    assert room.field.equals(room.floor)


def test_overlap_goes_no_further_than_the_wall():
    room = build_room(make_job(RECT, baseboard=0, overlap=0.25 * INCH))
    np.testing.assert_allclose(ring(room.floor), RECT, atol=EXACT)
    assert room.border_line == pytest.approx(4 * INCH)


@pytest.mark.parametrize("degrees", [35, 60, 90, 120, 150])
def test_field_corner_lies_on_the_bisector(degrees):
    """At a corner of inside angle a the mitre is d / sin(a / 2) long."""
    angle = math.radians(degrees)
    room = build_room(make_job([(0, 0), (4, 0), (4 * math.cos(angle), 4 * math.sin(angle))]))
    reach = room.border_line / math.sin(angle / 2)
    corner = reach * np.array([math.cos(angle / 2), math.sin(angle / 2)])
    assert np.hypot(*(shapely.get_coordinates(room.field) - corner).T).min() < 1e-11


def test_inner_corner_of_an_ell():
    room = build_room(make_job([(0, 0), (5, 0), (5, 2), (2, 2), (2, 4), (0, 4)]))
    line = room.border_line
    expected = [(line, line), (5 - line, line), (5 - line, 2 - line), (2 - line, 2 - line), (2 - line, 4 - line)]
    np.testing.assert_allclose(ring(room.field), [*expected, (line, 4 - line)], atol=EXACT)


def test_a_corner_on_a_straight_wall_leaves_no_corner_in_the_floor():
    room = build_room(make_job([(0, 0), (2, 0), (4, 0), (4, 3), (0, 3)]))
    assert len(room.corners) == 5
    assert len(ring(room.floor)) == len(ring(room.field)) == 4


def test_column_is_a_hole_and_its_baseboard_widens_it():
    plain, cased = (
        build_room(make_job(RECT, obstacles=[obstacle(box(2, 1.5, 0.3, 0.3), baseboard=b)])) for b in (0.0, 1 * INCH)
    )
    assert Polygon(plain.floor.interiors[0]).area == pytest.approx(0.09, abs=EXACT)
    assert Polygon(cased.floor.interiors[0]).area == pytest.approx((0.3 + 1.5 * INCH) ** 2, abs=EXACT)
    assert Polygon(plain.field.interiors[0]).area == pytest.approx((0.3 + 8 * INCH) ** 2, abs=EXACT)


def test_hearth_on_a_wall_cuts_the_floor():
    room = build_room(make_job(RECT, obstacles=[obstacle(box(1.5, D - 0.5, 1.5, 0.5), "hearth", "hearth")]))
    edge = 0.75 * INCH
    assert room.floor.area == pytest.approx((W - 2 * edge) * (D - 2 * edge) - 1.5 * (0.5 - edge), abs=EXACT)
    assert not room.floor.interiors and room.warnings == ()


def test_a_slit_behind_a_hearth_is_not_floor():
    """Where there is no baseboard, an obstacle 2 mm off the wall touches it."""
    job = make_job(RECT, baseboard=0, obstacles=[obstacle(box(1.5, D - 0.502, 1.5, 0.5), "hearth", "hearth")])
    assert build_room(job).floor.area == pytest.approx(W * D - 1.5 * 0.502, abs=EXACT)


def test_recess_narrower_than_two_borders_is_all_border():
    niche = [(0, 0), (4, 0), (4, 1), (4.5, 1), (4.5, 1.2), (4, 1.2), (4, 3), (0, 3)]
    room = build_room(make_job(niche))
    (said,) = room.warnings
    assert said.startswith(("the floor at wall 3 ", "the floor at wall 5 "))
    assert said.endswith(
        "is narrower than two borders and becomes all border; a narrower border would leave a field there"
    )
    line = room.border_line
    np.testing.assert_allclose(room.field.area, (4 - 2 * line) * (3 - 2 * line), atol=1e-10)


def test_a_narrow_passage_divides_the_field():
    hourglass = [
        (0, 0),
        (2, 0),
        (2, 1),
        (2.2, 1),
        (2.2, 0),
        (4, 0),
        (4, 3),
        (2.2, 3),
        (2.2, 1.2),
        (2, 1.2),
        (2, 3),
        (0, 3),
    ]
    room = build_room(make_job(hourglass))
    assert len(shapely.get_parts(room.field)) == 2
    assert len(room.warnings) == 1


def test_names_of_places():
    room = build_room(make_job(RECT, obstacles=[obstacle(box(2, 1.5, 0.3, 0.3))]))
    assert name_edge(room, (0.1, 2)) == "wall 4"
    assert name_edge(room, (2.4, 1.6)) == "column"


def compass(*walls):
    return [Leg(math.radians({"E": 0, "N": 90, "W": 180, "S": 270}[w]), n * INCH, f"{w} {n}") for w, n in walls]


def test_walk_within_the_limit_is_closed():
    room = build_room(make_job(walk=compass(("E", 186), ("N", 148), ("W", 186.25), ("S", 148))))
    assert room.misclosure.length == pytest.approx(0.25 * INCH)
    np.testing.assert_allclose(room.corners[1] / INCH, [186.0696, 0], atol=1e-4)


def test_opening_measured_to_a_moved_corner_stays_on_its_wall():
    walk = compass(("E", 186), ("N", 148), ("W", 186.25), ("S", 148))
    room = build_room(make_job(walk=walk, openings=[opening(3, 150 * INCH, 36.25 * INCH)]))
    np.testing.assert_allclose(room.openings[0].b, room.corners[3], atol=1e-9)


@pytest.mark.parametrize(
    ("walk", "names"),
    [
        ((("E", 186), ("N", 148), ("W", 174), ("S", 148)), 'wall 1 ("E 186") and wall 3 ("W 174")'),
        ((("E", 186), ("N", 148), ("W", 186), ("S", 184)), 'wall 2 ("N 148") and wall 4 ("S 184")'),
    ],
)
def test_walk_over_the_limit_names_two_walls(walk, names):
    with pytest.raises(SceneError) as error:
        build_room(make_job(walk=compass(*walk)))
    assert error.value.place.key == "room.walk"
    assert names in error.value.remedy


def test_limit_is_half_an_inch_or_a_share_of_the_perimeter():
    build_room(make_job(walk=compass(("E", 100), ("N", 20), ("W", 100.4), ("S", 20))))
    with pytest.raises(SceneError):
        build_room(make_job(walk=compass(("E", 100), ("N", 20), ("W", 100.6), ("S", 20))))
    build_room(make_job(walk=compass(("E", 200), ("N", 100), ("W", 201.1), ("S", 100))))


def vent(x, y, name="A", angle=0.0):
    return Vent(name, (x, y), (10 * INCH, 4 * INCH), angle)


FAULTS = {
    "two corners": (make_job([(0, 0), (1, 0)]), "room.corners", "2 corners"),
    "one point twice": (make_job([(0, 0), (4, 0), (4, 0), (4, 3)]), "room.corners", "wall 2 has no length"),
    "first corner repeated": (make_job([*RECT, (0, 0)]), "room.corners", "corners 5 and 1 are one point"),
    "bow tie": (make_job([(0, 0), (4, 3), (4, 0), (0, 3)]), "room.corners", "wall 1 and wall 3 cross or touch"),
    "doubling back": (
        make_job([(0, 0), (4, 0), (4, 3), (4, 1), (0, 3)]),
        "room.corners",
        "wall 3 runs back over wall 2",
    ),
    "no such wall": (make_job(RECT, openings=[opening(5, 0, 1)]), "openings[1].wall", "wall 5 for door"),
    "off the end": (make_job(RECT, openings=[opening(1, 4, 1)]), "openings[1].offset", "door ends"),
    "before the start": (make_job(RECT, openings=[opening(1, -0.1, 1)]), "openings[1].offset", "door begins"),
    "wider than the wall": (make_job(RECT, openings=[opening(2, 0, 5)]), "openings[1].width", "door is"),
    "taller than the room": (
        make_job(RECT, openings=[opening(2, 0, 1)], height=1.9),
        "openings[1].height",
        "door reaches",
    ),
    "openings overlap": (
        make_job(RECT, openings=[opening(2, 1, 1), opening(2, 1.9, 1, name="arch")]),
        "openings[2].offset",
        "arch overlaps door on wall 2",
    ),
    "outside": (make_job(RECT, obstacles=[obstacle(box(9, 9, 1, 1))]), "obstacles[1].corners", "column lies outside"),
    "through a wall": (make_job(RECT, obstacles=[obstacle(box(-0.03, 1, 1, 1))]), "obstacles[1].corners", "sticks out"),
    "twisted": (
        make_job(RECT, obstacles=[obstacle([(1, 1), (2, 2), (2, 1), (1, 2)])]),
        "obstacles[1].corners",
        "the corners of column enclose nothing, or its edges cross",
    ),
    "obstacles overlap": (
        make_job(RECT, obstacles=[obstacle(box(1, 1, 1, 1)), obstacle(box(1.5, 1, 1, 1), name="island")]),
        "obstacles[2].corners",
        "island overlaps column",
    ),
    "vent in the wall": (make_job(RECT, vents=[vent(0.1, 1)]), "vents[1].center", "vent A lies in a wall"),
    "vent under the baseboard": (make_job(RECT, vents=[vent(0.14, 1)]), "vents[1].center", "under the baseboard"),
    "vent under an obstacle": (
        make_job(RECT, vents=[vent(1.1, 1.2)], obstacles=[obstacle(box(1, 1, 1, 1))]),
        "vents[1].center",
        "vent A lies under column",
    ),
    "vents overlap": (
        make_job(RECT, vents=[vent(2, 2), vent(2.1, 2, "B")]),
        "vents[2].center",
        "vent B overlaps vent A",
    ),
    "border too wide": (make_job(RECT, border=2.0), "border.width", "leaves no field"),
    "no floor": (make_job(RECT, obstacles=[obstacle(RECT)]), "room", "leave no floor"),
}


@pytest.mark.parametrize(("job", "key", "found"), FAULTS.values(), ids=FAULTS.keys())
def test_each_fault_names_its_key_and_thing(job, key, found):
    with pytest.raises(SceneError) as error:
        build_room(replace(job, lines={key: 17}))
    assert error.value.place.key == key
    assert found in error.value.found
    assert error.value.place.line == 17
    assert error.value.remedy


def test_widest_border_that_is_named_fits():
    with pytest.raises(SceneError) as error:
        build_room(make_job(RECT, border=2.0))
    assert error.value.remedy.endswith("6' 1 1/4\"")  # half of 12' 4" less twice 3/4"
    build_room(make_job(RECT, border=73 * INCH))


def test_a_window_above_a_door_is_no_overlap():
    window = replace(opening(2, 1, 1, "window", "fanlight"), sill=2.0, height=0.4)
    assert len(build_room(make_job(RECT, openings=[opening(2, 1, 1), window])).openings) == 2


def test_obstacle_a_little_through_the_wall_is_cut_off():
    room = build_room(make_job(RECT, obstacles=[obstacle(box(-0.02, 1, 0.5, 1), "hearth", "hearth")]))
    assert room.obstacles[0].polygon.area == pytest.approx(0.48, abs=1e-10)
    assert room.warnings == ('hearth stuck out through a wall by 13/16" and is cut off there',)


def test_obstacle_over_an_inner_corner_sticks_out():
    ell = [(0, 0), (5, 0), (5, 2), (2, 2), (2, 4), (0, 4)]
    with pytest.raises(SceneError, match="sticks out"):
        build_room(make_job(ell, obstacles=[obstacle([(1.5, 2.2), (2.2, 1.5), (2.4, 1.7), (1.7, 2.4)])]))


def test_vent_on_the_border_line_is_allowed_with_a_warning():
    room = build_room(make_job(RECT, vents=[vent(2, 4.75 * INCH)]))
    assert room.warnings == (
        "vent A straddles the border line: it is cut partly into the border, partly into the field; "
        'move it 2" north on the plan and it lies wholly in the field',
    )


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        (
            box(38 * INCH, 0, 40 * INCH, 20 * INCH),
            "all of door, which is 3' wide: threshold and sight line are hidden there",
        ),
        (
            box(30 * INCH, 6 * INCH, 60 * INCH, 20 * INCH),
            "all of door, which is 3' wide: threshold and sight line are hidden there",
        ),
        (
            box(50 * INCH, 0, 40 * INCH, 20 * INCH),
            "2' 2\" of door, which is 3' wide: the sight line through its middle is hidden there",
        ),
        (box(66 * INCH, 0, 40 * INCH, 20 * INCH), "10\" of door, which is 3' wide"),
        (box(76 * INCH, 0, 40 * INCH, 20 * INCH), None),
        (box(30 * INCH, 13 * INCH, 60 * INCH, 20 * INCH), None),
    ],
    ids=["whole", "a little off the wall", "over the middle", "beside the middle", "beside the door", "in the room"],
)
def test_what_stands_in_a_doorway_is_told_by_how_much_it_hides(corners, told):
    door = opening(1, 40 * INCH, 36 * INCH)
    room = build_room(make_job(RECT, openings=[door], obstacles=[obstacle(corners, "cabinet", "cabinet")]))
    said = [each for each in room.warnings if "stands across" in each]
    assert said == ([f"cabinet stands across {told}; check where both stand"] if told else [])
