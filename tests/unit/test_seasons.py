"""A floor through the year: joints, space at the walls, what is said of it, and the joints that are drawn."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from model_values import boards
from pdf_reading import page_texts

from preview.errors import SceneError
from preview.floor.layout import Role
from preview.model.ease import BEVEL
from preview.model.floor import floor_meshes
from preview.model.model import Model
from preview.paper.card.card import layer_card
from preview.paper.exports.layout_json import layout_json
from preview.paper.quote.agreement import agreed_rows
from preview.paper.words.check_text import check_text
from preview.paper.words.compare_rows import compared
from preview.paper.words.layout_text import layout_text
from preview.paper.words.year import joint_text
from preview.picture.floor_faces import floor_surfaces, line_width
from preview.scene.job import Moisture
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from preview.units import format_gap, format_length
from preview.wood.movement import change
from preview.wood.seasons import MEANINGS, drawn_in_season, seasons, strain, through_the_year
from preview.wood.species import load_species
from tests.strategies import INCH, box, make_job, obstacle

YEAR = Moisture(8, 11, 5)
ROOM = box(0, 0, 3.0, 5.0)


def lay(moisture=YEAR, season="install", cut="quartersawn", **kwargs):
    job = make_job(**{"corners": ROOM, **kwargs})
    wood = replace(job.wood, moisture=moisture, season=season, cut=cut)
    return lay_jobs([replace(job, wood=wood, border_wood=replace(wood, species="walnut", cut="plainsawn"))])[0]


def year(floor):
    return seasons(floor)


def test_boards_laid_tight_open_by_what_they_shrink_and_press_by_what_they_swell():
    found = year(lay())
    oak = load_species("white oak").shrinkage
    width = 4 * INCH
    assert found.winter.joint == pytest.approx(-width * change(oak, "quartersawn", 8, 5))
    assert found.winter.push == 0
    assert found.summer.joint == 0
    assert found.summer.push == pytest.approx(3 * 0.00180)
    assert found.summer.border == pytest.approx(4 * INCH * 3 * 0.00274)  # the border's own wood and cut


def test_open_joints_take_the_swelling_first():
    found = year(lay(gap=0.002))
    assert found.summer.joint == pytest.approx(0.002 - 4 * INCH * 3 * 0.00180)
    assert found.summer.push == 0
    assert all(each.wanted == pytest.approx(found.summer.border) for each in found.spaces)


def test_the_space_at_each_wall():
    """All of the movement along the run, half of it across, over half of the field; and the border's own width."""
    floor = lay()
    found = year(floor)
    west, south, east, north = floor.layout.field.bounds
    along, across = found.summer.push * (north - south) / 2, found.summer.push / 2 * (east - west) / 2
    border = found.summer.border
    wanted = [each.wanted for each in found.spaces]
    assert wanted == pytest.approx([along + border, across + border, along + border, across + border])
    assert {each.left for each in found.spaces} == {floor.room.edge} == {0.75 * INCH}


@pytest.mark.parametrize("backwards", [False, True])
def test_walls_may_be_given_either_way_round_and_turned(backwards):
    """The same room and floor turned by 30 degrees, or walked the other way, want the same at the same walls."""
    turn = np.array([[math.cos(0.5), -math.sin(0.5)], [math.sin(0.5), math.cos(0.5)]])
    corners = [tuple(turn @ each) for each in np.array(ROOM)]
    floor = lay(corners=corners[::-1] if backwards else corners, run=math.pi / 2 + 0.5)
    found = sorted(each.wanted for each in year(floor).spaces)
    assert found == pytest.approx(sorted(each.wanted for each in year(lay()).spaces), rel=1e-6)


def test_a_hearth_is_named_and_what_stands_behind_it_is_not_counted():
    hearth = obstacle(box(1.0, 4.4, 1.0, 0.6), "hearth", "hearth")
    floor = lay(obstacles=[hearth])
    found = year(floor)
    (space,) = (each for each in found.spaces if not each.wall)
    assert (space.name, space.left) == ("hearth", 0.0)
    assert found.summer.border < space.wanted < found.spaces[2].wanted


