"""Paint: read from a scene, found in a firm's own file, on the surfaces it belongs to, and told in every paper."""

from dataclasses import replace

import numpy as np
import pytest
from paper_scenes import PLAIN, laid
from skimage.color import rgb2lab

import preview.light.bake as bake
from preview.errors import SceneError
from preview.model.build import build_model
from preview.model.paints import paint_albedo, paint_code, room_paints, srgb_albedo
from preview.paper.compare.trade_off import trade_offs
from preview.paper.quote.agreement import agreed_rows, differences, for_customer
from preview.paper.words.check_text import check_text
from preview.paper.words.compare_rows import compared
from preview.paper.words.picture_words import picture_words
from preview.scene import load_scene, read_scene
from preview.scene.job import PaintChoice
from preview.session import draw_floors
from preview.steps import check_materials, lay_jobs
from tests.commands.running import SCENES, SMALL
from tests.unit import model_values

PAINTED = PLAIN.replace(
    "[floor]", '[paint]\nwalls = "Sage-Green"\nceiling = "#F4F1EA"\n[floor]'
) + (
    '[[variants]]\nname = "Blue"\npaint.walls = "dark blue"\n'
    '[[variants]]\nname = "All"\npaint = { trim = "#E0E0DC" }\n'
)  # fmt: skip


@pytest.fixture
def firm(tmp_path):
    """A folder with a firm's paints: one of its own, measured, and one that takes the place of the walls'."""
    (tmp_path / "paints.toml").write_text(
        '["Hearth white"]\nsrgb = "#EDE6D9"\nwhat = "our white"\nsource = "spectrophotometer, our shop"\n'
        "[wall]\nalbedo = [0.5, 0.4, 0.3]\n",
        encoding="utf-8",
    )
    return tmp_path


def drawn_parts(text, **read):
    floor = lay_jobs(read_scene(text, "room.toml", **read))[0]
    paints = room_paints(floor.job.paint, floor.job.materials)
    return build_model(floor.room, floor.layout, model_values.boards(floor.layout), paints).parts


def test_names_in_any_case_and_codes_are_read_and_variants_change_what_they_name():
    base, _, blue, every = (job.paint for job in read_scene(PAINTED, "room.toml"))
    assert base == PaintChoice("sage green", "#f4f1ea")
    assert blue == PaintChoice("dark blue", "#f4f1ea")
    assert every == PaintChoice("sage green", "#f4f1ea", "#e0e0dc")
    assert read_scene(PLAIN, "room.toml")[0].paint == PaintChoice()


def test_a_code_is_what_comes_back_out_of_the_body():
    """0.96 of the albedo, the skin returning 0.04; #ffffff is as white as paint gets, and 0.96 of all light leaves."""
    assert 0.96 * np.array(srgb_albedo("#808080")) == pytest.approx([0.2158605] * 3, rel=1e-6)  # IEC 61966-2-1
    assert 0.04 + 0.96 * srgb_albedo("#ffffff")[0] == pytest.approx(0.96)
    red, green, blue = srgb_albedo("#fffbf0")
    assert red > green > blue and 0.96 * red == pytest.approx(0.92)  # its hue kept


@pytest.mark.parametrize("code", ["#e8e2d6", "#000000", "#a5b09a", "#f6f6f6"])
def test_a_code_is_told_as_it_was_given(code):
    assert paint_code(code) == code


def test_where_a_scene_says_nothing_the_room_has_the_programs_own():
    paints = room_paints()
    assert paints.wall == paints.next_wall == paint_albedo("wall") == (0.74, 0.71, 0.65)
    assert paints.cabinet == paint_albedo("cabinet") and paints.kick == (0.38, 0.39, 0.37)


