"""A firm's own file: read exactly, added up exactly, and its mistakes told with their place."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from preview.data import data_folder
from preview.errors import SceneError
from preview.paper.quote.firm_details import Details, load_details, read_details


def test_the_example_that_comes_with_the_program():
    found = load_details(data_folder("scenes") / "orchard-house-details.toml")
    assert found.firm and found.firm.name == "Example Floors" and found.firm.logo is None
    assert found.customer and found.customer.address[0] == "Orchard House"
    assert found.date == "14 October 2026"
    assert [each.quantity for each in found.prices] == ["field", "field", "border", "grilles", 1, "field"]
    assert found.prices[0].waste == 12 and found.tax.rate == Decimal("6.25") and found.deposit.share == 40
    assert found.valid == "13 November 2026"  # 17 days of October are left, and 13


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
            'currency = "USD"\n[[prices]]\ntext = "a"\nquantity = 1\nunit_price = "ten"',
            'd.toml, line 5: prices[1].unit_price: "ten" instead of a price; write a number, such as 12.50 or "12.50"',
        ),
        (
            'currency = "USD"\n[[prices]]\ntext = "a"\nquantity = 1\nunit_price = 1e12',
            "d.toml, line 5: prices[1].unit_price: a price of 1000000000000.0; "
            "give a number between -1,000,000,000 and 1,000,000,000",
        ),
        (
            '[[prices]]\ntext = "a"\nquantity = 1\nunit_price = 1',
            "d.toml, line 1: prices: prices without a currency; "
            'add currency = "USD", or another, before the first table',
        ),
        (
            "[prices]",
            "d.toml, line 1: prices: a single table; there may be several: write [[prices]] with two brackets",
        ),
        (
            '[customer]\nname = "C"\naddress = ["a", "b\\u001b[2J"]',
            "d.toml, line 3: customer.address[2]: a control character, \\x1b; take it out, or write a space for it",
        ),
        (
            'note = "\\u2067abc"',
            "d.toml, line 1: note: a control character, \\u2067; take it out, or write a space for it",
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


PRICE = 'currency = "USD"\n[[prices]]\ntext = "a"\n'
NUMBER = 'write a number, or "field", "border", "strip", "boards", "grilles" or "thresholds"'
WITHIN = "give a number between -1,000,000,000 and 1,000,000,000"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            PRICE + "unit_price = 1",
            'd.toml, line 2: prices[1]: no "quantity"; add quantity = 1, or to take it from the layout '
            '"field", "border", "strip", "boards", "grilles" or "thresholds"',
        ),
        (
            PRICE + 'quantity = "feild"\nunit_price = 1',
            'd.toml, line 4: prices[1].quantity: unknown quantity "feild"; did you mean "field"? '
            'Accepted values: "field", "border", "strip", "boards", "grilles" or "thresholds"',
        ),
        (
            PRICE + "quantity = true\nunit_price = 1",
            f"d.toml, line 4: prices[1].quantity: true instead of a quantity; {NUMBER}",
        ),
        (
            'deposit = "1e50000000 %"',
            f'd.toml, line 1: deposit: a deposit of "1e50000000 "; {WITHIN}',
        ),
        (
            PRICE + 'quantity = "1 2"\nunit_price = 1',
            f'd.toml, line 4: prices[1].quantity: "1 2" instead of a quantity; {NUMBER}',
        ),
        (PRICE + "quantity = nan\nunit_price = 1", f"d.toml, line 4: prices[1].quantity: a quantity of nan; {WITHIN}"),
        (
            PRICE + "quantity = 1e308\nunit_price = 1",
            f"d.toml, line 4: prices[1].quantity: a quantity of 1e+308; {WITHIN}",
        ),
        (
            PRICE + "quantity = -2\nunit_price = 1",
            "d.toml, line 4: prices[1].quantity: a quantity of -2; "
            "give one above 0; a discount has a unit_price below 0",
        ),
        (
            PRICE + "quantity = 0\nunit_price = 1",
            "d.toml, line 4: prices[1].quantity: a quantity of 0; "
            "give one above 0; a discount has a unit_price below 0",
        ),
        (PRICE + "quantity = 1\nunit_price = inf", f"d.toml, line 5: prices[1].unit_price: a price of inf; {WITHIN}"),
        (
            PRICE + 'quantity = 1\nunit_price = "1e-999999999"',
            'd.toml, line 5: prices[1].unit_price: a price of "1e-999999999"; give no more than four decimals',
        ),
        (
            PRICE + 'quantity = 1\nunit_price = "1.00001"',
            'd.toml, line 5: prices[1].unit_price: a price of "1.00001"; give no more than four decimals',
        ),
        (
            PRICE + 'quantity = "field"\nunit = "ft"\nunit_price = 1',
            'd.toml, line 5: prices[1].unit: "ft" for the field, which is an area; '
            'write "sq ft" or "m²", or leave it out',
        ),
        (
            PRICE + 'quantity = "border"\nunit = "m²"\nunit_price = 1',
            'd.toml, line 5: prices[1].unit: "m²" for the border, which is a length; '
            'write "ft" or "m", or leave it out',
        ),
        (
            PRICE + 'quantity = "grilles"\nwaste = 5\nunit_price = 1',
            "d.toml, line 5: prices[1].waste: waste on a quantity that has none; "
            'it goes with "field", "border", "strip" and "boards"; count it in, or leave it out',
        ),
        (
            PRICE + 'quantity = "field"\nwaste = 150\nunit_price = 1',
            "d.toml, line 5: prices[1].waste: waste of 150; give per cent from 0 to 100",
        ),
        (
            PRICE + 'quantity = 1\noptional = "yes"\nunit_price = 1',
            'd.toml, line 5: prices[1].optional: "yes" instead of true or false; write true or false, without quotes',
        ),
        (
            PRICE + 'quantity = 1\nvariants = "x"\nunit_price = 1',
            'd.toml, line 5: prices[1].variants: "x" instead of variants; write texts in brackets, ["one", "another"]',
        ),
        ("deposit = 10", "d.toml, line 1: deposit: a deposit without prices; add [[prices]], or leave it out"),
        ("deposit = -10", "d.toml, line 1: deposit: a deposit of -10; give one above 0, or leave it out"),
        (
            'deposit = "110 %"',
            'd.toml, line 1: deposit: a deposit of "110 %"; give per cent above 0 and up to 100',
        ),
        (
            'deposit = "half"',
            'd.toml, line 1: deposit: "half" instead of a deposit; write "30 %", or an amount such as 1500',
        ),
        (
            '[tax]\nname = "VAT"\nrate = nan',
            f"d.toml, line 3: tax.rate: a rate of nan; {WITHIN}",
        ),
        ("[tax]\nrate = 3", 'd.toml, line 1: tax: no "name"; add name = "Sales tax"'),
        (
            "valid = 30",
            "d.toml, line 1: valid: 30 days from no date; add date = 2026-10-14, or another, without quotes",
        ),
        (
            'date = "in May"\nvalid = 30',
            "d.toml, line 2: valid: 30 days from no date; add date = 2026-10-14, or another, without quotes",
        ),
        (
            "date = 2026-10-14\nvalid = 2026-10-13",
            "d.toml, line 2: valid: 13 October 2026, before the date of the quote, 14 October 2026; "
            "give a day on or after it",
        ),
        (
            "date = 9999-12-30\nvalid = 30",
            "d.toml, line 2: valid: 30 days from 30 December 9999; check the year of the date",
        ),
        ("valid = 0", "d.toml, line 1: valid: a number of days of 0; give a whole number between 1 and 3660"),
        (
            'exclusions = "furniture"',
            'd.toml, line 1: exclusions: "furniture" instead of exclusions; '
            'write texts in brackets, ["one", "another"]',
        ),
    ],
)
def test_what_is_wrong_with_a_price_is_told_with_its_place(text, message):
    with pytest.raises(SceneError) as caught:
        read_details(text, "d.toml")
    assert str(caught.value) == message


def test_how_long_a_quote_holds():
    assert read_details("date = 2027-02-27\nvalid = 2", "d.toml").valid == "1 March 2027"
    assert read_details("valid = 2026-12-31", "d.toml").valid == "31 December 2026"
