"""What one sees looking round: six faces that meet without a seam, and stand as a browser's cube map has them."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy.ndimage import map_coordinates

from preview.page.room_page import FACE
from preview.page.standing_points import (
    FACES,
    StandingPoint,
    cut,
    face_cameras,
    margin,
    standing_points,
    with_far_corner,
)
from preview.picture.view.floor_visibility import floor_samples
from preview.scene.read import load_scene, read_scene
from preview.session.drawn import draw_views
from preview.steps import eye_cameras, lay_jobs
from tests.pictures.test_session import SCENE as SMALL

EDGE = 192
BAND = np.radians(1.5)  # to either side of the edge at which two faces meet
SCENE = Path(__file__).parents[2] / "scenes" / "dining-room.toml"

GLOSS = """
sky = "clear"
sun = { latitude = 51, longitude = 0, time = %s }
[wood]
species = "%s"
finish = "gloss"
"""
SKEW = (
    """
title = "Skew room"
units = "m"
room = { corners = [[0, 0], [4.3, 1.8], [2.6, 6.0], [-1.9, 4.4]], height = 2.6 }
openings = [{ name = "window", kind = "window", wall = 2, offset = 0.9, width = 2, sill = 0.4, height = 1.8 }]
floor.board_width = "80 mm"
border.width = "80 mm"
[light]"""
    + GLOSS % ("2026-05-14T08:00:00+00:00", "red oak")
)
BAY = (
    """
title = "Dark room with a bay"
units = "mm"
paint = { walls = "#26313a", trim = "#20262c" }
openings = [{ name = "bay", kind = "window", wall = 4, offset = 100, width = 800, sill = 450, height = 1800 },
            { name = "south", kind = "window", wall = 3, offset = 130, width = 600, sill = 450, height = 1800 }]
floor = { board_width = 90, pattern = "chevron" }
border.width = 90
[room]
corners = [[0, 0], [4200, 0], [4200, 1500], [4900, 2000], [4900, 3000], [4200, 3500], [4200, 4800], [2000, 4800],
           [2000, 6400], [0, 6400]]
height = 2750
[light]"""
    + GLOSS % ("2026-04-20T08:00:00+00:00", "ash")
)


@pytest.fixture(scope="module")
def floor():
    return lay_jobs(load_scene(SCENE)[:1])[0]


@pytest.fixture(scope="module")
def point(floor):
    return standing_points(eye_cameras(floor), floor.room, 1)[0]


@pytest.fixture(scope="module")
def drawn():
    """A point in a small room, and each face's camera and picture about it, with its margin."""
    small = lay_jobs(read_scene(SMALL, "small.toml")[:1])[0]
    about = standing_points(eye_cameras(small), small.room, 1)[0]
    faces = draw_views([small], face_cameras(about, EDGE), small)
    return about, [(each.picture.camera, each.picture.rgb) for each in faces]


def seen(face, ways, eye):
    """The colours (n, 3) that a face shows in directions (n, 3)."""
    camera, rgb = face
    x, y = camera.project(eye + ways).T - 0.5
    return np.stack([map_coordinates(rgb[..., k].astype(float), [y, x], order=1) for k in range(3)], axis=-1)


def apart_where_faces_meet(faces, eye):
    """Of each of the twelve edges, the mean difference between what its two faces show in the same directions, of 255:
    drawn wider than they are shown, they overlap there."""
    rng = np.random.default_rng(1)
    apart = []
    for one, (ahead, _) in enumerate(FACES):
        for two, (aside, _) in enumerate(FACES[:one]):
            if abs(ahead @ aside) > 0.5:
                continue
            turn = np.pi / 4 + rng.uniform(-BAND, BAND, 400)
            along = np.cross(ahead, aside) * rng.uniform(-0.95, 0.95, 400)[:, None]
            ways = np.cos(turn)[:, None] * ahead + np.sin(turn)[:, None] * aside + along / np.sqrt(2)
            apart.append(np.abs(seen(faces[one], ways, eye) - seen(faces[two], ways, eye)).mean())
    assert len(apart) == 12
    return apart


def test_faces_meet_without_a_seam(drawn):
    point, faces = drawn
    assert max(apart_where_faces_meet(faces, point.eye)) < 2


