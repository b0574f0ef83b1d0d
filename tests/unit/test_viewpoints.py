"""Viewpoints: where they may stand, what the proposed ones see, and plans to scale."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon, box
from unlike_rooms import UNLIKE, floors

from preview.errors import Place, SceneError
from preview.picture.picture import Picture
from preview.picture.plan.plan_marks import mark_plan, scale_bar
from preview.picture.view.floor_visibility import floor_share, mirrors_window, visible_floor
from preview.picture.view.framing import aimed
from preview.picture.view.proposals import propose_viewpoints
from preview.picture.view.viewpoints import camera_for, plan_camera
from preview.room.room import Room, RoomObstacle, RoomOpening, RoomVent
from preview.scene.job import Target, Viewpoint
from preview.vectors import unit
from tests.seen_floor import most_floor, share_of_floor

SIZE = (1600, 1000)


def make_room(corners, openings=(), obstacles=(), height=2.6):
    outline = Polygon(corners)
    floor = outline.buffer(-0.02, join_style="mitre")
    for each in obstacles:
        floor = floor.difference(each.polygon)
    field = floor.buffer(-0.1, join_style="mitre")
    return Room(
        title="Test", corners=np.array(corners, float), outline=outline, height=height, baseboard=0.02,
        wall_thickness=0.12, north=0.0, openings=tuple(openings), obstacles=tuple(obstacles), vents=(), floor=floor,
        inside_border=field, field=field, edge=0.02, strip_line=0.12, border_line=0.12, misclosure=None, warnings=(),
    )  # fmt: skip


def door(name, a, b, kind="cased opening"):
    a, b = np.array(a, float), np.array(b, float)
    along = (b - a) / np.linalg.norm(b - a)
    return RoomOpening(name, kind, 0, a, b, np.array([-along[1], along[0]]), 2.1, 0.0, 2.0, 0.12)


def island(x0, y0, x1, y1, height=0.9, name="island"):
    return RoomObstacle(name, "island", box(x0, y0, x1, y1), height, 0.0)


RECTANGLE = [(0, 0), (5, 0), (5, 4), (0, 4)]
ELL = [(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)]
ROOMS = {
    "rectangle": make_room(
        RECTANGLE, [door("hall archway", (1.5, 0), (3, 0)), door("kitchen door", (5, 1), (5, 1.8), "door")]
    ),
    "with an island": make_room(RECTANGLE, [door("hall", (1.5, 0), (3, 0))], [island(1.8, 1.6, 3.4, 2.4)]),
    "L": make_room(ELL, [door("hall", (6, 1), (6, 2))], [island(0.5, 4, 1.2, 4.5)]),
    "hall": make_room([(0, 0), (22, 0), (22, 14), (0, 14)], [door("foyer", (10, 0), (12, 0))], height=5),
}


@pytest.mark.parametrize("name", ROOMS)
def test_proposed_viewpoints_can_be_stood_at_and_see_enough_floor(name):
    room = ROOMS[name]
    views = propose_viewpoints(room)
    passable = [each.name for each in room.openings if each.passable]
    told = [view.name for view in views]
    assert told[-1] == "plan" and told[0] in [f"from the {each}" for each in passable]
    assert set(told[:-1]) <= {*(f"from the {each}" for each in passable), "from the corner"}
    for view in views[:-1]:
        camera = camera_for(view, room, SIZE)
        assert 1.2 <= camera.position[2] <= 1.6
        assert np.radians(50) - 1e-9 <= camera.fov <= np.radians(75) + 1e-9
        assert camera.tilt == pytest.approx(0, abs=1e-9)
        assert floor_share(camera, room) >= 0.35, view.name


def test_an_opening_is_looked_through_along_its_sight_line():
    """Square to the wall, in its middle, from outside, and no jamb is in the picture."""
    room = ROOMS["rectangle"]
    camera = camera_for(decision(room, "hall archway"), room, SIZE)
    assert camera.axes[2] == pytest.approx([0, -1, 0], abs=1e-9)
    assert camera.position[0] == pytest.approx(2.25) and camera.position[1] < -0.5
    for tilt in (0.0, 0.4):
        camera = camera_for(replace(decision(room, "hall archway"), tilt=tilt), room, SIZE)
        jambs = np.array([[x, y, z] for x in (1.5, 3.0) for y in (-0.12, 0.0) for z in np.linspace(0, 2.1, 22)])
        pixels = camera.project(jambs[camera.ahead(jambs) > 0])
        assert not ((pixels > 0) & (pixels < SIZE)).all(axis=1).any()


def decision(room, name, **what):
    return Viewpoint("here", "eye", Target("opening", name=name), what.pop("eye", 1.6), what.pop("look", None), None)


def test_the_decision_view_holds_the_lines_end_the_far_walls_foot_and_both_side_baseboards():
    """Project the model's own places: the far corners at the floor, and the feet of the side walls before them."""
    for x, both in ((0.4, True), (1.5, True), (2.6, True)):
        room = make_room(RECTANGLE, [door("hall", (x, 0), (x + 1.2, 0))])
        camera = camera_for(decision(room, "hall"), room, SIZE)
        middle = x + 0.6
        places = np.array([[middle, 4, 0], [0, 4, 0], [5, 4, 0], [0, 3.6, 0.05], [5, 3.6, 0.05]])
        pixels = camera.project(places)
        inside = ((pixels > 0) & (pixels < SIZE)).all(axis=1)
        assert inside.all() == both, (x, pixels)
        assert abs(pixels[0, 0] / SIZE[0] - 0.5) <= 0.28


