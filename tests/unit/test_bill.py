"""What a floor costs: every figure against decimal arithmetic written out here, and against what is printed."""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import strategies as st
from paper_scenes import ASKEW, PLAIN, laid
from pdf_reading import page_texts

from preview.errors import SceneError
from preview.floor.quantities import quantities
from preview.paper.quote.bill import bills, measured, money
from preview.paper.quote.bill_rows import bill_data, price_row
from preview.paper.quote.firm_details import read_details
from preview.paper.quote.quote import Shown, quote_sheet
from preview.paper.quote.scope import scope
from tests.strategies import checked

HEAD = 'currency = "USD"\ndate = 2026-10-14\n'


def line(quantity='"field"', unit_price="10", **more):
    keys = {"text": '"Floor"', "quantity": quantity, "unit_price": unit_price, **more}
    return "[[prices]]\n" + "".join(f"{key} = {value}\n" for key, value in keys.items())


def priced(text, floors):
    details = read_details(HEAD + text, "firm.toml")
    return details, bills(details, floors)


@pytest.fixture(scope="module")
def plain():
    return laid(PLAIN)


@pytest.fixture(scope="module")
def three():
    """The plain room with a variant without a border, and one of another wood."""
    more = '[[variants]]\nname = "Bare"\nborder.width = 0\n[[variants]]\nname = "Walnut"\nwood.species = "walnut"\n'
    return laid(PLAIN.split("[[variants]]")[0] + more)


@pytest.mark.parametrize(
    ("keys", "quantity", "unit", "amount"),
    [
        # The field is 180 - 2 x 4 3/4 by 144 - 2 x 4 3/4 in: 22,932.25 sq in, 159.2517 sq ft, 14.79497 m2.
        ({}, "159.3", "sq ft", "1593.00"),
        ({"unit": '"m²"'}, "14.79", "m²", "147.90"),
        ({"unit": '"m2"'}, "14.79", "m²", "147.90"),
        ({"unit_price": "24.55"}, "159.3", "sq ft", "3910.82"),  # 3910.815: half a cent goes up
        # 159.3 x 1.12 = 178.416, so 178.5
        ({"waste": "0"}, "159.3", "sq ft", "1593.00"),
        ({"waste": "12"}, "178.5", "sq ft", "1785.00"),
        ({"waste": '"7.5 %"'}, "171.3", "sq ft", "1713.00"),  # 171.2475
        # The border's outer edge, 3/4 in from the walls: 2 x (178.5 + 142.5) = 642 in, 53.5 ft, 16.3068 m.
        ({"quantity": '"border"'}, "54", "ft", "540.00"),
        ({"quantity": '"border"', "unit": '"m"'}, "16.4", "m", "164.00"),
        ({"quantity": '"border"', "waste": "5"}, "57", "ft", "570.00"),  # 56.7
        ({"quantity": '"thresholds"'}, "1", "", "10.00"),
        ({"quantity": "2.5", "unit": '"h"', "unit_price": '"0.333"'}, "2.5", "h", "0.83"),  # 0.8325
    ],
)
def test_quantities_are_rounded_before_they_are_multiplied(plain, keys, quantity, unit, amount):
    _, (bill, _) = priced(line(**keys), plain)
    (found,) = bill.lines
    assert (f"{found.quantity:f}", found.unit, f"{found.amount:f}") == (quantity, unit, amount)
    assert bill.total == Decimal(amount)


def test_a_scene_in_metres_is_priced_in_metres():
    """By hand from the corners: the field inside a border of 90 mm, less the pillar with its border and the grille."""
    (floor,) = laid(ASKEW)
    taken = quantities(floor.room, floor.layout, floor.job)
    _, (bill,) = priced(line() + line('"border"') + line('"grilles"') + line('"boards"'), [floor])
    found = [(line.quantity, line.unit) for line in bill.lines]
    area = Decimal(taken.field).quantize(Decimal("0.01"), ROUND_HALF_UP)
    length = Decimal(taken.border).quantize(Decimal("0.1"), ROUND_CEILING)
    assert found == [(area, "m²"), (length, "m"), (1, ""), (taken.boards, "")]
    pieces = floor.layout.pieces
    by_hand = sum(each.area for each in pieces.polygons[pieces.role == 0])
    assert abs(float(area) - by_hand) < 0.005 + 1e-9