@given(st.sampled_from(["plainsawn", "riftsawn", "quartersawn"]), st.floats(4, 20), st.floats(4, 20))
def test_wood_that_dries_narrows_and_wood_that_dampens_widens(cut, start, end):
    shrinkage = load_species("beech").shrinkage
    share, step = change(shrinkage, cut, start, end), end - start
    assert share * step >= 0
    assert 0.001 * abs(step) - 1e-12 <= abs(share) <= 0.006 * abs(step) + 1e-12
    further = change(shrinkage, cut, start, end + 0.1)
    assert 0.0001 < further - share < 0.0006  # no step and no turn at the equations' limits


@settings(max_examples=15, deadline=None)
@given(st.floats(0.03, 0.3))
def test_joints_grow_with_the_board_s_width(width):
    floor = lay()
    board = replace(floor.layout.board, width=width)
    found = year(replace(floor, layout=replace(floor.layout, board=board)))
    assert found.winter.joint / width == pytest.approx(year(floor).winter.joint / floor.layout.board.width)


def test_a_climate_with_wet_winters():
    found = year(lay(Moisture(9, 7, 12)))
    assert found.wetter is found.winter and found.winter.push > 0 and found.summer.joint > 0


def test_without_moisture_nothing_is_said():
    floor = lay(None)
    assert year(floor) is None
    assert through_the_year(floor) is floor
    assert not set(MEANINGS) & set(floor.layout.measures)
    assert "Through the year" not in layout_text(floor)
    assert strain(floor.job.wood, "winter") == 0


def test_measures_are_named_and_reach_the_json():
    floor = lay()
    assert set(MEANINGS) <= set(floor.layout.measures)
    assert f'"joint_winter": {floor.layout.measures["joint_winter"]!r}' in layout_json(floor)


def test_too_little_space_is_warned_of():
    def warned(**kwargs):
        floor = lay(**kwargs)
        return floor.layout.measures, [each for each in floor.layout.warnings if "moisture" in each]

    assert warned()[1] == []
    measures, (warning,) = warned(cut="plainsawn")
    most = format_length(measures["space_wanted"], "in")
    assert warning == (
        f"in summer, at 11 % moisture, boards that nothing holds down would need up to {most} at wall 1 and wall 3, "
        "and 3/4\" is left under the baseboard: fasten and space it as the boards' maker says"
    )
    _, (bare,) = warned(baseboard=0.0, overlap=0.0)
    assert "no space is left there" in bare and "wall 4" in bare


def test_what_is_drawn_stays_as_laid_at_installation_and_in_summer():
    for season in ("install", "summer"):
        floor = lay(season=season)
        layout, shrunk = drawn_in_season(floor.layout, floor.job)
        assert layout is floor.layout and not shrunk.any()


def test_winter_draws_edges_back_and_summer_closes_open_joints():
    floor = lay(season="winter")
    layout, shrunk = drawn_in_season(floor.layout, floor.job)
    role = np.concatenate([floor.layout.pieces.role, floor.layout.beyond.role])
    assert layout is floor.layout and len(shrunk) == len(role)
    assert shrunk[role == Role.BOARD] == pytest.approx(-strain(floor.job.wood, "winter"))
    assert shrunk[role == Role.BORDER] == pytest.approx(-strain(floor.job.border_wood, "winter"))
    summer = lay(season="summer", gap=0.002)
    drawn, _ = drawn_in_season(summer.layout, summer.job)
    assert drawn.board.gap == pytest.approx(year(summer).summer.joint)
    assert drawn.pieces is summer.layout.pieces


SCENE = """
units = "in"
room.corners = [[0, 0], [150, 0], [150, 200], [0, 200]]
room.height = 96
room.baseboard = 1
floor.board_width = 5
border.width = 4
wood.species = "hickory"
wood.moisture = { install = 8, summer = 11, winter = 5 }
variants = [{ name = "In winter", wood.season = "winter" }, { name = "Quarter", wood.cut = "quartersawn" }]
"""


