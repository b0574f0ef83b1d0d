"""Lines over a picture: where the camera sees them, hidden by what stands before; seams on the base's seams."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from compare_pictures import SIZE, eye
from paper_scenes import PLAIN, laid

from preview.floor.layout import Role
from preview.floor.seams import same_seams, seam_lines, seam_places
from preview.paper.compare.sheet_text import LABEL
from preview.paper.compare.view_marks import dark_places, marks_svg, sight_opening, view_marks
from preview.vectors import axes

INCH = 0.0254
SVG = "{http://www.w3.org/2000/svg}"
BASE = PLAIN.split("[[variants]]")[0]
PATTERNS = {
    "herringbone": "",
    "double herringbone": 'pattern = "double herringbone"\nstrips = 3\n',
    "chevron": 'pattern = "chevron"\nangle = 50\n',
    "straight": 'pattern = "straight"\n',
}


@pytest.fixture(scope="module")
def floors():
    return laid(PLAIN)


def on_floor(camera, pixels):
    """The floor's points (n, 2) that are seen at pixels (n, 2): the rays there, followed down."""
    rays = camera.rays(pixels)
    return (camera.position + rays * (-camera.position[2] / rays[:, 2])[:, None])[:, :2]


def dashes(marks, kind):
    return np.concatenate([each.dashes for each in marks.marks if each.kind == kind])


def borders(layout):
    """Of each two neighbouring courses the middle of what their boards share, how far right of the centre line."""
    _, right = axes(layout.run)
    pieces, found = layout.pieces, []
    board = pieces.role == Role.BOARD
    whole = [
        shapely.union_all(pieces.polygons[board & (pieces.course == course)].tolist())
        for course in range(pieces.course.max() + 1)
    ]
    for one, other in pairwise(whole):
        shared = shapely.intersection(one.buffer(1e-5), other.buffer(1e-5))
        aside = (shapely.get_coordinates(shared) - layout.center_line[0]) @ right
        found.append((aside.min() + aside.max()) / 2)
    return np.array(found)


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("run", [90, 70])
def test_seams_are_where_courses_meet(pattern, run):
    scene = BASE.replace("[floor]", f"[floor]\n{PATTERNS[pattern]}").replace("run = 90", f"run = {run}")
    layout = laid(scene)[0].layout
    assert seam_places(layout) == pytest.approx(borders(layout), abs=1e-4)


def test_lines_are_where_the_camera_sees_them(floors):
    """Of every dash both ends, followed back to the floor, lie on the line; the middle of the archway is 70 in from the
    west wall, that of the room 90."""
    floor = floors[0]
    picture = eye(floor)
    opening = sight_opening(floors)
    marks = view_marks(picture, floor, opening)
    assert opening == "archway" and marks.kinds == {"sight", "centre"}
    for kind, place in (("sight", 70), ("centre", 90)):
        points = on_floor(picture.camera, dashes(marks, kind).reshape(-1, 2))
        assert points[:, 0] == pytest.approx(place * INCH, abs=1e-6)
        assert points[:, 1].max() == pytest.approx(143 * INCH, abs=0.05)
    assert len(dashes(marks, "centre")) > 5 and len(dashes(marks, "sight")) == 1
    assert marks.words == '20" apart'
    ends = on_floor(picture.camera, marks.apart)
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(20 * INCH, abs=1e-3)


@pytest.mark.parametrize("change", ["floor.center = { point = [83, 0] }", "floor.board_width = 5"])
@pytest.mark.parametrize("pattern", PATTERNS)
def test_seams_of_the_base_lie_on_the_base_s_seams(pattern, change):
    """The dashes over the other floor's picture, followed back to the floor, against where the base's courses meet."""
    scene = BASE.replace("[floor]", f"[floor]\n{PATTERNS[pattern]}")
    base, other = laid(f'{scene}[[variants]]\nname = "Other"\n{change}\n')
    picture = eye(other)
    own = dashes(view_marks(picture, other, "archway", base.layout), "seam")
    points = on_floor(picture.camera, own.reshape(-1, 2))
    _, right = axes(base.layout.run)
    aside = (points - base.layout.center_line[0]) @ right
    off = np.abs(aside[:, None] - borders(base.layout)).min(axis=1)
    assert len(own) > 20 and off.max() < 2e-4
    assert shapely.covers(base.layout.field.buffer(1e-6), shapely.points(points)).all()


