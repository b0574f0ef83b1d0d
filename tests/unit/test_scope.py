"""What of a floor its price is for: read from the quote's pages, and what the firm is warned of."""

from __future__ import annotations

import re

import pytest
from pdf_reading import page_texts
from unlike_rooms import floors, quote

from preview.errors import SceneError
from preview.paper.quote.bill import bills
from preview.paper.quote.firm_details import read_details
from preview.paper.quote.scope import scope, warnings

HEAD = 'currency = "USD"\n'
FIELD = '[[prices]]\ntext = "Floor"\nquantity = "field"\nunit_price = 10\n'
LUMP = '[[prices]]\ntext = "Floor"\nquantity = 1\nunit_price = 9000\n'


def line(quantity, **more):
    keys = {"text": '"Part"', "quantity": quantity, "unit_price": 10, **more}
    return "[[prices]]\n" + "".join(f"{key} = {value}\n" for key, value in keys.items())


def read(name, text):
    details = read_details(HEAD + text, "firm.toml")
    words = " ".join(page_texts(quote(name, details=details)))
    return words, warnings(details, floors(name)[0])


def agreed(words, label, following):
    return re.search(rf"{label} (.*?) {following}", words[words.index("What you agree to") :])[1]


def test_a_part_that_no_line_counts_is_told_to_be_not_in_the_price():
    """An L with a border, a feature strip and one threshold; the firm prices boards and border."""
    words, warned = read("L", FIELD + line('"border"'))
    assert "Not included: the feature strip; the threshold." in words
    assert agreed(words, "Feature strip", "Doorways").endswith("mitred at the corners. Not in the price.")
    assert "in the back door. Not in the price." in words
    assert "Not in the price" not in agreed(words, "Border", "Feature strip")
    assert "What is listed as not included is not part of it." in words
    assert warned == [
        "firm.toml, line 2: prices: no line counts the feature strip, which the floor has: the quote says that the "
        'feature strip is not in the price; add a line with quantity = "strip", or covers = ["strip"] to the line that '
        'pays for it; to leave it out, add "strip" to exclusions',
        "firm.toml, line 2: prices: no line counts the threshold, which the floor has: the quote says that the "
        'threshold is not in the price; add a line with quantity = "thresholds", or covers = ["thresholds"] to the '
        'line that pays for it; to leave it out, add "thresholds" to exclusions',
    ]


def test_what_a_line_covers_besides_is_in_the_price():
    words, warned = read("L", FIELD + line('"border"', covers='["strip", "thresholds", "grilles"]'))
    assert "Part measured along the longer side of each piece; includes the feature strip and the threshold" in words
    assert "Not included" not in words and "Not in the price" not in words and not warned


def test_what_the_firm_leaves_out_by_name_is_no_news_to_it():
    text = 'exclusions = ["thresholds", "the feature strip", "moving furniture"]\n' + FIELD + line('"border"')
    words, warned = read("L", text)
    assert "Not included: the threshold; the feature strip; moving furniture." in words
    assert words.count("Not in the price.") == 2 and not warned


def test_an_option_is_no_part_of_the_total():
    words, warned = read("L", FIELD + line('"border"') + line('"strip"', optional="true"))
    assert agreed(words, "Feature strip", "Doorways").endswith("An option, not in the total.")
    assert "Not included: the threshold." in words
    assert "What is listed as not included and options that are not ticked are not part of it." in words
    assert len(warned) == 1 and "threshold" in warned[0]


def test_one_sum_is_for_the_whole_floor():
    words, warned = read("L", LUMP)
    assert "The total is for the whole floor: boards, border, feature strip and threshold." in words
    assert "Not included" not in words and "Not in the price" not in words
    assert len(warned) == 1 and 'write covers = ["field", "border", "strip", "thresholds"]' in warned[0]
    words, warned = read("L", 'exclusions = ["thresholds"]\n' + LUMP)
    assert "The total is for the whole floor: boards, border and feature strip." in words
    assert "Not included: the threshold." in words


def test_boards_that_the_firm_counts_itself_are_not_told_to_be_left_out():
    words, warned = read("L", LUMP + line('"border"') + line('"strip"') + line('"thresholds"'))
    assert "Not included" not in words and "Not in the price" not in words
    assert len(warned) == 1 and "no line counts the boards" in warned[0]


@pytest.mark.parametrize("name", ["U", "bay", "corridor", "five", "L", "rectangle"])
def test_a_firm_that_prices_all_parts_is_told_of_none(name):
    text = FIELD + "".join(line(f'"{each}"') for each in ("border", "strip", "grilles", "thresholds"))
    words, warned = read(name, text)
    assert not warned and "Not in the price" not in words and "Not included" not in words


def test_a_part_is_not_both_priced_and_left_out():
    details = read_details(HEAD + 'exclusions = ["furniture", "Thresholds"]\n' + FIELD + line('"thresholds"'), "f.toml")
    with pytest.raises(SceneError) as caught:
        scope(details, floors("L")[0])
    assert str(caught.value) == (
        "f.toml, line 2: exclusions[2]: the threshold, which prices[2] counts; leave out one of the two"
    )


def test_what_is_covered_is_a_part_of_a_floor():
    with pytest.raises(SceneError) as caught:
        read_details(HEAD + line(1, covers='["strip", "stairs"]'), "f.toml")
    assert str(caught.value) == (
        'f.toml, line 6: prices[1].covers[2]: "stairs" instead of a part of the floor; '
        'write "field", "border", "strip", "grilles" or "thresholds"'
    )


@pytest.mark.parametrize("name", ["five", "L"])
def test_waste_below_the_plans_is_told_with_both_figures(name):
    """The plan's own figure is that of the board count: area to cut over the field's, from the quote's boards line."""
    floor = floors(name)[0]
    text = HEAD + FIELD.replace("unit_price", "waste = 3.5\nunit_price") + line('"border"')
    details = read_details(text, "firm.toml")
    (warned,) = [each for each in warnings(details, floor) if "waste" in each]
    told, reused = re.fullmatch(
        r"firm.toml, line 5: prices\[1\].waste: 3.5 % for waste, but this plan takes ([\d.]+) % where no offcut is "
        r"used again, ([\d.]+) % where offcuts are used again; raise it, or see that the price per unit allows for the "
        r"difference",
        warned,
    ).groups()
    board, laid = floor.layout.board, floor.layout.measures["field_area"]
    (bill, *_) = bills(read_details(HEAD + line('"boards"'), "firm.toml"), [floor])
    boards = int(re.match(r"([\d,]+) to cut", bill.lines[0].made)[1].replace(",", ""))
    assert float(told) == pytest.approx(100 * (boards * board.width * board.length / laid - 1), abs=0.06)
    assert 0 < float(reused) < float(told)
    enough = read_details(text.replace("3.5", "99"), "firm.toml")
    assert not any("waste" in each for each in warnings(enough, floor))
