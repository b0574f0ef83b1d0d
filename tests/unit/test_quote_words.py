"""What one reads on the quote of unlike rooms, from its PDF: one name for a wall, one figure for a length, no words for
what a room has not."""

from __future__ import annotations

import re

import numpy as np
import pypdfium2 as pdfium
import pytest
from paper_scenes import laid
from pdf_reading import page_texts
from unlike_rooms import UNLIKE, floors, quote, words

from preview.paper.card.card import layer_card
from preview.paper.quote.agreement import agreed_rows
from preview.paper.words.layout_text import layout_text
from preview.units import format_length, parse_length

BY_COMPASS = {"rectangle", "corridor"}
POINT = r"\b(?:north|east|south|west|North|East|South|West) wall"


@pytest.mark.parametrize("name", UNLIKE)
def test_walls_are_named_in_one_way(name):
    """By the compass with the number in brackets, or by the number; and the sheet says by which, and where north is."""
    said = words(name)
    bare = re.findall(r"(?<!\()\b[Ww]alls? \d", said)
    points = re.findall(POINT, said)
    if name in BY_COMPASS:
        assert points and not bare, bare
        assert "Walls are named by the compass and numbered in the plan; the arrow shows north." in said
        assert re.search(r"\bN\b", said)  # beside the plan's arrow
    else:
        assert bare and not points, points
        assert "Walls are called by the numbers that they have in the plan." in said
    for number in range(1, len(floors(name)[0].room.corners) + 1):
        assert re.search(rf"(?<=\s){number}(?=\s)", said)


@pytest.mark.parametrize("name", UNLIKE)
def test_a_figure_is_the_same_on_every_paper(name):
    """The field's area and the lengths of border and feature strip, on the quote, on the card and in the layer's text;
    and the quote says beside each area what is counted in it."""
    floor = floors(name)[0]
    quoted, text = words(name), layout_text(floor)
    card = " ".join(page_texts(layer_card(floor)))
    field = re.search(r"\n +Field +([\d.]+ (?:sq ft|m²))\n", text)[1]
    assert re.search(rf"Laying (?:without [a-z ,]+ )?{re.escape(field)} 72.00", quoted), field
    assert f"{field} (without " in quoted or f"Wood {field} and" in quoted
    has = floor.layout.border_width > 0
    assert not has or f"; {field} of it herringbone" in quoted
    for part, line in (("Border", "Edging"), ("Feature strip", "Inlay")):
        found = re.search(rf"\n{part}\n +\d+ pieces [^\n]*, ([\d,.]+ (?:ft|m)) in all before waste", text)
        assert bool(found) == (has if part == "Border" else floor.layout.strip_width > 0)
        if found:
            assert f"{line} measured along the longer side of each piece {found[1]} " in quoted, found[1]
            assert found[1] in card


def test_the_quantity_of_boards_says_what_is_spare():
    told = re.search(r"Blocks ([\d,]+) to cut and ([\d,]+) spare ([\d,]+) 1.85 EUR", words("corridor"))
    cut, spare, both = (int(each.replace(",", "")) for each in told.groups())
    assert cut + spare == both and f"{both:,} boards ({cut:,} and {spare:,} spare)" in layout_text(
        floors("corridor")[0]
    )


def test_a_variant_without_a_border_has_its_price():
    """Seen: "on request" beside a floor that has less than the one quoted."""
    assert "on request" not in words("corridor") + words("L")


JARGON = ("in line,", "oil matt", "oil satin", "need less", "want less", "None ", "nan ")


@pytest.mark.parametrize("name", UNLIKE)
def test_words_are_plain_and_of_what_is_there(name):
    said = words(name)
    assert not [each for each in JARGON if each in said]
    assert not re.search(r"(?<!cut )at \d+°, ", said)  # sizes say what is cut at that angle
    assert re.search(r"Finish (?:satin water-borne|matt oil|satin oil) finish", said)
    floor = floors(name)[0]
    if not floor.room.vents:
        assert not re.search("[Gg]rilles?", said)
    if not floor.job.border.strip:
        assert "eature strip" not in said.replace("Without the strip", "")
    if name == "bay":
        assert "90 mm off" not in said and "Centre line at the double door" in said and "in its middle" in said


def test_a_variant_of_ready_cut_blocks_is_not_argued_against():
    """It was chosen for what is sold ready-cut: of these lengths the best is told, and no other is put in its place."""
    said = words("corridor")
    assert (
        "“Ready-cut”: of the block lengths to choose from, 35.0 cm and 40.0 cm, 40.0 cm ends best at the sides." in said
    )
    assert not re.search(r"Ready-cut”: its boards|Ready-cut, boards", said)


