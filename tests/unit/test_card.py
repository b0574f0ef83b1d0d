"""The layer's card: one page, true to the layout, from which a right angle and the chalk line can be set out."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import ezdxf
import ezdxf.bbox
import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
from paper_scenes import ASKEW, PLAIN, laid
from pdf_reading import page_sizes, page_texts
from shapely import Point, Polygon

from preview.data import data_folder
from preview.floor.cut_shapes import Marked
from preview.floor.cuts import cut_boards
from preview.floor.layout import Role
from preview.paper.card.card import layer_card
from preview.paper.card.card_steps import card_steps
from preview.paper.card.piece_sketches import sketches
from preview.paper.exports.layout_dxf import HOLES, INSUNITS, METRES, layout_dxf
from preview.paper.plan.fitted_plan import layer_plan
from preview.paper.plan.plan_svg import plan_svg
from preview.paper.plan.right_angle import right_angle
from preview.paper.words.cutting_list import board_words
from preview.paper.words.layout_text import CAUTIONS, layout_text
from preview.paper.words.setting_out import directions
from preview.scene.read import load_scene
from preview.steps import lay_jobs
from preview.units import parse_length
from tests.strategies import box, make_job, turned

DINING = data_folder("scenes") / "dining-room.toml"


def floors():
    return [*laid(PLAIN), *laid(ASKEW), *lay_jobs(load_scene(DINING))]


def named(steps):
    return {name: " ".join(lines) for name, *lines in steps}


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_two_pages_with_all_that_a_layer_needs(floor):
    content = layer_card(floor)
    size = (215.9, 279.4) if floor.job.units == "in" else (210.0, 297.0)
    assert page_sizes(content) == [size, size]
    words = " ".join(page_texts(content))
    for part in ("Layer’s card", "Stop block", "spacer block", "Chalk line", "Start point S", "Right angle"):
        assert part in words, part
    for part in (
        "First board",
        "Courses",
        "Expect at the ends",
        "Field boards",
        "Border",
        "Long edge at the wall",
        "Ten boards",
        *CAUTIONS,
    ):
        assert part in words, part
    for vent in floor.room.vents:
        assert vent.name in words
    image = np.asarray(pdfium.PdfDocument(content)[0].render(scale=0.5, grayscale=True).to_pil())
    for edge in (image[:9], image[-9:], image[:, :9], image[:, -9:]):
        assert (edge > 200).all()


def test_the_same_floor_has_the_same_card():
    floor = laid(ASKEW)[0]
    assert layer_card(floor) == layer_card(floor)


def lengths(text, units):
    """The lengths in a line of the card, metres."""
    if units != "in":
        return [float(each) / 1000 for each in re.findall(r"(\d+) mm", text)]
    found = re.findall(r"\d+' \d+(?: \d+/\d+)?\"|\d+'|\d+(?: \d+/\d+)?\"|\d+/\d+\"", text)
    return [parse_length(each, "in") for each in found]


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_a_3_4_5_right_angle_reproduces_from_the_printed_distances(floor):
    """Marks set out with a tape from what is printed stand square to within its rounding (Euclid I.48)."""
    angle = right_angle(floor.room, floor.layout, floor.job.units)
    steps = named(card_steps(floor, angle))
    four, three, five = lengths(steps["Right angle"], floor.job.units)
    assert three**2 + four**2 == pytest.approx(five**2, rel=1e-9)  # exact: parts are whole on the tape
    # The corner that those three tapes close on, by the law of cosines, is square.
    assert np.degrees(np.arccos((three**2 + four**2 - five**2) / (2 * three * four))) == pytest.approx(90, abs=1e-6)
    start = floor.layout.start_point
    along, left = directions(floor.layout)
    assert np.allclose(angle.along - start, four * along) and abs((angle.across - start) @ along) < 1e-9
    side = left if angle.side == "left" else -left
    assert (angle.across - start) @ side == pytest.approx(three)
    assert floor.layout.field.buffer(1e-6).covers(Polygon([start, angle.along, angle.across]))


def test_no_grille_is_called_as_an_end_of_the_right_angle():
    """A reader of card and plan finds each letter once: grilles called P, q and U, and the card names others."""
    vents = "".join(
        f'[[vents]]\nname = "{name}"\ncenter = [{150 - 30 * number}, 120]\nsize = [10, 4]\n'
        for number, name in enumerate(("P", "q", "U"))
    )
    floor = laid(PLAIN.replace("[floor]", vents + "[floor]", 1))[0]
    angle = right_angle(floor.room, floor.layout, "in")
    words = named(card_steps(floor, angle))["Right angle"]
    assert re.search(r"From S mark V .* along the chalk line. X is where .* from S and .* from V cross", words)
    plan = layer_plan(floor, angle, 134.0, 165.0)
    written = re.findall(r"<text[^>]*>([^<]*)</text>", plan.svg.decode())
    assert all(written.count(each) == 1 for each in ("S", "V", "X", "P", "q", "U"))


def test_the_chalk_line_and_the_start_reproduce_from_the_printed_distances():
    """In a room with square walls the tapes along a wall end on the chalk line, and S lies where it is said to."""
    for floor in lay_jobs(load_scene(DINING)):
        steps = named(card_steps(floor, None))
        low, high = floor.room.corners.min(0), floor.room.corners.max(0)
        near = steps["Chalk line"].split("Far end")[0]
        assert "on wall 1 (with the hall archway)" in near
        place = floor.layout.chalk_line[0][0]
        for tape, corner in re.findall(r"([\d' /]+\") from corner (\d/\d)", near):
            (along,) = lengths(tape, "in")
            end = low[0] + along if corner == "4/1" else high[0] - along
            assert end == pytest.approx(place, abs=0.0254 / 64 + 1e-9)
        south, _ = lengths(steps["Start point S"], "in")
        assert low[1] + south == pytest.approx(floor.layout.start_point[1], abs=0.0254 / 64 + 1e-9)
        spacer, hearth, *_ = lengths(steps["Border line and spacer block"], "in")
        assert spacer == pytest.approx(floor.room.border_line, abs=1e-9)
        assert hearth == pytest.approx(floor.layout.border_width, abs=1e-9)


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_the_first_board_has_its_corner_on_the_start_point_and_leans_left(floor):
    pieces, layout = floor.layout.pieces, floor.layout
    polygon = pieces.polygons[layout.first[0]]
    along, left = directions(layout)
    assert polygon.distance(Point(layout.start_point)) < 2 * layout.board.gap + 1e-6
    middle = np.array(polygon.centroid.coords[0]) - layout.start_point
    assert middle @ along > 0 and middle @ left > 0 and layout.facts.first_board == "left-leaning"


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_cut_boards_are_counted_once_each(floor):
    """What the card's list shows and what it leaves to the full list are all the cut boards; it says where that is."""
    words = " ".join(page_texts(layer_card(floor)))
    boards = words.split("Field boards ")[1].split(" Border ")[0].split("angles are off square. ")[1]
    shown = re.findall(r"([\d,]+) (?:of|more,) ", boards)
    assert sum(int(each.replace(",", "")) for each in shown) == floor.layout.measures["cut_boards"]
    assert ("more" in boards) == ("in the layer's list, by wall and course (printed by preview lay)" in boards)