def test_each_surface_has_its_paint_and_the_next_room_its_own():
    text = SMALL.replace(
        "[floor]",
        '[[obstacles]]\nname = "island"\nkind = "island"\ncorners = [[40, 40], [70, 40], [70, 60], [40, 60]]\n[floor]',
    )
    plain = {part.name: part.albedo for part in drawn_parts(text)}
    paint = '[paint]\nwalls = "dark blue"\nceiling = "cream"\ntrim = "#e0e0dc"\ncabinets = "bottle green"\n[floor]'
    painted = {part.name: part for part in drawn_parts(text.replace("[floor]", paint, 1))}
    assert plain.keys() == painted.keys()
    assert {painted[f"wall {n}"].albedo for n in (1, 2, 3, 4)} == {paint_albedo("dark blue")}
    assert painted["ceiling"].albedo == paint_albedo("cream")
    assert {painted[name].albedo for name in ("baseboard", "archway casing", "window window")} == {
        srgb_albedo("#e0e0dc")
    }
    assert painted["island"].albedo == paint_albedo("bottle green")
    shade = np.divide(painted["island kick"].albedo, painted["island"].albedo)
    assert shade == pytest.approx(np.divide(plain["island kick"], plain["island"]))  # in the shade of its own paint
    beyond = [name for name in plain if "beyond" in name and painted[name].surface != "trim"]
    assert len(beyond) >= 4 and all(painted[name].albedo == plain[name] for name in beyond)
    assert painted["beyond archway baseboard"].albedo == srgb_albedo("#e0e0dc")
    unpainted = [name for name, part in painted.items() if part.surface in ("stone", "subfloor", "duct", "glass")]
    assert unpainted and all(painted[name].albedo == plain[name] for name in unpainted if name in plain)


def test_a_firm_s_paints_are_drawn(firm):
    walls = {part.name: part.albedo for part in drawn_parts(SMALL, materials=firm)}
    assert walls["wall 1"] == (0.5, 0.4, 0.3)
    own = SMALL.replace("[floor]", '[paint]\nwalls = "hearth white"\n[floor]')
    walls = {part.name: part.albedo for part in drawn_parts(own, materials=firm)}
    assert walls["wall 1"] == srgb_albedo("#ede6d9")


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (
            'srgb = "red"',
            'line 2: fog.srgb: "red" as a colour; write # and six hexadecimal digits, such as "#e8e2d6"',
        ),
        (
            "albedo = [0.5, 0.5]",
            "line 2: fog.albedo: an array of 2 instead of red, green and blue; write 3 numbers in brackets",
        ),
        (
            "albedo = [0.5, 0.5, 1.5]",
            "line 2: fog.albedo[3]: blue of 1.5; give a number between 0 and 1",
        ),
        ('what = "fog"', "line 1: fog: no colour; give it one, such as"),
        ('srgb = "#ffffff"\nalbedo = [1, 1, 1]', "line 1: fog: both srgb and albedo; give it one, such as"),
        ('rgb = "#ffffff"', 'line 2: fog.rgb: unknown key "rgb"; did you mean "srgb"?'),
    ],
)
def test_what_is_wrong_with_a_firm_s_paint_is_said_with_its_place(tmp_path, written, words):
    (tmp_path / "paints.toml").write_text(f"[fog]\n{written}\n")
    jobs = read_scene(SMALL.replace("[floor]", '[paint]\nwalls = "fog"\n[floor]'), "room.toml", materials=tmp_path)
    with pytest.raises(SceneError) as raised:
        check_materials(jobs)
    assert f"paints.toml, {words}" in str(raised.value)


def test_another_paint_is_lit_without_another_bake(monkeypatch, tmp_path):
    """Who sees what is found once; the floor of the darker room has less light, and a red wall reddens it."""
    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path))
    traced = []
    real = bake.find_visibility
    monkeypatch.setattr(bake, "find_visibility", lambda geometry: traced.append(1) or real(geometry))
    text = SMALL.split("[[variants]]")[0] + '[[variants]]\nname = "Red"\npaint.walls = "#a03020"\n'
    floors = lay_jobs(read_scene(text, "room.toml"))
    off_white, red = (each.picture for each in draw_floors(floors, ["plan"], (160, 120)))
    assert traced == [1]
    middle = [picture.hdr[50:70, 70:90].mean(axis=(0, 1)) for picture in (off_white, red)]
    assert middle[1].sum() < 0.8 * middle[0].sum()
    assert middle[1][0] / middle[1][2] > 1.02 * middle[0][0] / middle[0][2]


