"""Viewpoints: where they may stand, what the proposed ones see, and plans to scale."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon, box, contains_xy
from unlike_rooms import UNLIKE, floors

from preview.errors import Place, SceneError
from preview.picture import camera_for, mark_plan, propose_viewpoints
from preview.picture.picture import Picture
from preview.picture.plan.plan_marks import scale_bar
from preview.picture.view.floor_visibility import floor_share, mirrors_window, visible_floor
from preview.picture.view.viewpoints import plan_camera
from preview.room.room import Room, RoomObstacle, RoomOpening
from preview.scene.job import Target, Viewpoint

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
    assert [view.name for view in views] == [f"from the {each}" for each in passable] + ["from the corner", "plan"]
    for view in views[:-1]:
        camera = camera_for(view, room, SIZE)
        assert camera.position[2] == pytest.approx(1.6)
        assert camera.fov == pytest.approx(np.radians(60))
        assert floor_share(camera, room) >= 0.5, view.name


def test_an_opening_is_looked_through_along_its_sight_line():
    room = ROOMS["rectangle"]
    camera = camera_for(propose_viewpoints(room)[0], room, SIZE)
    ahead = camera.target[:2] - camera.position[:2]
    assert ahead / np.linalg.norm(ahead) == pytest.approx([0, 1], abs=1e-9)
    assert camera.position[0] == pytest.approx(2.25)


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
    assert (pixels < size).all()
    ends = camera.project(np.array([[1.0, 1.0, 0], [2.0, 1.0, 0], [1.0, 2.0, 0]]))
    assert ends[1, 0] - ends[0, 0] == pytest.approx(size[0] / camera.span)
    assert ends[0, 1] - ends[2, 1] == pytest.approx(size[0] / camera.span)


@pytest.mark.parametrize(("units", "name"), [("in", "ft"), ("mm", "m")])
def test_the_scale_bar_is_as_long_on_the_picture_as_it_says(units, name):
    """The bar's black and white fields are measured on the picture, from its first dark column to its last."""
    room = ROOMS["rectangle"]
    camera = plan_camera("plan", room, SIZE)
    blank = np.full((SIZE[1], SIZE[0], 3), 250, np.uint8)
    empty = np.zeros((SIZE[1], SIZE[0]), np.float32)
    marked = mark_plan(Picture(camera, "", "", blank, blank.astype(np.float32), empty), room, units, north=0.3).rgb
    length, label = scale_bar(camera, units)
    assert label.split()[1] == name
    strip = marked[930:, : SIZE[0] // 2].astype(int).sum(axis=-1) < 400
    bar = strip[np.argmax(strip.sum(axis=1))]
    drawn = np.flatnonzero(bar)[-1] - np.flatnonzero(bar)[0] + 1
    assert drawn == pytest.approx(length / camera.span * SIZE[0], abs=2.5)


def test_proposed_pictures_of_unlike_rooms_show_floor():
    """At least 35 % of each, counted here by other rays, also along a corridor and from doors in its long sides."""
    for name in UNLIKE:
        room = floors(name)[0].room
        views = propose_viewpoints(room)
        assert len(views) >= 3 and views[0].name == f"from the {next(o.name for o in room.openings if o.passable)}"
        for view in views[:-1]:
            assert share_of_floor(camera_for(view, room, SIZE), room) >= 0.35, (name, view.name)


def share_of_floor(camera, room):
    """What a picture has of the room's floor: each ray goes through short steps until it leaves the room."""
    count, found = 24, 0
    right, up, back = camera.axes()
    half = np.tan(camera.fov / 2)
    for x in (np.arange(count) + 0.5) / count * 2 - 1:
        for y in ((np.arange(count) + 0.5) / count * 2 - 1) * camera.size[1] / camera.size[0]:
            ray = half * (x * right + y * up) - back
            if ray[2] >= 0:
                continue
            reach = camera.position[2] / -ray[2]
            path = camera.position[:2] + np.linspace(0, reach, 40)[:, None] * ray[:2]
            inside = contains_xy(room.outline.buffer(0.3), path[:, 0], path[:, 1]).all()
            found += inside and contains_xy(room.floor, *path[-1])
    return found / count**2


def test_a_window_is_mirrored_where_similar_triangles_have_it():
    """Eye 1.6 m high, 4 m before a window from 0.8 m to 2.4 m: a ray comes down over one way and rises as steeply over
    the other, so the floor mirrors it from 1.6 of 4.0 parts of the way to 1.6 of 2.4."""
    window = replace(door("window", (-1, 4), (1, 4), "window"), inward=np.array([0.0, -1.0]), sill=0.8, height=1.6)
    room = make_room([(-3, -1), (3, -1), (3, 4), (-3, 4)], [window])
    low, high = 4 * 1.6 / (1.6 + 0.8), 4 * 1.6 / (1.6 + 2.4)  # from the eye, 2.667 m and 1.6 m
    points = np.array([[0, high - 0.01], [0, high + 0.01], [0, low - 0.01], [0, low + 0.01], [0.9, 2.0]])
    assert mirrors_window(points, np.array([0.0, 0.0, 1.6]), room).tolist() == [False, True, True, False, False]


def test_one_looks_along_the_sight_line_and_turns_only_out_of_a_narrow_view():
    u, corridor = (floors(name)[0].room for name in ("U", "corridor"))
    for room, name, least, most in ((u, "arch", 0, 0), (corridor, "bath", 30, 75), (corridor, "stair head", 0, 20)):
        view = next(each for each in propose_viewpoints(room) if each.name == f"from the {name}")
        camera = camera_for(view, room, SIZE)
        way = (camera.target - camera.position)[:2]
        inward = room.opening(name).inward
        turn = np.degrees(np.arccos(np.clip(way @ inward / np.hypot(*way), -1, 1)))
        assert least - 1e-3 <= turn <= most + 1e-3, (name, turn)