def test_a_scene_gives_moisture_and_season_to_both_woods_and_its_variants():
    base, winter, quarter = read_scene(SCENE, "room.toml")
    assert base.wood.moisture == base.border_wood.moisture == Moisture(8, 11, 5) == quarter.wood.moisture
    assert (base.wood.season, winter.wood.season, winter.border_wood.season) == ("install", "winter", "winter")


MOISTURE = "wood.moisture = { install = 8, summer = 11, winter = 5 }"


@pytest.mark.parametrize(
    ("there", "instead", "key", "line", "words"),
    [
        ("winter = 5 }", "winter = 3 }", "wood.moisture.winter", 9, "a moisture content of 3; give a number between 4"),
        ("winter = 5 }", 'winter = "5" }', "wood.moisture.winter", 9, 'a moisture content of "5"; give a number'),
        (", winter = 5 }", " }", "wood.moisture", 9, 'no "winter"; add winter = 5, per cent'),
        (MOISTURE, "wood.moisture = 8", "wood.moisture", 9, "8 instead of a table; give it keys"),
        ("install = 8", "instal = 8", "wood.moisture.instal", 9, 'unknown key "instal"; did you mean "install"?'),
        (MOISTURE, "", "variants[1].wood.season", 10, "a floor in winter without its moisture; add wood.moisture ="),
        ("season = \"winter\"", "season = \"spring\"", "variants[1].wood.season", 10, 'unknown season "spring"'),
        (MOISTURE, MOISTURE.replace("wood", "border_wood"), "border_wood.moisture", 9, "of the border's wood alone"),
        (MOISTURE, f"{MOISTURE}\nborder_wood.season = \"summer\"", "border_wood.season", 10, "floor as laid; leave it"),
    ],
)  # fmt: skip
def test_slips_are_told_with_their_place(there, instead, key, line, words):
    assert SCENE.count(there) == 1
    with pytest.raises(SceneError) as caught:
        read_scene(SCENE.replace(there, instead), "room.toml")
    message = str(caught.value)
    assert message.startswith(f"room.toml, line {line}: {key}: ") and words in message


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_numbers_stand_on_every_paper(units):
    scale = {"in": 1, "mm": 25}[units]
    text = SCENE.replace('units = "in"', f'units = "{units}"')
    text = re.sub(r"(?<=[ \[])\d+(?=[\],\n])", lambda found: str(scale * int(found[0])), text)
    text = text.replace(f"install = {8 * scale}", "install = 8").replace(f"summer = {11 * scale}", "summer = 11")
    floors = lay_jobs(read_scene(text, "room.toml"))
    floor = floors[0]
    joint = format_gap(floor.layout.measures["joint_winter"], units)
    assert joint.endswith('"' if units == "in" else " mm") and float(joint.rstrip(' "m')) > 0
    for words in (layout_text(floor), check_text(floors), " ".join(page_texts(layer_card(floor)))):
        assert f"joints of {joint}" in words
        assert format_length(floor.layout.measures["space_wanted"], units) in words
        assert "makers’ instructions" in words.replace("'", "’")
    said = {"in": 'about 1/16"', "mm": "about 1.5 mm"}[units]
    assert (
        f"Joints between boards are {said} wide in winter and closed in summer"
        in dict(agreed_rows(floor))["Through the year"]
    )
    lines = {line.label: line for line in compared(floors)}
    assert lines["Joints in winter"].values[:2] == (said, said) and lines["Joints in winter"].differs
    assert lines["Pictures show it"].values == ("as laid", "in winter", "as laid")


def test_gaps_are_written_finer_than_a_tape():
    assert [format_gap(0.00056, unit) for unit in ("in", "ft", "mm", "cm", "m")] == ['0.022"'] * 2 + ["0.6 mm"] * 3