def test_space_that_is_not_wanted_is_none():
    for moisture in ("{ install = 8, summer = 8, winter = 6 }", "{ install = 8, summer = 11, winter = 6 }"):
        scene = UNLIKE["rectangle"] + f"moisture = {moisture}\n"
        text = layout_text(laid(scene)[0])
        assert not re.search(r"(?<![\d.])0(\.0+)? mm?\b", text.split("Through the year")[1].split("\n\n")[0])
        assert ("Space at walls  none; the layout leaves 12 mm" in text) is ("summer = 8" in moisture)
        assert ("boards that are held need less" in text) is ("summer = 11" in moisture)


def test_an_edge_too_short_for_a_small_piece_is_not_blamed_for_one():
    """The chimney breast stands 7" out of the hearth: too little for the triangles of 1/16" that a longer edge there
    would have. Every obstacle that a warning names has small pieces of its own."""
    floor = floors("five")[0]
    said = " ".join(floor.layout.warnings)
    assert "slate hearth" in said and "round chimney breast" not in said and "sides of 1/16" not in said
    triangles = [each.triangles for each in floor.layout.stretches if each.name == "slate hearth" and each.triangles]
    least = format_length(min(each.shortest for each in triangles), "in")
    assert f"round the slate hearth end in small pieces: triangles with short sides of {least} (" in said


@pytest.mark.parametrize("name", UNLIKE)
def test_one_sliver_is_it(name):
    for floor in floors(name):
        for warning in (each for each in floor.layout.warnings if "sliver" in each):
            assert ("leave it out" in warning) is ("1 piece is a sliver" in warning)


HEADINGS = (
    "The floor",
    "More of this floor",
    "What it was compared with",
    "Plan",
    "What you agree to",
    "Price",
    "Signed",
)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", UNLIKE)
def test_pages_are_full_and_no_heading_stands_alone_at_the_foot(name, paper):
    content = quote(name, paper=paper)
    texts = [page.get_textpage().get_text_range().split("\r\n") for page in pdfium.PdfDocument(content)]
    assert len(texts) <= 4
    for lines in texts:
        said = [each.strip() for each in lines if each.strip() and not re.search(r"page \d of \d", each)]
        assert said[-1] not in HEADINGS
    pages = [np.asarray(each.render(scale=0.4, grayscale=True).to_pil()) for each in pdfium.PdfDocument(content)]
    for page in pages[:-1]:
        rows = np.flatnonzero((page < 235).any(axis=1))
        assert np.diff([0, *rows]).max() < 0.3 * len(page)


def test_what_happens_outside_the_range_of_humidity_is_said():
    said = words("bay")
    agreed = said[said.index("Through the year") :]
    for part in (r"as long as the room's air keeps between \d+ and \d+ % humidity", "In drier air joints open wider",
                 "in damper air boards press on one another", "cup or crack", "cup or lift",
                 "Keep to what the makers of wood and finish say"):  # fmt: skip
        assert re.search(part, agreed), part
    assert "Through the year" not in words("rectangle")  # its moisture isn't given


@pytest.mark.parametrize("name", UNLIKE)
def test_no_quote_speaks_of_legs(name):
    assert not re.search(r"\blegs?\b", words(name))


def test_a_point_that_the_floor_is_centred_on_is_found_with_a_tape():
    """Read back from the words, from the wall and along it, it is the point of the scene."""
    scene = UNLIKE["five"].replace("[floor]\n", "[floor]\ncenter = { point = [70, 60] }\n", 1)
    (floor, *_) = laid(scene)
    said = dict(agreed_rows(floor))["Centre line"]
    square, wall, along, other = re.match(
        r"The pattern is centred on a point (.+?) out from wall (\d), square to it, and (.+?) along that wall from its "
        r"corner with wall (\d)\. ",
        said,
    ).groups()
    corners, wall, other = floor.room.corners, int(wall), int(other)
    first, last = corners[wall - 1], corners[wall % 5]
    start, end = (first, last) if other == (wall - 2) % 5 + 1 else (last, first)
    step = (end - start) / np.hypot(*(end - start))
    inside = np.array([-(last - first)[1], (last - first)[0]]) / np.hypot(*(last - first))
    place = start + parse_length(along, "in") * step + parse_length(square, "in") * inside
    assert place == pytest.approx(np.array([70, 60]) * 0.0254, abs=0.0254 / 16)
