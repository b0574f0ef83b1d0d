"""A bill in words and columns, for the quote."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from preview.floor.laid import LaidFloor
from preview.paper.quote.bill import Bill, Line, by_layout, money, plain, priced_alike
from preview.paper.quote.firm_details import Details
from preview.paper.quote.scope import Scope, exclusions, whole_words
from preview.paper.words.compare_rows import Compared
from preview.paper.words.numbers import and_list
from preview.scene.job import Job


def bill_data(bill: Bill, details: Details, found: Scope) -> dict[str, object]:
    """Return a bill as the quote's template takes it: rows of texts."""
    return {
        "lines": [_row(line, details) for line in bill.lines],
        "options": [_row(line, details) for line in bill.options],
        "sums": _sums(bill, details),
        "total": _money(bill.total, details),
        "after": _after(bill, details),
        "reckoned": _reckoned(bill),
        "whole": whole_words(found),
        "exclusions": exclusions(details, found),
        "apart": _apart(bill, details, found),
        "valid": f"This quote holds until {details.valid}." if details.valid else "",
        "options-say": "not in the total: tick what you would like."
        + (f" {details.tax.name} comes on top." if details.tax else ""),
    }


def price_row(bills: Sequence[Bill], details: Details, floors: Sequence[LaidFloor]) -> list[Compared]:
    """Return the line that sets the variants' prices side by side, where they follow from what is laid."""
    if not by_layout(details) or len(floors) < 2:
        return []
    chosen = floors[0].job
    label = f"Price with {details.tax.name}" if details.tax else "Price"
    return [
        Compared(
            label,
            tuple(price_text(bill, details, floor, chosen) for bill, floor in zip(bills, floors, strict=True)),
        )
    ]


def price_text(bill: Bill, details: Details, floor: LaidFloor, chosen: Job) -> str:
    """Return what a floor costs, where the prices written for the `chosen` one go for it too."""
    alike = bill.lines and priced_alike(details, floor.job, chosen)
    return _money(bill.total, details) if alike else "on request"


def _row(line: Line, details: Details) -> dict[str, str]:
    notes = [line.made] * bool(line.made) + ["not taxed"] * (details.tax is not None and not line.taxed)
    return {
        "text": line.text,
        "note": "; ".join(notes),
        "quantity": plain(line.quantity, line.unit),
        "each": _money(line.unit_price, details),
        "amount": _money(line.amount, details),
    }


def _sums(bill: Bill, details: Details) -> list[list[str]]:
    """Return what stands between the lines and the total."""
    if details.tax is None:
        return []
    base = "" if bill.taxable == bill.subtotal else f" of {_money(bill.taxable, details)}"
    return [
        ["Before tax", _money(bill.subtotal, details)],
        [f"{details.tax.name}, {_short(details.tax.rate)} %{base}", _money(bill.tax, details)],
    ]


def _after(bill: Bill, details: Details) -> list[list[str]]:
    """Return what stands below the total: what is paid on signing, and what then remains."""
    if bill.deposit is None or details.deposit is None:
        return []
    share = f", {_short(details.deposit.share)} % of the total" if details.deposit.share else ""
    return [
        [f"Deposit on signing{share}", _money(bill.deposit, details)],
        ["Balance", _money(bill.total - bill.deposit, details)],
    ]


def _reckoned(bill: Bill) -> str:
    """Say how quantities came about, where some follow the layout."""
    if not bill.rounded:
        return ""
    return (
        f"Quantities are those of the plan, rounded before they are multiplied: {and_list(bill.rounded)}"
        f"{', with waste always up' if any(' for waste' in each.made for each in bill.lines) else ''}. "
        "Each amount is rounded to the cent."
    )


def _apart(bill: Bill, details: Details, found: Scope) -> str:
    """Say what is no part of what is signed; nothing where nothing is left out."""
    apart = ["What is listed as not included"] * bool(exclusions(details, found))
    apart += ["options that are not ticked"] * bool(bill.options)
    if not bill.lines or not apart:
        return ""
    said = " and ".join(apart)
    return f"{said[:1].upper()}{said[1:]} {'is' if len(apart) == 1 and not bill.options else 'are'} not part of it."


def _short(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _money(amount: Decimal, details: Details) -> str:
    return f"{money(amount)} {details.currency}".strip()