def test_a_look_that_is_nearly_along_the_sight_line_is_squared_and_one_aside_is_not():
    room = ROOMS["rectangle"]
    for x, square in ((2.4, True), (2.9, True), (4.6, False)):
        camera = camera_for(decision(room, "hall archway", look=Target("point", point=(x, 3.9, None))), room, SIZE)
        assert (abs(camera.axes[2, 0]) < 1e-9) == square, x


def test_a_step_aside_or_a_remark_where_something_hides_the_end_of_the_line():
    """A column in the line's way: a wide opening has room to step aside, a door has not."""
    column = island(2.15, 2.0, 2.35, 2.2, 2.6, "column")
    wide, narrow = (
        make_room(RECTANGLE, [door("hall", (2.25 - half, 0), (2.25 + half, 0))], [column]) for half in (1.0, 0.4)
    )
    aside, told = (camera_for(decision(room, "hall"), room, SIZE) for room in (wide, narrow))
    assert abs(aside.position[0] - 2.25) > 0.05 and not aside.remarks
    assert visible_floor(np.array([[2.25, 3.9]]), aside.position, wide)[0]
    assert told.remarks == ("'here': the column hides where the sight line through the hall ends",)


def test_a_vent_at_ones_feet_tips_the_camera_and_a_far_one_does_not():
    room = ROOMS["rectangle"]
    for y, level in ((3.9, True), (1.0, False)):
        vent = RoomVent("A", box(2.4, y - 0.05, 2.6, y + 0.05), np.array([2.5, y]), (0.2, 0.1), 0.0)
        camera = camera_for(
            Viewpoint("at the vent", "eye", Target("point", point=(2.5, 0.3, None)), 1.6, Target("vent", "A"), None),
            replace(room, vents=(vent,)), SIZE,
        )  # fmt: skip
        x, y = camera.project(np.array([[2.5, y, 0.0]]))[0]
        assert x == pytest.approx(SIZE[0] / 2) and 0.45 * SIZE[1] < y < 0.97 * SIZE[1]
        assert (abs(camera.tilt) < 1e-9) == level
        words = "'at the vent' is tipped 66 degrees down to show vent A, so upright lines lean"
        assert camera.remarks == (() if level else (words,))


def test_tilt_tips_the_camera_by_so_much():
    view_down = replace(view(1.0, 1.0, look=(4.0, 3.0, 0.0)), tilt=np.radians(20))
    camera = camera_for(view_down, ROOMS["rectangle"], SIZE)
    assert np.degrees(camera.tilt) == pytest.approx(20)
    assert camera.project(np.array([[4.0, 3.0, 0.0]]))[0] == pytest.approx([SIZE[0] / 2, SIZE[1] / 2])


@pytest.mark.parametrize("name", ["hall archway", "kitchen door"])
def test_looking_at_an_opening_shows_it_and_floor(name):
    room = ROOMS["rectangle"]
    look = Target("opening", name=name)
    at = Target("point", point=(0.4, 3.6, None))
    camera = camera_for(Viewpoint("here", "eye", at, 1.6, look, None), room, SIZE)
    assert share_of_floor(camera, room) >= 0.35
    foot = camera.project(np.array([[*room.opening(name).middle, 0.0]]))[0]
    assert 0 < foot[0] < SIZE[0] and 0 < foot[1] < SIZE[1]
    assert camera.tilt == pytest.approx(0, abs=1e-9)


def test_projection_and_rays_are_each_others_inverse_with_any_shift():
    rng = np.random.default_rng(3)
    for tilt in (0.0, 0.4):
        camera = replace(aimed("", np.array([1.0, 2.0, 1.6]), unit(0.7), tilt, 1.1, SIZE), shift=(0.2, -0.3))
        pixels = rng.uniform(0, SIZE, (50, 2))
        depth = rng.uniform(0.5, 9, (50, 1))
        points = camera.position + depth * camera.rays(pixels)
        assert camera.project(points) == pytest.approx(pixels, abs=1e-6)
        assert camera.ahead(points) == pytest.approx(depth[:, 0])


