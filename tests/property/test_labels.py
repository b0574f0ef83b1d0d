"""Every text on a plan can be read: no two stand on one another, and none leaves the sheet, in rooms of every kind.

The box of a text is worked out here from the finished SVG and the metrics of the typeface, as a reader sees it.
"""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from importlib.resources import files

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from PIL import ImageFont
from shapely import affinity, box

from preview.data import data_folder
from preview.errors import SceneError
from preview.fonts import font
from preview.paper.plan.fitted_plan import customer_plan, layer_plan
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.plan.right_angle import right_angle
from preview.picture.picture import Picture
from preview.picture.plan.plan_marks import FINE, letter_size, mark_plan, placed_names
from preview.picture.view.viewpoints import plan_camera
from preview.scene.job import Vent
from preview.scene.read import load_scene
from preview.steps import lay_jobs
from tests.strategies import INCH, make_job, opening, rooms, turned

SVG = "{http://www.w3.org/2000/svg}"
FACES = files("font_source_sans_pro") / "files"
SPACES = {"beside": (134.0, 165.0), "above": (189.0, 135.0), "letter": (185.0, 220.0), "a4": (180.0, 235.0)}
LONG = ("return air from the old dining room", "B", "under the east window", "D", "toe kick", "F")


@cache
def face(weight, italic):
    name = "It" if italic else "Semibold" if weight >= 600 else "Regular"
    return ImageFont.truetype(str(FACES / f"SourceSansPro-{name}.ttf"), 500)


def text_boxes(root):
    """What is inked of each text of a plan, a polygon in millimetres, with the text itself."""
    found = []
    for each in root.iter(f"{SVG}text"):
        assert each.text, ET.tostring(each)
        x, y, size = (float(each.get(key)) for key in ("x", "y", "font-size"))
        metrics = face(int(each.get("font-weight", 400)), each.get("font-style") == "italic")
        left, top, right, bottom = (size / 500 * edge for edge in metrics.getbbox(each.text, anchor="ls"))
        shift = -size / 500 * metrics.getlength(each.text) / 2 if each.get("text-anchor") == "middle" else 0.0
        shape = box(x + shift + left, y + top, x + shift + right, y + bottom)
        turn = re.match(r"rotate\((\S+) (\S+) (\S+)\)", each.get("transform", ""))
        if turn:
            degrees, *about = (float(part) for part in turn.groups())
            shape = affinity.rotate(shape, degrees, origin=tuple(about))
        found.append((shape, each.text))
    return found


def whites(root):
    """The white boxes behind texts on a page's plan, with how many texts are drawn before each."""
    count, found = 0, []
    for each in root.iter():
        count += each.tag == f"{SVG}text"
        if each.tag == f"{SVG}path" and each.get("fill-opacity") == "0.85":
            ring = [[float(n) for n in pair.split(",")] for pair in each.get("d").strip("MZ").split("L")]
            found.append((shapely.Polygon(ring), count))
    return found


def assert_readable(svg):
    root = ET.fromstring(svg)
    texts = text_boxes(root)
    shapes = np.array([shape for shape, _ in texts], dtype=object)
    pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects").T
    over = [(texts[a][1], texts[b][1]) for a, b in pairs if a < b]
    assert not over, over
    sheet = box(*(float(part) for part in root.get("viewBox").split()))
    outside = [words for shape, words in texts if not sheet.covers(shape)]
    assert not outside, outside
    hidden = [texts[n][1] for white, count in whites(root) for n in range(count) if shapes[n].intersects(white)]
    assert not hidden, hidden
    return [words for _, words in texts]


def assert_plans_readable(floor):
    """Check all plans of a floor, and that everything that has a name is named on each of them."""
    angle = right_angle(floor.room, floor.layout, floor.job.units)
    plans = {"sheet": plan_svg(floor)}
    for name in ("beside", "above"):
        plans[name] = layer_plan(floor, angle, *SPACES[name]).svg
    for name in ("letter", "a4"):
        plans[name] = customer_plan(floor, *SPACES[name]).svg
    for name, svg in plans.items():
        words = assert_readable(svg)
        things = [*floor.room.openings, *floor.room.obstacles, *floor.room.vents]
        missing = [each.name for each in things if not any(told.startswith(each.name[:9]) for told in words)]
        missing += [str(n + 1) for n in range(len(floor.room.corners)) if str(n + 1) not in words]
        missing += [] if "N" in words or "north" not in floor.job.lines else ["N"]
        missing += [] if name not in ("beside", "above") or angle is None else {"S", *angle.names} - set(words)
        assert not missing, (name, missing)


