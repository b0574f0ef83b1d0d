"""A firm's own file: read exactly, added up exactly, and its mistakes told with their place."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.data import data_folder
from preview.errors import SceneError
from preview.paper.details import Details, Price, load_details, read_details


def test_the_example_that_comes_with_the_program():
    found = load_details(data_folder("scenes") / "orchard-house-details.toml")
    assert found.firm and found.firm.name == "Example Floors" and found.firm.logo is None
    assert found.customer and found.customer.address[0] == "Orchard House"
    assert found.date == "14 October 2026"
    assert found.total == Decimal("7000.50")  # 217 x 24.50 + 68 x 18 + 2 x 140 + 180


def test_everything_may_be_left_out():
    assert read_details("", "d.toml") == Details()


def test_a_logo_lies_beside_the_file_and_an_address_may_be_one_text():
    found = read_details('[firm]\nname = "F"\naddress = "1 Street\\nTown"\nlogo = "art/logo.png"\n', "firm/d.toml")
    assert found.firm.logo == Path("firm/art/logo.png") and found.firm.address == ("1 Street", "Town")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[firm]\nadress = "x"', 'd.toml, line 2: firm.adress: unknown key "adress"; did you mean "address"?'),
        ("[firm]\nname = 3", "d.toml, line 2: firm.name: 3 instead of a name; write a text in quotes"),
        ("[firm]", 'd.toml, line 1: firm: no "name"; add name = "the firm\'s name"'),
        (
            '[customer]\nname = "C"\naddress = 4',
            "d.toml, line 3: customer.address: 4 instead of an address; "
            'write its lines as ["12 Some Street", "Some Town"]',
        ),
        (
            'currency = "USD"\n[[prices]]\ntext = "a"\nunit_price = "ten"',
            'd.toml, line 4: prices[1].unit_price: "ten" instead of a price; write a number, such as 12.50 or "12.50"',
        ),
        (
            'currency = "USD"\n[[prices]]\ntext = "a"\nunit_price = 1e12',
            "d.toml, line 4: prices[1].unit_price: a price of 1000000000000.0; "
            "give a number between -1,000,000,000 and 1,000,000,000",
        ),
        (
            '[[prices]]\ntext = "a"\nunit_price = 1',
            "d.toml, line 1: prices: prices without a currency; "
            'add currency = "USD", or another, before the first table',
        ),
        (
            "[prices]",
            "d.toml, line 1: prices: a single table; there may be several: write [[prices]] with two brackets",
        ),
        ("date = 5", "d.toml, line 1: date: 5 instead of a text; write a text in quotes"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text, message):
    with pytest.raises(SceneError) as caught:
        read_details(text, "d.toml")
    assert str(caught.value) == message


def test_a_missing_file(tmp_path):
    with pytest.raises(SceneError, match="there is no such file"):
        load_details(tmp_path / "none.toml")


money = st.decimals(-10_000, 10_000, places=2)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.decimals(0, 1000, places=3), money), max_size=8))
def test_lines_are_added_up_to_the_cent(rows):
    """What stands on the page adds up: the total is the sum of the lines as printed, in whole cents."""
    text = 'currency = "X"\n' + "".join(
        f'[[prices]]\ntext = "t"\nquantity = "{quantity}"\nunit_price = {price}\n' for quantity, price in rows
    )
    found = read_details(text, "d.toml")
    assert [each.quantity for each in found.prices] == [quantity for quantity, _ in rows]
    assert [each.unit_price for each in found.prices] == [price for _, price in rows]
    cents = [int(each.amount * 100) for each in found.prices]
    assert all(abs(Decimal(c) - 100 * q * p) <= Decimal("0.5") for c, (q, p) in zip(cents, rows, strict=True))
    assert int(found.total * 100) == sum(cents)


def test_half_cents_go_up():
    assert Price("t", Decimal("0.5"), "", Decimal("0.05")).amount == Decimal("0.03")
