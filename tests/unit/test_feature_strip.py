"""The feature strip between border and field: where it lies, how it is cut and told, what it costs, its year."""

import io
import json
import re
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
import shapely
from pdf_reading import page_texts
from printed_lists import read_list

from preview.floor.border import lay_border
from preview.floor.derived_measures import STRIP_MEANINGS, derived_measures
from preview.floor.layout import Role
from preview.floor.quantities import quantities
from preview.paper.card.card import layer_card
from preview.paper.exports.layout_dxf import layout_dxf
from preview.paper.exports.layout_json import layout_json
from preview.paper.quote.agreement import agreed_rows, floor_rows
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import read_details
from preview.paper.words.compare_rows import compared
from preview.paper.words.layout_text import layout_text
from preview.room.measured import build_room
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from preview.wood.seasons import STRIP_MEANINGS as YEAR_MEANINGS
from preview.wood.seasons import seasons
from tests.strategies import INCH, box, make_job, obstacle

W, D = 186 * INCH, 248 * INCH
BORDER, STRIP = 4 * INCH, 0.75 * INCH

SCENE = """
title = "Inlaid"
units = "in"
[room]
corners = [[0, 0], [186, 0], [186, 248], [0, 248]]
height = 96
baseboard = 1
[[obstacles]]
name = "hearth"
kind = "hearth"
corners = [[60, 228], [126, 228], [126, 248], [60, 248]]
[floor]
board_width = 4
run = 90
[border]
width = 4
strip = { width = "3/4", species = "walnut", finish = "gloss" }
[wood]
species = "white oak"
moisture = { install = 8, summer = 11, winter = 5 }
[border_wood]
species = "cherry"
[[variants]]
name = "Without"
border.strip = "none"
"""


@pytest.fixture(scope="module")
def floors():
    return lay_jobs(read_scene(SCENE, "inlaid.toml"))


def lay(corners, **choices):
    """Return the room and the pieces of border and strip laid in it."""
    job = make_job(corners, strip=STRIP, **choices)
    room = build_room(job)
    laid, warnings = lay_border(room, job.border)
    return room, laid.take(laid.role == Role.BORDER), laid.take(laid.role == Role.STRIP), warnings


def strip_of(floor):
    return floor.layout.pieces.take(floor.layout.pieces.role == Role.STRIP)


def test_its_lines_are_so_far_from_the_walls():
    """4 + 1 - 1/4 = 4 3/4 in to the border's edge (common practice), and 3/4 in more to the field."""
    room, _, strip, _ = lay(box(0, 0, W, D))
    assert room.strip_line == pytest.approx(4.75 * INCH)
    assert room.border_line == pytest.approx(5.5 * INCH)
    assert room.field.bounds == pytest.approx([5.5 * INCH, 5.5 * INCH, W - 5.5 * INCH, D - 5.5 * INCH])
    frame = shapely.union_all(strip.polygons)
    assert frame.equals_exact(frame, 0) and frame.bounds == pytest.approx(
        [4.75 * INCH, 4.75 * INCH, W - 4.75 * INCH, D - 4.75 * INCH]
    )


def test_corners_are_mitred_at_45_degrees():
    """Along the wall a piece from a corner is longer outside than inside by the strip's width."""
    _, _, strip, _ = lay(box(0, 0, 2.0, 1.8))
    assert len(strip) == 4
    for each in strip.polygons:
        sides = np.hypot(*np.diff(shapely.get_coordinates(each), axis=0).T)
        assert sorted(sides)[:2] == pytest.approx([STRIP * np.sqrt(2)] * 2)
        assert max(sides) - sorted(sides)[2] == pytest.approx(2 * STRIP)


def test_its_joints_stand_in_the_middle_of_the_borders_pieces():
    """246.5 in: the border in three pieces of 82 1/6 in, so the strip parts at half, one and a half, two and a half."""
    _, border, strip, _ = lay(box(0, 0, W, D))
    ends = [_ends_along_y(each, 1) for each in (border, strip)]
    third = (D - 1.5 * INCH) / 3
    assert ends[0] == pytest.approx([0.75 * INCH + k * third for k in (1, 2)])
    low, high = 4.75 * INCH, D - 4.75 * INCH
    a, b = ends[0]
    assert ends[1] == pytest.approx([(low + a) / 2, (a + b) / 2, (b + high) / 2])


def _ends_along_y(pieces, edge):
    """Return where the pieces along the room's right wall meet, along y."""
    mine = pieces.polygons[pieces.key[:, 0] == edge]
    spans = sorted((each.bounds[1], each.bounds[3]) for each in mine)
    return [high for _, high in spans[:-1]]


def test_a_run_no_longer_than_the_longest_piece_is_one_piece():
    """The border's run of 86 in is parted, the strip's, 8 in shorter, is not."""
    _, border, strip, _ = lay(box(0, 0, 87.5 * INCH, 60 * INCH))
    assert sorted(border.size[:, 0]) == pytest.approx([43 * INCH] * 4 + [58.5 * INCH] * 2)
    assert sorted(strip.size[:, 0]) == pytest.approx([50.5 * INCH] * 2 + [78 * INCH] * 2)