@pytest.mark.parametrize("scene", ["dining-room", "kitchen", "hall"])
def test_plans_of_the_demo_scenes(scene):
    for floor in lay_jobs(load_scene(data_folder("scenes") / f"{scene}.toml")):
        assert_plans_readable(floor)


@st.composite
def crowded(draw):
    """A room of any kind, or a narrow one with many doors, in any unit, with north told and many grilles, some of whose
    names are long."""
    if draw(st.integers(0, 3)) == 0:
        wide, deep = draw(st.sampled_from([0.9, 1.1, 1.4])), draw(st.sampled_from([3.5, 6.0, 9.0]))
        turn = draw(st.sampled_from([0.0, 0.2, np.pi / 2, 2.0]))
        doors = [
            opening(2, 0.2 + 1.15 * n, 0.8, "door", f"door to room {n + 1}") for n in range(int((deep - 0.3) // 1.15))
        ]
        job = make_job(
            turned([(0, 0), (wide, 0), (wide, deep), (0, deep)], turn),
            openings=[*doors, opening(1, 0.05, wide - 0.1, "cased opening", "from the front hall"),
                      opening(4, 0.4, 0.9, "door", "stairs down to the cellar")],
            board_width=2.25 * INCH, border=2 * INCH, run=None,
        )  # fmt: skip
    else:
        job = draw(rooms())
    units, north = (
        draw(st.sampled_from(["in", "ft", "mm", "cm", "m"])),
        draw(st.sampled_from([0.0, 0.4, 1.57, 2.6, -1.6])),
    )
    job = replace(job, units=units, lines={"north": 1}, north=north)
    low, high = np.min(job.room.corners, axis=0), np.max(job.room.corners, axis=0)
    for name in LONG[: draw(st.integers(0, len(LONG)))]:
        share = np.array([draw(st.integers(1, 9)) / 10, draw(st.integers(1, 9)) / 10])
        vent = Vent(name, tuple(low + share * (high - low)), (0.25, 0.1), draw(st.sampled_from([0.0, np.pi / 2, 0.4])))
        more = replace(job, vents=(*(each for each in job.vents if each.name != name), vent))
        try:
            lay_jobs([more])
        except SceneError:
            continue
        job = more
    return job


def laid(job):
    try:
        return lay_jobs([job])[0]
    except SceneError:
        return None


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(crowded())
def test_plans_of_any_room(job):
    floor = laid(job)
    assume(floor is not None)
    assert_plans_readable(floor)
    assert_picture_readable(floor.room)


def assert_picture_readable(room, size=(800, 500)):
    """On a plan picture no name stands on another, on the scale bar or on the arrow, nor on a wall or in the room, and
    every pixel of its letters lies inside. The marks are told by what the picture has without any names."""
    camera = plan_camera("plan", room, size)
    size = camera.size
    blank = np.full((size[1], size[0], 3), 255, np.uint8)
    plain = Picture(camera, "", "", blank, blank.astype(np.float32), np.zeros(blank.shape[:2]))
    whole = mark_plan(plain, room, "in", north=0.4).rgb
    nameless = replace(room, openings=tuple(replace(each, name=" ") for each in room.openings))
    marks = mark_plan(plain, nameless, "in", north=0.4).rgb
    face = font(letter_size(camera) * FINE)
    names = placed_names(room, camera, face, np.zeros((size[1] * FINE, size[0] * FINE), bool))
    written = np.zeros((size[1] * FINE, size[0] * FINE), int)
    for text, (x, y) in names:
        ink = np.asarray(text.getchannel("A")) > 0
        assert x >= 0 and y >= 0 and written[y : y + text.height, x : x + text.width].shape == ink.shape
        written[y : y + text.height, x : x + text.width] += ink
    assert written.max(initial=0) <= 1
    changed = (whole != marks).any(axis=2)
    dark = marks.max(axis=2) < 150  # walls, bar and arrow
    house = room.outline.buffer(room.wall_thickness, join_style="mitre")
    assert not (changed & dark).any()
    ys, xs = np.nonzero(changed)
    pixel = camera.span / size[0]
    points = camera.position[:2] + np.column_stack([xs + 0.5 - size[0] / 2, size[1] / 2 - ys - 0.5]) * pixel
    if room.outline.convex_hull.area < 1.0001 * room.outline.area:  # nothing outside that is between walls
        assert not shapely.contains_xy(house.buffer(-2 * pixel), points[:, 0], points[:, 1]).any()


@pytest.mark.slow
@settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))
@given(crowded())
def test_plans_of_many_rooms(job):
    floor = laid(job)
    assume(floor is not None)
    assert_plans_readable(floor)