def test_the_floor_behind_an_island_is_not_seen_and_before_it_is():
    """From 1.6 m an island of 0.9 m, from 2 m to 3 m away, hides the floor until 3 x 1.6 / 0.7 = 6.857 m: similar
    triangles over its far edge."""
    room = make_room([(0, -2), (9, -2), (9, 2), (0, 2)], obstacles=[island(2, -1, 3, 1)])
    points = np.array([[1.9, 0], [3.1, 0], [6.85, 0], [6.87, 0], [3.1, 1.9]])
    assert visible_floor(points, np.array([0.0, 0.0, 1.6]), room).tolist() == [True, False, False, True, True]


def test_walls_hide_the_other_leg_of_an_L():
    room = ROOMS["L"]
    points = np.array([[1.0, 5.5], [2.9, 0.5]])
    assert visible_floor(points, np.array([5.5, 2.0, 1.6]), room).tolist() == [False, True]


PLACE = Place("room.toml", "viewpoints[1]", 40)


def view(x, y, eye=1.6, look=(2.0, 2.0, None)):
    return Viewpoint("here", "eye", Target("point", point=(x, y, None)), eye, Target("point", point=look), 1.0)


@pytest.mark.parametrize(
    ("viewpoint", "message"),
    [
        (view(2.0, 2.0), "stands inside the island"),
        (view(7.0, 2.0), "stands outside the room"),
        (view(5.05, 2.0), "stands inside a wall"),
        (view(0.01, 2.0), "stands inside a wall"),
        (view(1.0, 1.0, eye=2.7), "has its eye above the ceiling"),
        (view(1.0, 1.0, look=(1.0, 1.0, None)), "looks at the spot it stands on"),
    ],
)
def test_a_viewpoint_where_nobody_can_stand_is_a_scene_error_with_its_place(viewpoint, message):
    with pytest.raises(SceneError, match=message) as caught:
        camera_for(viewpoint, ROOMS["with an island"], SIZE, PLACE)
    assert str(caught.value).startswith("room.toml, line 40: viewpoints[1]: viewpoint 'here' ")


def test_one_may_stand_in_a_doorway_and_on_a_low_hearth():
    room = make_room(RECTANGLE, [door("hall", (1.5, 0), (3, 0))], [island(1, 3, 2, 4, 0.03, "hearth")])
    for x, y in ((2.2, -0.06), (1.5, 3.5)):
        assert camera_for(view(x, y), room, SIZE).position[:2] == pytest.approx([x, y])


@pytest.mark.parametrize("size", [(1600, 1000), (900, 1600), (200, 120)])
@pytest.mark.parametrize("name", ROOMS)
def test_a_plan_holds_the_walls_and_is_to_scale(name, size):
    room = ROOMS[name]
    camera = plan_camera("plan", room, size)
    outer = np.array(room.outline.buffer(0.12, join_style="mitre").exterior.coords)
    pixels = camera.project(np.column_stack([outer, np.zeros(len(outer))]))
    assert (pixels > 0).all()
    assert (pixels < camera.size).all() and (np.array(camera.size) <= size).all()
    ends = camera.project(np.array([[1.0, 1.0, 0], [2.0, 1.0, 0], [1.0, 2.0, 0]]))
    assert ends[1, 0] - ends[0, 0] == pytest.approx(camera.size[0] / camera.span)
    assert ends[0, 1] - ends[2, 1] == pytest.approx(camera.size[0] / camera.span)
    taken = np.ptp(pixels, axis=0) / camera.size  # the frame is filled, but for names, dimensions and the scale bar
    assert taken[0] > 0.68 and taken[1] > 0.6