@pytest.mark.parametrize("longest", [0.4, 1.0, 84 * INCH])
def test_no_piece_is_longer_than_the_longest_and_no_joint_meets_the_borders(longest):
    corners = [(0, 0), (6.2, 0), (6.2, 2.9), (3.1, 2.9), (3.1, 5.0), (0, 5.0)]
    island = obstacle([(1.0, 1.0), (2.6, 1.4), (2.4, 2.2), (0.8, 1.8)], "island", "island")
    _, border, strip, _ = lay(corners, obstacles=[island], longest=longest)
    assert strip.size[:, 0].max() <= longest + 1e-9
    one, other = shapely.STRtree(border.polygons).query(strip.polygons, predicate="intersects")
    shared = shapely.intersection(strip.polygons[one], border.polygons[other], grid_size=1e-7)
    # Whatever lies side by side does so over a good part of its length: no joint stands by another.
    lengths = shapely.length(shared)[shapely.length(shared) > 1e-6]
    assert lengths.min() > 0.2 * longest


def test_it_runs_round_a_column():
    _, _, strip, warnings = lay(box(0, 0, W, D), obstacles=[obstacle(box(2, 1.5, 0.3, 0.3))])
    around = strip.size[strip.key[:, 0] >= 4]
    assert around == pytest.approx(np.array([(0.3 + 2 * BORDER + 2 * STRIP, STRIP)] * 4))
    assert warnings == ()


def test_where_it_is_too_narrow_for_the_field_the_room_says_so():
    """A recess 9 in wide: two borders of 4 in leave an inch of field there, two strips of 3/4 in besides nothing."""
    recess = [(0, 0), (4, 0), (4, 1), (4.5, 1), (4.5, 1 + 9 * INCH), (4, 1 + 9 * INCH), (4, 3), (0, 3)]
    with_, without = (build_room(make_job(recess, strip=strip, baseboard=0)) for strip in (STRIP, 0.0))
    assert without.warnings == ()
    assert with_.warnings == (
        "the floor at wall 5 is narrower than two borders, with their feature strips, and becomes all border; a "
        "narrower border would leave a field there",
    )


def test_the_printed_list_adds_up_to_the_strip(floors):
    floor = floors[0]
    lines = read_list(layout_text(floor), "Feature strip", STRIP, "in")
    strip = strip_of(floor)
    assert sum(line.count for line in lines) == len(strip)
    slack = sum(line.count * line.slack for line in lines)
    area = float(shapely.area(strip.polygons).sum())
    assert slack < 0.02 * area
    assert sum(line.count * line.area for line in lines) == pytest.approx(area, abs=slack)
    assert {line.group.split(" (")[0] for line in lines} == {
        "Along the south wall",
        "Along the east wall",
        "Along the north wall",
        "Along the west wall",
        "Along the hearth",
    }


def test_the_text_says_where_it_lies_and_of_what_it_is(floors):
    text = " ".join(layout_text(floors[0]).split())
    assert 'Border line 5 1/2" from the walls; 4 3/4" from the hearth' in text
    assert (
        'Feature strip 3/4" wide, laid along the outside of the border line before the border is, mitred at its '
        "corners, its joints staggered from the border's; its outer edge is the strip line, 4 3/4\" from the walls; "
        '4" from the hearth' in text
    )
    wood = "field and grilles white oak, plainsawn; border and thresholds cherry, plainsawn; feature strip walnut"
    assert f"Wood {wood}, plainsawn" in text
    assert "eature strip" not in layout_text(floors[1]) and "trip line" not in layout_text(floors[1])


def test_the_card_has_its_line_its_list_and_what_to_buy(floors):
    words = " ".join(page_texts(layer_card(floors[0])))
    assert 'the strip line, 4 3/4" from the walls; 4" from the hearth' in words
    strip = strip_of(floors[0])
    feet = int(np.ceil(strip.size[:, 0].sum() / 0.3048 - 1e-9))
    assert f'Feature strip {len(strip)} pieces 3/4" wide, {feet} ft in all before waste' in words
    assert f"For the feature strip {feet} ft of walnut, plainsawn, before waste" in words
    assert "eature strip" not in " ".join(page_texts(layer_card(floors[1])))