@pytest.mark.slow
@pytest.mark.parametrize("text", [SKEW, BAY], ids=["skew", "bay"])
def test_faces_meet_in_sunshine_on_gloss(text):
    """As large as a page has them, from where a window lies across an edge: there what brings highlights down sees
    least of what it lies in."""
    floor = lay_jobs(read_scene(text, "room.toml"))[0]
    window, patch = floor.room.openings[0], np.array([-1, -1]) / np.sqrt(2)
    eye = np.array([*window.middle + 1.6 * patch, 1.6])
    assert floor.room.floor.contains(shapely.Point(*eye[:2]))
    cameras = face_cameras(StandingPoint("there", eye, 0.0, 0.0), FACE)
    faces = [(each.picture.camera, each.picture.rgb) for each in draw_views([floor], cameras, floor)]
    down = faces[3][1].astype(float).mean(axis=2)
    assert np.quantile(down, 0.99) > np.median(down) + 60, "the sun lies on the floor"
    assert max(apart_where_faces_meet(faces, eye)) < 2


def test_a_cut_face_is_a_right_angle_wide(point):
    """Its corners lie 45 degrees to either side of its middle."""
    camera = face_cameras(point, EDGE)[0]
    rim = margin(EDGE)
    corner = camera.rays(np.array([[rim, rim]]))[0]
    assert np.abs(corner) == pytest.approx(1)
    whole = np.zeros((camera.size[1], camera.size[0], 3), np.uint8)
    assert cut(whole, EDGE).shape == (EDGE, EDGE, 3)


@pytest.mark.parametrize("number", range(6))
def test_faces_are_numbered_as_a_cube_map_s(point, number):
    """By OpenGL's table for selecting a cube map's face (Khronos; from memory): of a direction, face +x has s by -z and
    t by -y, and so on; the cube's own x, y, z are east, up, north; t runs down the picture."""
    table = [("-z", "-y"), ("z", "-y"), ("x", "z"), ("x", "-z"), ("x", "-y"), ("-x", "-y")]
    camera = face_cameras(point, EDGE)[number]
    rng = np.random.default_rng(number)
    ways = FACES[number][0] + rng.uniform(-0.9, 0.9, (50, 3)) * (np.abs(FACES[number][0]) < 0.5)
    cube = dict(zip("xyz", (ways[:, 0], ways[:, 2], ways[:, 1]), strict=True))
    expected = [(-1 if name[0] == "-" else 1) * cube[name[-1]] for name in table[number]]
    x, y = (camera.project(point.eye + ways) - margin(EDGE)).T / EDGE * 2 - 1
    assert x == pytest.approx(expected[0], abs=1e-9) and y == pytest.approx(expected[1], abs=1e-9)


def test_one_stands_within_the_room_and_apart(floor):
    found = standing_points(eye_cameras(floor), floor.room, 5)
    assert len(found) >= 2
    assert all(floor.room.floor.contains_properly(shapely.Point(*each.eye[:2])) for each in found)


@pytest.mark.parametrize("text", [SKEW, BAY], ids=["skew", "bay"])
def test_a_room_with_one_view_is_seen_from_its_far_corner_too(text):
    """Unless the viewpoints are named: within the room, apart from the other, looking over most of the floor."""
    floor = lay_jobs(read_scene(text, "room.toml"))[0]
    first = standing_points(eye_cameras(floor), floor.room, 1)
    _, further = with_far_corner(first, floor.room)
    assert floor.room.floor.contains_properly(shapely.Point(*further.eye[:2]))
    assert np.linalg.norm(further.eye[:2] - first[0].eye[:2]) > 3
    off = floor_samples(floor.room.floor)[:, :2] - further.eye[:2]
    aside = np.abs((np.arctan2(off[:, 0], off[:, 1]) - further.bearing + np.pi) % (2 * np.pi) - np.pi)
    assert (aside < np.pi / 4).mean() > 0.5
    closet = replace(floor.room, outline=shapely.Point(2, 2).buffer(0.6), obstacles=())
    assert len(with_far_corner([replace(further, eye=np.array([2, 2, 1.6]))], closet)) == 1
