"""What one reads on the quote of unlike rooms, from its PDF: one name for a wall, one figure for a length, no words for
what a room has not."""

from __future__ import annotations

import re

import pytest
from pdf_reading import page_texts
from unlike_rooms import UNLIKE, floors, words

from preview.paper.card.card import layer_card
from preview.paper.words.layout_text import layout_text

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
            assert f"{line} each piece to its long points {found[1]} " in quoted, found[1]
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