def test_the_quote_names_it_and_prices_it_by_its_length(floors):
    rows = dict(agreed_rows(floors[0]))
    assert rows["Feature strip"] == '3/4" of walnut, plainsawn, between border and boards, mitred at the corners.'
    made = dict(floor_rows(floors[0].layout, floors[0].job))
    assert made["Feature strip"] == '3/4", walnut, plainsawn'
    assert made["Finish"] == "satin water-borne finish; feature strip gloss water-borne finish"
    details = 'currency = "USD"\n[[prices]]\ntext = "Oak"\nquantity = "field"\nunit_price = 1\n'
    details += '[[prices]]\ntext = "Walnut strip"\nquantity = "strip"\nwaste = 10\nunit_price = 2\n'
    with_, without = bills(read_details(details, "d.toml"), floors)
    (line,) = (each for each in with_.lines if each.text == "Walnut strip")
    feet = int(np.ceil(strip_of(floors[0]).size[:, 0].sum() / 0.3048 - 1e-9))
    assert (line.unit, line.quantity) == ("ft", np.ceil(feet * 1.1 - 1e-9))
    assert [each.text for each in without.lines] == ["Oak"]


def test_a_comparison_has_a_row_for_it(floors):
    (row,) = (each for each in compared(floors) if each.label == "Feature strip")
    assert row.values == ('3/4", walnut, plainsawn', "none")
    assert not any(each.label == "Feature strip" for each in compared(floors[1:]))


def test_json_has_its_pieces_and_both_lines(floors):
    with_, without = (json.loads(layout_json(each)) for each in floors)
    strip = [each for each in with_["pieces"] if each["role"] == "strip"]
    assert len(strip) == len(strip_of(floors[0])) and {each["course"] for each in strip} == {-1}
    assert with_["border_line"] - with_["strip_line"] == pytest.approx(STRIP)
    assert with_["border_line"] == pytest.approx(without["border_line"] + STRIP)
    assert "strip_line" not in without and not any(each["role"] == "strip" for each in without["pieces"])
    field = shapely.Polygon(with_["field"]["polygon"][0])
    assert all(field.intersection(shapely.Polygon(each["polygon"][0])).area < 1e-12 for each in strip)


def test_its_measures_are_those_of_its_pieces(floors):
    floor = floors[0]
    told = floor.layout.measures | derived_measures(floor.room, floor.layout)
    strip = strip_of(floor)
    assert told["strip_pieces"] == len(strip)
    assert told["strip_length"] == pytest.approx(strip.size[:, 0].sum())
    assert told["strip_length"] == quantities(floor.room, floor.layout, floor.job).strip
    assert told["strip_area"] == pytest.approx(told["floor_area"] - told["border_area"] - floor.room.field.area)
    # Eight corners: four of the room, four where the hearth stands into it.
    assert (told["strip_mitres"], told["strip_joints"]) == (8, len(strip) - 8)
    without = floors[1].layout.measures | derived_measures(floors[1].room, floors[1].layout)
    assert set(told) - set(without) == set(STRIP_MEANINGS) | set(YEAR_MEANINGS)


def test_splines_run_along_both_of_its_edges(floors):
    floor = floors[0]
    (said,) = re.findall(r"of these, (\d+) ft along the border line.*?and (\d+) ft along the strip line", _flat(floor))
    inner, outer = (shapely.length(shape) / 0.3048 for shape in (floor.room.field, floor.room.inside_border))
    assert [int(each) for each in said] == [np.ceil(inner), np.ceil(outer)]


def _flat(floor):
    return " ".join(layout_text(floor).split())


def test_it_swells_and_shrinks_by_its_own_wood_and_takes_its_space_at_the_walls(floors):
    """Walnut, plainsawn: 0.00274 of its width for each per cent (USDA Wood Handbook, table 13-5)."""
    with_, without = (seasons(each) for each in floors)
    assert with_.summer.strip == pytest.approx(STRIP * 3 * 0.00274)
    assert with_.winter.strip == pytest.approx(-with_.summer.strip, rel=0.01)  # below 6 % by equation 13-3
    assert without.summer.strip == 0
    assert 'Feature strip 0.006" wider in summer and 0.006" narrower in winter' in _flat(floors[0])
    field_only = with_.spaces[0].wanted - with_.summer.border - with_.summer.strip
    south, north = floors[0].layout.field.bounds[1::2]
    assert field_only == pytest.approx(with_.summer.push * (north - south) / 2)


def test_drawings_have_it_on_layers_of_their_own(floors):
    with_, without = (ezdxf.read(io.StringIO(layout_dxf(each).decode())) for each in floors)
    assert len(with_.query('*[layer=="feature strip"]')) == len(strip_of(floors[0]))
    (line,) = with_.query('LWPOLYLINE[layer=="strip line"]')
    xs = [x for x, *_ in line.get_points()]
    assert (min(xs), max(xs)) == pytest.approx((4.75, 186 - 4.75))
    assert not {"feature strip", "strip line"} & {each.dxf.name for each in without.layers}


def test_a_strip_of_the_borders_wood_and_of_its_own_is_told_by_part(floors):
    (job, *_) = read_scene(SCENE.replace(', species = "walnut", finish = "gloss"', ""), "inlaid.toml")
    (floor,) = lay_jobs([replace(job, variant="Same")])
    assert "border, feature strip and thresholds cherry, plainsawn" in _flat(floor)