def written_lines(content, page):
    """Each line of text on a page: its words, and its box (left, bottom, right, top) in points."""
    text = pdfium.PdfDocument(content)[page].get_textpage()
    boxes = [text.get_rect(each) for each in range(text.count_rects())]
    return [(text.get_text_bounded(*each), each) for each in boxes]


def test_a_room_of_many_cuts_has_all_of_them_on_the_card_above_its_foot():
    """A ten-cornered bay turned by 20 degrees: every line of each list is on the page, in its column, above the
    cautions; and where even the smallest letters are too large for them all, the card says how many it leaves out."""
    half = [(5.2, 0), (5.2, 4.1), (4, 4.1), (4, 4.72), (3.25, 5.1)]
    bay = turned([*half, *((5.2 - x, y) for x, y in half[::-1])], np.radians(20))
    for width, run, complete in ((0.09, None, True), (0.03, 0.5, False)):
        (floor,) = lay_jobs([make_job(corners=bay, board_width=width, start="full", run=run)])
        content = layer_card(floor)
        assert len(page_texts(content)) == 2
        lines = written_lines(content, 1)
        counts = [found for text, _ in lines if (found := re.match(r"([\d,]+) (of$|more, )", text.strip()))]
        pieces = floor.layout.measures["cut_boards"] + floor.layout.measures["border_pieces"]
        assert sum(int(each[1].replace(",", "")) for each in counts) == pieces
        assert ("more, " in [each[2] for each in counts]) != complete
        foot = max(top for text, (_, _, _, top) in lines if text.startswith("Saw with the guard"))
        for text, (left, bottom, right, top) in lines:
            assert 0 < left < right < 595.3 and top < 842, text
            assert bottom > foot - 1 or text.strip() in " ".join(CAUTIONS) or text.strip() == "·", text
        size = [top - bottom for text, (_, bottom, _, top) in lines if re.match(r"long \d", text)]
        assert min(size) > 0.5 * 6.8  # a capital or a figure is about two thirds of the type's size, 0.8 of 8.6 pt


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_what_to_buy_is_on_the_card(floor):
    words = " ".join(page_texts(layer_card(floor)))
    (said,) = re.findall(r"Boards ([\d,]+) of .*?: ([\d,]+) to cut and (\d+) spare", words)
    every, cut, spare = (int(each.replace(",", "")) for each in said)
    assert cut == floor.layout.measures["blanks"] and every == cut + spare == cut + max(2, -(-cut // 50))
    said = r"Waste ([\d.]+) % on top of the field, no offcut used again; ([\d.]+) % with the spares"
    ((alone, share),) = re.findall(said, words)
    assert float(alone) == pytest.approx(100 * floor.layout.measures["waste"], abs=0.051)
    board = floor.layout.board
    added = every * board.width * board.length / floor.layout.measures["field_area"] - 1
    assert float(share) == pytest.approx(100 * added, abs=0.051)


def test_awkward_names_stay_on_the_two_pages():
    room = PLAIN.replace("Plain room", "W" * 200).replace('"archway"', '"' + "long name " * 18 + '"')
    for floor in laid(room):
        assert len(page_texts(layer_card(floor))) == 2
    floor = laid(PLAIN)[0]
    layout = replace(floor.layout, title="🏡 שלום #x[*]", warnings=("a warning " * 30,) * 12)
    assert "#x[*]" in " ".join(page_texts(layer_card(replace(floor, layout=layout))))


def test_mitres_are_told_only_of_strips_that_have_them():
    (floor, _) = laid(PLAIN)
    words = " ".join(page_texts(layer_card(floor)))
    assert words.count("Long edge at the wall") == 1  # the border's; a threshold's ends are square
    assert re.search(r'Border \d+ pieces 4" wide, \d+ ft in all before waste\. Long edge', words)
    assert re.search(r'Thresholds 1 piece 5 5/8" wide, [^.]*\. 1 of 5\' long, square', words)


def test_steps_tell_only_of_what_the_plan_shows():
    floor = laid(PLAIN)[0]
    fine, middling, coarse = (named(card_steps(floor, None, each)) for each in (48, 150, 400))
    blue = "First boards (the first is blue on the plan)"
    assert blue in fine and fine["Courses"].endswith("up on the plan, numbered on it from the left as in step 1.")
    assert blue in middling and middling["Courses"].endswith("running up on the plan.")
    assert "First boards" in coarse and "blue" not in " ".join(coarse)
    for ratio, drawn in ((16.0, True), (2000.0, False)):
        space = (1000 * 6 / ratio + 40, 1000 * 6 / ratio + 60)
        svg = layer_plan(floor, None, *space).svg
        assert (b'id="first-board"' in svg) is drawn


def test_without_a_border_none_is_named():
    floor = laid(PLAIN.replace("[border]\nwidth = 4", "[border]\nwidth = 0"))[0]
    for words in (
        " ".join(page_texts(layer_card(floor))),
        layout_text(floor),
        " ".join(re.findall(r">([^<]+)<", plan_svg(floor).decode())),
    ):
        assert "order" not in words.replace("in this order", ""), words
        assert re.search("edge line", words, re.IGNORECASE)


def test_the_card_as_svg():
    floor = laid(PLAIN)[0]
    content = layer_card(floor, "svg")
    assert content.startswith(b"<svg") and content == layer_card(floor, "svg")
    assert b'width="612' in content  # points: Letter


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_dxf_areas_add_up_to_the_layout_in_real_units(floor):
    drawing = _read(layout_dxf(floor))
    unit = METRES[floor.job.units]
    assert drawing.header["$INSUNITS"] == INSUNITS[floor.job.units]
    pieces = floor.layout.pieces
    for role, layer in ((Role.BOARD, "boards"), (Role.BORDER, "border"), (Role.THRESHOLD, "thresholds")):
        expected = float(shapely.area(pieces.polygons[pieces.role == role]).sum())
        area = sum(each.area for each in _rings(drawing, layer)) - sum(
            each.area for each in _rings(drawing, layer + HOLES)
        )
        assert area * unit**2 == pytest.approx(expected, abs=1e-9)
        assert len(_rings(drawing, layer)) == int((pieces.role == role).sum())
    floor_area = sum(each.area for each in _rings(drawing, "walls")) * unit**2
    assert floor_area == pytest.approx(floor.room.outline.area, abs=1e-9)


def test_dxf_is_sound_named_and_repeatable():
    floor = lay_jobs(load_scene(DINING))[0]
    content = layout_dxf(floor)
    assert content == layout_dxf(floor)
    drawing = _read(content)
    assert not drawing.audit().errors
    names = {layer.dxf.name for layer in drawing.layers}
    assert {"boards", "border", "chalk line", "centre line", "border line", "grille slots", "start point"} <= names
    (chalk,) = drawing.query('LINE[layer=="chalk line"]')
    assert chalk.dxf.start[0] * 0.0254 == pytest.approx(floor.layout.chalk_line[0][0])
    texts = [each.dxf.text for each in drawing.query('TEXT[layer=="names"]')]
    assert {"A", "B", "hearth", "hall archway"} <= set(texts)


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.variant)
def test_dxf_layers_have_names_that_every_program_takes_and_the_extents_hold_all(floor):
    """Characters that no name of a layer may have: DXF reference, symbol table names (from memory)."""
    drawing = _read(layout_dxf(floor))
    assert not [layer.dxf.name for layer in drawing.layers if re.search(r'[<>/\\":;?*|=,`]', layer.dxf.name)]
    low, high = (np.array(drawing.header[each])[:2] for each in ("$EXTMIN", "$EXTMAX"))
    found = ezdxf.bbox.extents(drawing.modelspace(), fast=True)
    assert (low <= np.array(found.extmin)[:2] + 1e-6).all() and (high >= np.array(found.extmax)[:2] - 1e-6).all()
    assert (high - low < 1.25 * np.array(found.size)[:2]).all()


def _read(content):
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def _rings(drawing, layer):
    return [
        Polygon([point[:2] for point in each.get_points()]) for each in drawing.query(f'LWPOLYLINE[layer=="{layer}"]')
    ]


def test_the_card_leaves_advice_on_the_scene_to_its_author():
    """Who lays the floor can't change the scene's start: `lay` and `check` tell it, the card warns of the triangles."""
    (floor,) = lay_jobs([make_job(corners=box(0, 0, 180 * 0.0254, 140 * 0.0254), start="full")])
    words = " ".join(page_texts(layer_card(floor)))
    assert "end in triangles" in words and "start = " not in words
    assert 'to avoid small triangles, try start = "both"' in layout_text(floor)


def test_where_no_gap_is_left_at_an_obstacle_it_is_to_be_agreed_before_laying():
    island = '[[obstacles]]\nname = "island"\nkind = "island"\ncorners = [[80, 60], [110, 60], [110, 90], [80, 90]]\n'
    floor = laid(PLAIN.replace("[floor]", f"{island}[floor]"))[0]
    words = " ".join(page_texts(layer_card(floor)))
    assert "At the island the layout leaves none: agree before laying whether the boards end against it" in words
    floor = laid(PLAIN.replace("[floor]", f'{island}baseboard = "1/2 in"\n[floor]'))[0]
    assert "layout leaves none" not in " ".join(page_texts(layer_card(floor)))


def test_pieces_that_are_told_by_their_corners_are_drawn():
    """Each such line names its drawing, which is the piece to scale, on a board of the layout's width."""
    drawn = 0
    for floor in (*floors(), laid(BAY)[0]):
        words = " ".join(page_texts(layer_card(floor))).split("Field boards ")[1].split(" Border ")[0]
        marked = {
            board_words(each, floor.job.units, with_ends=True): each.shape
            for each in cut_boards(floor.room, floor.layout)
            if isinstance(each.shape, Marked)
        }
        found = sketches(floor.layout, marked)
        assert set(found) == set(marked)
        for told, sketch in found.items():
            scale = sketch.width / floor.layout.board.width
            outline, *holes = (shapely.Polygon(ring).area for ring in sketch.rings)
            assert outline - sum(holes) == pytest.approx(marked[told].area * scale**2, abs=0.02)
            assert sketch.width >= 1.8 and sketch.height < 18
            assert words.count(f"{sketch.name})") == 1 and len(re.findall(rf"\b{sketch.name}\b", words)) == 2
        drawn += len(found)
    assert drawn > 20


BAY = """
title = "Bay"
units = "mm"
room.walk = ["E 3600", "S 1400", "E 2400", "N 1900", "NE 900", "N 1500", "NW 900", "N 1200", "W 6000", "S 4472"]
floor.board_width = 90
border.width = 90
openings = [{ name = "hall door", kind = "door", wall = 1, offset = 700, width = 850 }]
obstacles = [{ name = "hearth", kind = "hearth", corners = [[0, 200], [450, 200], [450, 1150], [0, 1150]] }]
"""