def test_areas_are_rounded_and_lengths_rounded_up_without_a_step_for_noise():
    assert measured(10 * 0.09290304, "sq ft") == Decimal("10.0")
    assert measured(10.0049, "m²") == Decimal("10.00") and measured(10.0051, "m²") == Decimal("10.01")
    assert measured(0.1 + 0.2, "m") == Decimal("0.3") and measured(0.3001, "m") == Decimal("0.4")
    assert measured(1234.56, "m") == Decimal("1234.6")


def test_tax_deposit_options_and_lines_without_tax(plain):
    text = 'deposit = "40 %"\n[tax]\nname = "Sales tax"\nrate = 6.25\n'
    text += line(unit_price="11.80", waste="12") + line(unit_price="14.20", taxed="false")
    text += line('"border"', "18") + line("1", "-100", text='"Discount"') + line("1", "75.5", optional="true")
    details, (bill, _) = priced(text, plain)
    lines = [Decimal("178.5") * Decimal("11.80"), Decimal("159.3") * Decimal("14.20"), Decimal(54 * 18), Decimal(-100)]
    lines = [each.quantize(Decimal("0.01"), ROUND_HALF_UP) for each in lines]
    assert [each.amount for each in bill.lines] == lines
    taxed = lines[0] + lines[2] + lines[3]  # 2106.30 + 972 - 100
    tax = (taxed * Decimal("0.0625")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert (bill.taxable, bill.tax) == (taxed, tax) == (Decimal("2978.30"), Decimal("186.14"))
    assert bill.subtotal == sum(lines) and bill.total == sum(lines) + tax == Decimal("5426.50")
    assert bill.deposit == Decimal("2170.60")  # 40 %
    assert [each.amount for each in bill.options] == [Decimal("75.50")]
    data = bill_data(bill, details, scope(details, plain[0]))
    assert data["sums"] == [
        ["Before tax", "5,240.36 USD"],
        ["Sales tax, 6.25 % of 2,978.30 USD", "186.14 USD"],
    ]
    assert data["after"] == [["Deposit on signing, 40 % of the total", "2,170.60 USD"], ["Balance", "3,255.90 USD"]]
    assert [each["note"] for each in data["lines"]] == [
        "159.3 sq ft (without border and threshold) and 12 % for waste",
        "without border and threshold; not taxed",
        "measured along the longer side of each piece",
        "",
    ]


def test_a_floor_has_no_line_for_what_it_has_not(three):
    _, found = priced(line() + line('"border"', "18") + line('"grilles"', "140"), three)
    assert [[each.unit for each in bill.lines] for bill in found] == [["sq ft", "ft"], ["sq ft"], ["sq ft", "ft"]]


def test_variants_are_priced_side_by_side_only_by_prices_that_go_for_them(three):
    """Without its border the field is 178.5 x 142.5 in = 25,436.25 sq in = 176.6406 sq ft."""
    details, found = priced(line() + line('"border"', "18"), three)
    (row,) = price_row(found, details, three)
    assert (row.label, row.values) == ("Price", ("2,565.00 USD", "1,766.00 USD", "on request"))  # of another wood
    details, found = priced(line() + line('"border"', "18") + line("1", "400", variants='["walnut", "Bare"]'), three)
    (row,) = price_row(found, details, three)
    assert row.values == ("2,565.00 USD", "2,166.00 USD", "2,965.00 USD")
    details, found = priced(line("5"), three)
    assert price_row(found, details, three) == []


def test_a_part_that_the_chosen_floor_has_not_is_priced_where_a_line_follows_it(three):
    turned = [three[1], three[0]]
    for text, values in (
        (line() + line('"border"', "18"), ("1,766.00 USD", "2,565.00 USD")),
        (line(), ("1,766.00 USD", "on request")),
    ):
        details, found = priced(text, turned)
        (row,) = price_row(found, details, turned)
        assert row.values == values


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            line("1", "-10"),
            "firm.toml, line 3: prices: a total of −10.00 USD for As drawn; discounts can't be more than the rest",
        ),
        (
            '[tax]\nname = "VAT"\nrate = 20\n' + line("1", "-10") + line("1", "50", taxed="false"),
            "firm.toml, line 6: prices: a taxed sum of −10.00 USD for As drawn; discounts can't be more than the rest",
        ),
        (
            "deposit = 2000\n" + line(),
            "firm.toml, line 3: deposit: a deposit of 2,000.00 on a total of 1,593.00 USD; give no more than the total",
        ),
        (
            line(variants='["On the archwey"]'),
            'firm.toml, line 7: prices[1].variants[1]: no variant is called "On the archwey"; '
            'did you mean "On the archway"?',
        ),
        (
            line(variants='["On the archway"]'),
            "firm.toml, line 3: prices: no price for the variant As drawn; "
            'add a line that goes for it: without "variants", and of something that the floor has',
        ),
        (
            line('"grilles"'),
            "firm.toml, line 3: prices: no price for the variant As drawn; "
            'add a line that goes for it: without "variants", and of something that the floor has',
        ),
    ],
)
def test_prices_that_come_to_nothing_are_refused(plain, text, message):
    with pytest.raises(SceneError) as caught:
        priced(text, plain)
    assert str(caught.value) == message