@pytest.mark.parametrize(
    ("metres", "imperial", "metric"),
    [
        (0.0, "closed", "closed"),
        (0.00056, 'about 1/32"', "about 0.6 mm"),  # 0.022 in
        (0.0003, "a hairline", "about 0.3 mm"),
        (0.0002, "a hairline", "a hairline"),
        (0.0016, 'about 1/16"', "about 1.6 mm"),
        (0.0024, 'about 3/32"', "about 2.4 mm"),
    ],
)
def test_joints_are_told_as_a_tradesman_tells_them(metres, imperial, metric):
    assert [joint_text(metres, unit) for unit in ("in", "ft")] == [imperial] * 2
    assert [joint_text(metres, unit) for unit in ("mm", "cm", "m")] == [metric] * 3


def test_long_edges_draw_back_by_half_and_ends_not_at_all():
    floor = lay(season="winter")
    _, shrunk = drawn_in_season(floor.layout, floor.job)
    meshes = floor_meshes(floor.layout, boards(floor.layout), shrunk)
    whole = np.flatnonzero(floor.layout.pieces.whole & (floor.layout.pieces.role == Role.BOARD))
    half = year(floor).winter.joint / 2
    for mesh in meshes:
        corner, after = mesh.outline.corner, mesh.outline.corner[mesh.outline.after]
        edge = mesh.vertices[after, :2] - mesh.vertices[corner, :2]
        grain = mesh.grain[corner]
        along = np.abs(edge[:, 0] * grain[:, 1] - edge[:, 1] * grain[:, 0]) < 1e-3 * np.linalg.norm(edge, axis=1)
        mine = np.isin(mesh.piece[corner], whole)
        assert (mine & along).any() and (mine & ~along).any()
        assert mesh.outline.drawn_back[mine & along] == pytest.approx(half, rel=1e-3)
        assert mesh.outline.drawn_back[mine & ~along] == pytest.approx(0, abs=1e-9)
    for mesh in floor_meshes(floor.layout, boards(floor.layout), 0 * shrunk):
        assert not mesh.outline.drawn_back.any()


def test_lines_are_as_much_wider_as_their_edges_have_drawn_back():
    """An edge's line ends where the distance that the shader is given equals the width that it is given."""
    floor = lay(season="winter")
    _, shrunk = drawn_in_season(floor.layout, floor.job)
    laid, winter = (
        Model(floor_meshes(floor.layout, boards(floor.layout), each), (), (), np.zeros((2, 3)), (0.3, 0.2, 0.1))
        for each in (None, shrunk)
    )
    assert line_width(laid) == (BEVEL, 0)
    widest = max(float(mesh.outline.drawn_back.max()) for mesh in winter.floor)
    assert line_width(winter) == pytest.approx((BEVEL + widest, widest))
    for one, other in zip(floor_surfaces(laid), floor_surfaces(winter), strict=True):
        assert np.array_equal(one.positions, other.positions)
        # A line's edge lies at BEVEL from the board's as laid, and further in by what that edge drew back.
        further = widest - (other.normals - one.normals)[one.normals < 0.5]
        assert further.min() > -1e-6 and further.max() == pytest.approx(widest, abs=1e-6)


def test_a_summer_drier_than_winter_is_taken_for_a_slip():
    room = "room.height = 96\nroom.corners = [[0, 0], [150, 0], [150, 120], [0, 120]]\n"
    scene = f'units = "in"\nfloor.board_width = 4\n{room}'
    with pytest.raises(SceneError, match="less than 11 in winter"):
        read_scene(scene + "wood.moisture = { install = 8, summer = 5, winter = 11 }\n", "room.toml")


def test_a_hearth_that_the_border_touches_is_warned_of():
    hearth = obstacle(box(1.0, 4.4, 1.0, 0.6), "hearth", "hearth")
    warned = [each for each in lay(obstacles=(hearth,)).layout.warnings if "at the hearth" in each]
    assert len(warned) == 1 and "no space is left there" in warned[0]