def test_seams_are_drawn_only_over_another_floor_of_the_same_pattern(floors):
    base, other = floors
    assert not same_seams(base.layout, other.layout) and same_seams(base.layout, base.layout)
    assert "seam" in view_marks(eye(other), other, "archway", base.layout).kinds
    assert "seam" not in view_marks(eye(base), base, "archway", base.layout).kinds
    chevron = laid(BASE.replace("[floor]", '[floor]\npattern = "chevron"'))[0]
    assert "seam" not in view_marks(eye(chevron), chevron, "archway", base.layout).kinds


def test_only_the_seams_next_to_the_line_are_taken(floors):
    layout = floors[0].layout
    _, right = axes(layout.run)
    places = seam_places(layout)
    for most in (1, 4, 5):
        found = {round(float((line[0] - layout.center_line[0]) @ right), 6) for line in seam_lines(layout, most)}
        left = {round(float(each), 6) for each in places} - found
        assert most <= len(found) <= most + 1 and max(map(abs, found)) < min(map(abs, left))


def test_what_stands_before_the_floor_hides_the_lines(floors):
    floor = floors[0]
    near_wall = np.full((SIZE[1], SIZE[0]), 0.5, np.float32)
    assert not view_marks(eye(floor, depth=near_wall), floor, "archway").marks
    half = np.full((SIZE[1], SIZE[0]), 100.0, np.float32)
    half[:, : SIZE[0] // 2 + 20] = 0.5
    marks = view_marks(eye(floor, depth=half), floor, "archway")
    assert marks.kinds == {"centre"} and marks.apart is None
    assert dashes(marks, "centre")[..., 0].min() >= SIZE[0] // 2 + 20 - 1


def test_a_line_a_hair_off_is_in_line(floors):
    base = floors[1]
    assert view_marks(eye(base), base, "archway").words == "both in line"


def test_words_stand_clear_of_dark_things_and_of_the_lines(floors):
    """A firebox stands behind the end of the lines: the words are read beside it."""
    floor = floors[0]
    picture = eye(floor, (800, 500))
    marks = view_marks(picture, floor, "archway")
    x, y = marks.apart.mean(axis=0)
    rgb = picture.rgb.copy()
    rgb[max(0, int(y) - 120) : int(y), int(x) - 100 : int(x) + 100] = 12
    width, height = 120.0, 75.0
    root = ET.fromstring(marks_svg(marks, rgb, width, height))
    (text,) = root.iter(f"{SVG}text")
    assert text.text == '20" apart' and float(text.get("font-size")) == pytest.approx(LABEL, rel=1e-3)
    half = 0.3 * len(text.text) * LABEL
    tx, ty = float(text.get("x")), float(text.get("y"))
    box = shapely.box(tx - half, ty - 0.7 * LABEL, tx + half, ty + 0.2 * LABEL)
    assert not box.intersects(dark_places(rgb, width)) and shapely.box(0, 0, width, height).covers(box)
    for path in root.iter(f"{SVG}path"):
        if path.get("id") in ("sight", "centre"):
            ends = np.array([float(each) for each in re.findall(r"[-\d.]+", path.get("d"))]).reshape(-1, 2, 2)
            assert not any(shapely.LineString(each).intersects(box.buffer(-0.35)) for each in ends)


def test_no_sight_line_where_nobody_takes_the_floor_for_centred_on_it(floors):
    """The archway is 20 in off the middle of the room, within 3/4 m; 40 in is not."""
    far = BASE.replace("offset = 40", "offset = 20")
    assert sight_opening(laid(far)) == ""
    floor = laid(far)[0]
    marks = view_marks(eye(floor), floor, "")
    assert marks.kinds == {"centre"} and marks.apart is None and not marks.words
    assert replace(marks, words="") == marks or marks.size