def test_a_total_of_nothing_may_be_quoted(plain):
    _, (bill, _) = priced(line("1", "10") + line("1", "-10"), plain)
    assert bill.total == 0


prices = st.decimals(-10_000, 10_000, places=4)


@checked(
    25,
    60,
    st.lists(st.tuples(st.decimals("0.0001", 1000, places=4), prices, st.booleans(), st.booleans()), max_size=8),
    st.decimals("0.0001", 100, places=4),
)
def test_lines_are_added_up_to_the_cent(rows, rate):
    """In whole cents and exact fractions: each line rounded, then added, then taxed, as by hand from the page."""
    floors = laid(PLAIN)[:1]
    text = f'[tax]\nname = "T"\nrate = "{rate}"\n' + line("1", "100000000")  # so that nothing is under nothing
    for quantity, price, optional, taxed in rows:
        text += line(f'"{quantity}"', f'"{price}"', optional=str(optional).lower(), taxed=str(taxed).lower())
    _, (bill,) = priced(text, floors)

    def cents(amount):
        whole = Fraction(amount) * 100
        return int(abs(whole) + Fraction(1, 2)) * (1 if whole >= 0 else -1)

    amounts = [(cents(Fraction(q) * Fraction(p)), optional, taxed) for q, p, optional, taxed in rows]
    amounts.insert(0, (10_000_000_000, False, True))
    subtotal = sum(each for each, optional, _ in amounts if not optional)
    base = sum(each for each, optional, taxed in amounts if taxed and not optional)
    tax = cents(Fraction(base, 100) * Fraction(rate) / 100)
    assert bill.subtotal * 100 == subtotal and bill.tax * 100 == tax and bill.total * 100 == subtotal + tax


def test_the_page_adds_up(plain):
    """Read back from the PDF: quantity times price is the amount, amounts with tax make the total, deposit and balance
    make it too."""
    text = 'deposit = "33.3 %"\nexclusions = ["moving furniture", "the subfloor"]\nvalid = 30\n'
    text += '[tax]\nname = "Sales tax"\nrate = 8.875\n'
    text += line(unit_price="24.55") + line('"border"', "17.99") + line('"thresholds"', "80.05")
    text += line("1", "-120.5") + line("3", "19.99", optional="true")
    details = read_details(HEAD + text, "firm.toml")
    shown = [Shown("As drawn", "from the door", np.zeros((40, 64, 3), np.uint8))]
    content = quote_sheet(plain, shown, details, bills(details, plain), None, "letter")
    words = " ".join(page_texts(content))
    figures = re.findall(r"([\d,.]+)(?: sq ft| ft|) (−?[\d,.]+) USD (−?[\d,.]+) USD", words[words.index("Amount") :])
    rows = [[Decimal(each.replace(",", "").replace("−", "-")) for each in row] for row in figures]
    assert len(rows) == 5
    for quantity, each, amount in rows:
        assert (quantity * each).quantize(Decimal("0.01"), ROUND_HALF_UP) == amount

    def after(label):
        found = re.search(rf"{label}[^−\d]*(?:[\d.]+ %[^−\d]*)?(−?[\d,.]+) USD", words[words.index("Amount") :])
        return Decimal(found[1].replace(",", ""))

    before = sum(row[2] for row in rows[:4])
    tax = (before * Decimal("0.08875")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert (after("Before tax"), after("Sales tax"), after("Total")) == (before, tax, before + tax)
    assert after("Deposit on signing") + after("Balance") == before + tax
    assert "Not included: moving furniture; the subfloor." in words
    assert "This quote holds until 13 November 2026." in words
    assert "areas to 0.1 sq ft and lengths up to 1 ft. Each" in words and "In all" not in words
    assert f"Price with Sales tax {money(before + tax)} USD {money(before + tax)} USD" in words
