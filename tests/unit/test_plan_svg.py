"""The plan is valid XML at its stated scale, and its lines are where the layout has them."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely
from paper_scenes import ASKEW, PLAIN, laid
from shapely import LineString, Point
from unlike_rooms import floors

from preview.paper.plan.fitted_plan import customer_plan
from preview.paper.plan.lettering import text_width
from preview.paper.plan.plan_sheet import choose_format
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.plan.svg_sheet import printable, upright
from preview.steps import lay_jobs
from tests.strategies import make_job, opening, turned

SVG = "{http://www.w3.org/2000/svg}"


def rings(path):
    return [
        np.array([[float(n) for n in pair.split(",")] for pair in ring.strip("MZ").split("L")])
        for ring in re.findall(r"M[^MZ]*Z?", path.get("d"))
    ]


@pytest.fixture(scope="module", params=[PLAIN, ASKEW])
def plan(request):
    floor = laid(request.param)[0]
    return floor, ET.fromstring(plan_svg(floor))


def test_the_sheet_is_as_large_as_it_says(plan):
    _, root = plan
    width, height = root.get("width"), root.get("height")
    assert root.get("viewBox") == f"0 0 {width.removesuffix('mm')} {height.removesuffix('mm')}"


def test_pieces_measure_true_at_the_stated_scale(plan):
    """Every piece's area on paper is the layout's at the scale in the title strip."""
    floor, root = plan
    words = next(text.text for text in root.iter(f"{SVG}text") if (text.text or "").startswith("Scale"))
    ratio = {"Scale 3/8\" = 1'": 32, "Scale 1/2\" = 1'": 24}.get(words.split(" on ")[0])
    ratio = ratio or int(re.match(r"Scale 1:(\d+)", words)[1])
    drawn = {path.get("id"): rings(path) for path in root.iter(f"{SVG}path") if path.get("id")}
    names = ("boards-left", "boards-right", "border", "thresholds", "grilles")
    areas = sum(abs(signed(ring)) for name in names for ring in drawn.get(name, []))
    holes = sum(2 * shapely.Polygon(r).area for p in floor.layout.pieces.polygons for r in p.interiors)
    assert (areas * ratio**2 / 1e6) - holes == pytest.approx(shapely.area(floor.layout.pieces.polygons).sum(), rel=1e-3)


def signed(ring):
    return shapely.Polygon(ring).area


def test_chalk_line_is_drawn_within_a_tenth_of_a_millimetre(plan):
    floor, root = plan
    drawn = {path.get("id"): rings(path) for path in root.iter(f"{SVG}path") if path.get("id")}
    walls = np.concatenate(drawn["walls"])
    low, high = floor.room.corners.min(0) - floor.room.wall_thickness, floor.room.corners.max(0)
    scale = (walls[:, 1].max() - walls[:, 1].min()) / (high[1] - low[1] + floor.room.wall_thickness)
    for line, name in ((floor.layout.chalk_line, "chalk-line"), (floor.layout.center_line, "centre-line")):
        wanted = walls[:, 0].min() + (line[0][0] - low[0]) * scale
        # The walls' mitred outer corner may reach further than the wall's thickness where the corner is sharp.
        assert drawn[name][0][0, 0] == pytest.approx(wanted, abs=0.1 if floor.job.units == "in" else 2.0)


def test_any_text_survives(plan):
    floor, root = plan
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert any(printable(floor.layout.title)[:12] in text for text in texts)
    assert any(floor.room.openings[0].name in text for text in texts)


def test_same_layout_same_bytes():
    floor = laid(PLAIN)[0]
    assert plan_svg(floor) == plan_svg(floor)


def test_north_where_the_scene_tells_it_or_walls_are_named_by_it():
    cut = PLAIN.replace("[180, 144], [0, 144]]", "[180, 144], [20, 144], [0, 100]]")
    for scene, told in ((PLAIN, True), (cut, False), (ASKEW, True)):
        floor = laid(scene)[0]
        root = ET.fromstring(plan_svg(floor))
        assert any(text.text == "N" for text in root.iter(f"{SVG}text")) is told


def test_control_characters_are_left_out():
    assert printable("a\x00\x0b\ud800b\n") == "ab\n"


@pytest.mark.parametrize(("turn", "set_at"), [(0, 0), (90, -90), (-90, -90), (180, 0), (120, -60), (-135, 45)])
def test_text_never_stands_on_its_head(turn, set_at):
    assert upright(turn) == set_at


def test_wide_scripts_take_more_room():
    assert text_width("床板", 2) > text_width("ab", 2) > text_width("il", 2)


@pytest.mark.parametrize(
    ("size", "units", "name", "scale"),
    [
        ((4.0, 3.0), "mm", "A4", "1:25"),
        ((2.0, 1.5), "mm", "A4", "1:20"),
        ((40.0, 25.0), "m", "A2", "1:100"),
        ((4.57, 3.66), "in", "Letter", "3/8\" = 1'"),
        ((900.0, 700.0), "m", "a roll", "1:500"),
    ],
)
def test_sheet_and_scale(size, units, name, scale):
    form = choose_format(*size, units, 18.0)
    assert (form.name, form.scale_text) == (name, scale)
    assert 1000 * size[0] / form.ratio < form.width and 1000 * size[1] / form.ratio < form.height


def test_a_grille_called_as_the_start_is_told_from_it():
    vent = '[[vents]]\nname = "S"\ncenter = [150, 120]\nsize = [10, 4]\n'
    scene = PLAIN.replace("[floor]", vent + "[floor]", 1)
    floor = laid(scene)[0]
    texts = [each.text for each in ET.fromstring(plan_svg(floor)).iter(f"{SVG}text")]
    assert texts.count("grille S") == 1
    assert texts.count("S") <= 1


def test_walls_whose_passages_meet_in_a_corner_are_drawn():
    """A U turned by 175 degrees: between two doors at one corner the wall thins to a line, which is no polygon."""
    a, b, c = 2.1783475479188397, 2.7759973874052566, 2.005520970829638
    u = [(0, 0), (a + b + c, 0), (a + b + c, 5), (a + b, 5), (a + b, 2), (a, 2), (a, 5), (0, 5)]
    doors = tuple(opening(wall=wall, offset=0.0, width=0.9, name=f"door {wall}") for wall in (4, 6, 1))
    (floor,) = lay_jobs([make_job(corners=turned(u, 3.0533256398233664), openings=doors)])
    walls = next(each for each in ET.fromstring(plan_svg(floor)).iter(f"{SVG}path") if each.get("id") == "walls")
    assert len(rings(walls)) >= 3


def test_numbers_of_walls_stand_clear_of_piers():
    """In a bay whose walls are windows between piers 75 mm wide: each number stands on its own wall, nearest to it,
    and clear of the ends of its openings."""
    floor = floors("bay")[0]
    plan = customer_plan(floor, 180.0, 235.0)
    scale = 1000 / plan.ratio
    texts = list(ET.fromstring(plan.svg).iter(f"{SVG}text"))
    corners = floor.room.corners
    for number in range(1, len(corners) + 1):
        (text,) = (each for each in texts if each.text == str(number) and float(each.get("y")) < plan.height - 10)
        at = np.array([float(text.get("x")), float(text.get("y")) - 0.35 * float(text.get("font-size"))])
        point = np.array(plan.corner) + (at - plan.origin) * [1, -1] / scale
        walls = [LineString([corners[n], corners[(n + 1) % len(corners)]]) for n in range(len(corners))]
        away = [each.distance(Point(point)) for each in walls]
        assert np.argmin(away) == number - 1, (number, away)
        for each in (each for each in floor.room.openings if each.wall == number):
            along = (each.b - each.a) / np.hypot(*(each.b - each.a))
            for jamb in (each.a, each.b):
                assert abs((jamb - point) @ along) * scale > 1.2, number
