"""What a quote says beside the floor: the firm, the customer and the price, from a TOML file the firm keeps itself.

The program measures and adds up what stands there and never makes up a price.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from types import MappingProxyType

from preview.paper.quote.price_lines import PRICE, TAX, Deposit, Price, Tax, checked, deposit
from preview.scene.document import FileKind, file_bytes, parsed, plain_text
from preview.scene.fields import text, whole
from preview.scene.nodes import Key, Node, Source, shown, table, tables
from preview.scene.positions import key_lines
from preview.scene.text_fields import texts, words

DETAILS_FILE = FileKind("details", "details.toml")
MOST_LINES = 12  # of an address
MOST_PRICES = 200  # lines of a bill


@dataclass(frozen=True)
class Firm:
    """Who quotes; `logo` is a picture file, or None."""

    name: str
    address: tuple[str, ...] = ()
    phone: str = ""
    email: str = ""
    logo: Path | None = None


@dataclass(frozen=True)
class Customer:
    """Who the quote is for."""

    name: str
    address: tuple[str, ...] = ()


@dataclass(frozen=True)
class Details:
    """What the firm's own file adds to a quote; all of it may be left out. `valid` is the last day it holds."""

    reference: str = ""
    date: str = ""
    currency: str = ""
    note: str = ""
    firm: Firm | None = None
    customer: Customer | None = None
    prices: tuple[Price, ...] = ()
    tax: Tax | None = None
    deposit: Deposit | None = None
    exclusions: tuple[str, ...] = ()
    valid: str = ""
    source: Source = field(default=Source("details", MappingProxyType({})), compare=False, repr=False)


def load_details(path: Path) -> Details:
    """Return the details in the file at `path`.

    Raises:
        SceneError: for anything wrong with the file, with its place and what is accepted.
    """
    return read_details(file_bytes(path, DETAILS_FILE), str(path))


def read_details(content: bytes | str, name: str) -> Details:
    """Return details given as text or as the bytes of a file, called `name` in messages; a logo's path starts from
    the folder of `name`.

    Raises:
        SceneError: as `load_details`.
    """
    written = plain_text(content, name, DETAILS_FILE)
    document = parsed(written, name, DETAILS_FILE)
    source = Source(name, MappingProxyType(key_lines(written)))
    found: Details = table(_DETAILS, Details)(Node(document, "", source))
    if found.prices and not found.currency:
        remedy = 'add currency = "USD", or another, before the first table'
        raise source.error("prices", "prices without a currency", remedy)
    for key, value in (("tax", found.tax), ("deposit", found.deposit)):
        if value is not None and not found.prices:
            raise source.error(key, f"a {key} without prices", "add [[prices]], or leave it out")
    firm = found.firm
    if firm is not None and firm.logo is not None:
        firm = replace(firm, logo=Path(name).parent / firm.logo)
    valid = _until(document.get("valid"), document.get("date"), source)
    return replace(found, firm=firm, valid=valid, prices=checked(found.prices, source), source=source)


def _until(valid: object, dated: object, source: Source) -> str:
    """Return the last day on which a quote holds in words, from that day or from days after its date."""
    if valid is None:
        return ""
    start = dated.date() if isinstance(dated, datetime) else dated
    if isinstance(valid, date):
        last = valid.date() if isinstance(valid, datetime) else valid
        if isinstance(start, date) and last < start:
            raise source.error(
                "valid", f"{_day(last)}, before the date of the quote, {_day(start)}", "give a day on or after it"
            )
        return _day(last)
    if not isinstance(start, date):
        raise source.error(
            "valid", f"{shown(valid)} days from no date", "add date = 2026-10-14, or another, without quotes"
        )
    try:
        return _day(start + timedelta(days=int(str(valid))))
    except OverflowError:
        raise source.error("valid", f"{shown(valid)} days from {_day(start)}", "check the year of the date") from None


def _valid(node: Node) -> str:
    """Check how long a quote holds: days, or its last day."""
    if not isinstance(node.value, date):
        whole("a number of days", 1, 3660)(node)
    return ""


def _day(day: date) -> str:
    return f"{day.day} {day:%B} {day.year}"


def _address(node: Node) -> tuple[str, ...]:
    """Read an address: a text whose lines are kept, or an array of lines."""
    value = node.value
    lines = value.splitlines() if isinstance(value, str) else value
    if not isinstance(lines, list) or not all(isinstance(line, str) for line in lines):
        raise node.error(f"{shown(value)} instead of an address", 'write its lines as ["12 Some Street", "Some Town"]')
    if len(lines) > MOST_LINES:
        raise node.error(f"an address of {len(lines)} lines", f"keep it to {MOST_LINES}")
    one = words(200)
    return tuple(said for line in lines if (said := one(replace(node, value=line))))


def _date(node: Node) -> str:
    """Read a date, or a text that is printed as it stands."""
    if isinstance(node.value, date):
        return _day(node.value)
    return str(words(60)(node))


def _file(node: Node) -> Path:
    """Read the path of a file."""
    return Path(text(node))


_FIRM = {
    "name": Key(text, example='name = "the firm\'s name"'),
    "address": Key(_address, []),
    "phone": Key(words(60), ""),
    "email": Key(words(120), ""),
    "logo": Key(_file, absent=True),
}
_CUSTOMER = {"name": Key(text, example='name = "the customer\'s name"'), "address": Key(_address, [])}
_DETAILS = {
    "reference": Key(words(60), ""),
    "date": Key(_date, ""),
    "currency": Key(words(8), ""),
    "note": Key(words(1000), ""),
    "firm": Key(table(_FIRM, Firm), absent=True),
    "customer": Key(table(_CUSTOMER, Customer), absent=True),
    "prices": Key(tables(PRICE, Price, MOST_PRICES), []),
    "tax": Key(table(TAX, Tax), absent=True),
    "deposit": Key(deposit, absent=True),
    "exclusions": Key(texts("exclusions", 30), []),
    "valid": Key(_valid, absent=True),
}