@pytest.mark.parametrize(("units", "name"), [("in", "ft"), ("mm", "m")])
def test_the_scale_bar_is_as_long_on_the_picture_as_it_says(units, name):
    """The bar's black and white fields are measured on the picture, from its first dark column to its last."""
    room = ROOMS["rectangle"]
    camera = plan_camera("plan", room, SIZE)
    width, height = camera.size
    blank = np.full((height, width, 3), 250, np.uint8)
    empty = np.zeros((height, width), np.float32)
    marked = mark_plan(Picture(camera, "", "", blank, blank.astype(np.float32), empty), room, units, north=0.3).rgb
    length, label = scale_bar(camera, units)
    assert label.split()[1] == name
    strip = marked[height - 70 :, : width // 3].astype(int).sum(axis=-1) < 400
    bar = strip[np.argmax(strip.sum(axis=1))]
    drawn = np.flatnonzero(bar)[-1] - np.flatnonzero(bar)[0] + 1
    assert drawn == pytest.approx(length / camera.span * width, abs=2.5)


def test_a_plan_shows_the_middle_of_the_pattern_and_how_long_its_main_walls_are():
    """The line is found where the camera sees it; a dimension by what the picture has more than one without it."""
    room = ROOMS["rectangle"]
    camera = plan_camera("plan", room, SIZE)
    width, height = camera.size
    blank = np.full((height, width, 3), 200, np.uint8)
    flat = Picture(camera, "", "", blank, blank.astype(np.float32), np.zeros((height, width), np.float32))
    line = np.array([[1.3, 0.4], [1.3, 3.0]])
    plain, marked = (mark_plan(flat, room, "mm", None, each).rgb.astype(int) for each in (None, line))
    changed = (np.abs(marked - plain).max(axis=-1) > 30)[: height - 70]
    (x, top), (_, bottom) = camera.project(np.column_stack([line[::-1], [0, 0]]))
    rows, columns = np.nonzero(changed)
    assert columns.mean() == pytest.approx(x, abs=1) and np.ptp(columns) < 12
    assert rows.min() == pytest.approx(top, abs=12) and rows.max() == pytest.approx(bottom, abs=3)
    ends = camera.project(np.array([[0, 0, 0], [5.0, 0, 0]]))
    ends[:, 1] += room.wall_thickness * width / camera.span
    below = plain[int(ends[0, 1]) + 20 : int(ends[0, 1]) + 75].sum(axis=-1) < 400
    dark = np.flatnonzero(below.any(axis=0))
    assert (dark.min(), dark.max()) == pytest.approx((ends[0, 0], ends[1, 0]), abs=3)


def test_proposed_pictures_of_unlike_rooms_show_floor():
    """At least 35 % of each, counted here by other rays, or along a corridor 90 % of what a level camera can."""
    for name in UNLIKE:
        room = floors(name)[0].room
        views = propose_viewpoints(room)
        assert len(views) >= 2 and views[-1].name == "plan"
        for view in views[:-1]:
            camera = camera_for(view, room, SIZE)
            share = share_of_floor(camera, room)
            assert share >= 0.35 or share >= 0.9 * most_floor(camera, room), (name, view.name, share)


def test_a_window_is_mirrored_where_similar_triangles_have_it():
    """Eye 1.6 m high, 4 m before a window from 0.8 m to 2.4 m: a ray comes down over one way and rises as steeply over
    the other, so the floor mirrors it from 1.6 of 4.0 parts of the way to 1.6 of 2.4."""
    window = replace(door("window", (-1, 4), (1, 4), "window"), inward=np.array([0.0, -1.0]), sill=0.8, height=1.6)
    room = make_room([(-3, -1), (3, -1), (3, 4), (-3, 4)], [window])
    low, high = 4 * 1.6 / (1.6 + 0.8), 4 * 1.6 / (1.6 + 2.4)  # from the eye, 2.667 m and 1.6 m
    points = np.array([[0, high - 0.01], [0, high + 0.01], [0, low - 0.01], [0, low + 0.01], [0.9, 2.0]])
    assert mirrors_window(points, np.array([0.0, 0.0, 1.6]), room).tolist() == [False, True, True, False, False]


def test_one_looks_along_the_sight_line_and_from_the_long_side_of_a_hall_along_the_hall():
    u, corridor = (floors(name)[0].room for name in ("U", "corridor"))
    for room, name, turn in ((u, "arch", 0), (corridor, "stair head", 0), (corridor, "bath", 90)):
        view = next((each for each in propose_viewpoints(room) if each.name == f"from the {name}"), None)
        if view is None:
            assert name == "bath"  # what it shows, another view shows
            continue
        way = -camera_for(view, room, SIZE).axes[2, :2]
        found = np.degrees(np.arccos(np.clip(way @ room.opening(name).inward, -1, 1)))
        assert found == pytest.approx(turn, abs=0.5), name


def test_no_two_proposed_views_are_of_one_kind():
    """Doors side by side show the same floor from the same side: one is proposed."""
    pair = [door("left", (1.4, 0), (2.2, 0)), door("right", (2.5, 0), (3.3, 0)), door("far", (3.3, 4), (2.5, 4))]
    told = [view.name for view in propose_viewpoints(make_room(RECTANGLE, pair), first="right")]
    assert told[0] == "from the right" and "from the left" not in told and "from the far" in told


def test_a_hall_is_not_pictured_from_its_corner():
    """A corner of a narrow hall shows a blank wall before all."""
    room = make_room([(0, 0), (1.1, 0), (1.1, 7), (0, 7)], [door("end", (0.1, 0), (1.0, 0)), side_door()])
    told = [view.name for view in propose_viewpoints(room)]
    assert told[0] == "from the end" and "from the corner" not in told


def side_door():
    return replace(door("side", (0, 5), (0, 4.2), "door"), inward=np.array([1.0, 0.0]))