def test_white_walls_are_white_beside_a_scene_of_green_ones():
    """The exposure is the scene's, whose light is green; the eye adapts to the light of the room that is drawn. The
    wall is as near to grey as where it is drawn by itself, and the floor as near to what it is in the green room."""
    views = (
        '[[viewpoints]]\nname = "wall"\nat = [50, 20]\nlook = [100, 70, 50]\neye = "5 ft"\n'
        '[[viewpoints]]\nname = "plan"\nkind = "plan"\n'
    )
    green = f'{SMALL.split("[[variants]]")[0]}{views}[paint]\nwalls = "#8fae7d"\n'
    both = lay_jobs(read_scene(f'{green}[[variants]]\nname = "White"\npaint.walls = "#ededed"\n', "a.toml"))
    alone = lay_jobs(read_scene(green.replace("#8fae7d", "#ededed"), "a.toml"))

    def chroma(drawn):
        return rgb2lab(drawn.picture.rgb[40:70, 65:95] / 255.0).mean(axis=(0, 1))[1:]

    green_wall, green_floor, wall, floor = (chroma(each) for each in draw_floors(both, [], (160, 120)))
    by_itself, _ = (chroma(each) for each in draw_floors(alone, [], (160, 120)))
    assert np.hypot(*(wall - by_itself)) < 1.0
    assert np.hypot(*(floor - green_floor)) < 3.0
    assert green_wall[0] < wall[0] - 8  # one is green, the other is not


def test_check_tells_the_paint_and_what_sets_variants_apart():
    text = check_text(laid(PAINTED))
    assert "  Walls    sage green, #a5b09a, an estimate\n" in text
    assert "  Ceiling  #f4f1ea, as a screen or a fan deck shows it, an estimate\n" in text
    assert "  Blue\n    Paint of the walls  dark blue, not sage green\n" in text
    assert "  All\n    Paint of the trim  #e0e0dc, not a stand-in\n" in text
    assert "Paint" not in check_text(laid(PLAIN))


def test_check_warns_of_a_white_that_no_paint_has_and_of_cabinets_that_are_not_there():
    text = check_text(laid(PAINTED.replace("#F4F1EA", "#FFFFFF").replace("[floor]", 'cabinets = "cream"\n[floor]', 1)))
    assert "no paint is as white as the #ffffff of paint.ceiling: it is drawn as #f6f6f6, about the whitest" in text
    assert "paint.cabinets paints nothing: the room has no cabinet and no island" in text
    assert "Blue" not in text.split("paint.cabinets paints nothing")[1]  # goes for all variants


def test_a_quote_says_what_paint_its_pictures_show():
    floors = laid(PAINTED)
    rows = dict(agreed_rows(floors[0]))
    assert rows["Paint"] == (
        "The pictures show the walls in sage green and the ceiling in #f4f1ea. Painting is not part of this work "
        "unless a line of the price names it."
    )
    assert "Paint" not in dict(agreed_rows(laid(PLAIN)[0]))
    told = dict(differences(floors, for_customer(compared(floors))))
    assert told["Blue"] == [("Paint of the walls", "dark blue")]


def test_a_comparison_says_what_is_painted_otherwise():
    base, archway, blue, every = laid(PAINTED)
    assert [each.said for each in trade_offs([base, blue])] == [("Walls sage green", "Walls dark blue")]
    assert [each.said for each in trade_offs([base, every])] == [("Trim: no paint chosen", "Trim #e0e0dc")]
    assert not any("paint" in each.what for each in trade_offs([base, archway]))


def test_the_note_on_colours_says_which_paint_is_made_up_and_which_is_an_estimate(firm):
    def said(paint, text=PLAIN, **read):
        floor = lay_jobs(read_scene(text, "room.toml", **read))[0]
        return picture_words(floor.room, replace(floor.job, paint=paint))

    assert "The next room, the lamplight and the paint in them are stand-ins." in said(PaintChoice())
    words = said(PaintChoice(walls="sage green", ceiling="#f4f1ea"))
    assert "The next room, the lamplight and the paint of the trim in them are stand-ins." in words
    assert "The colours of white oak and the paint are estimates and were not measured." in words
    assert "#f4f1ea is as a screen or a fan deck shows it." in words
    words = said(PaintChoice("Hearth white", "Hearth white", "Hearth white"), materials=firm)
    assert "The next room and the lamplight in them are stand-ins." in words
    assert "The colours of white oak are estimates" in words and "paint" not in words
    words = said(PaintChoice("Hearth white", "Hearth white", "#e0e0dc"), materials=firm)
    assert "The colours of white oak and the paint of the trim are estimates" in words
    kitchen = lay_jobs(load_scene(SCENES / "kitchen.toml"))[0]
    words = picture_words(kitchen.room, replace(kitchen.job, paint=PaintChoice("cream", "cream", "cream")))
    assert "and the paint of the cabinets in them are stand-ins" in words
