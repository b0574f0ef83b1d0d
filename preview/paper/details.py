"""What a quote says beside the floor: the firm, the customer and the price, from a TOML file the firm keeps itself.

The program adds up what stands there and never makes up a price.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from pathlib import Path
from types import MappingProxyType

from preview.scene.document import Kind, file_bytes, parsed, plain_text
from preview.scene.fields import text
from preview.scene.nodes import Key, Node, Reader, Source, shown, table, tables
from preview.scene.positions import key_lines

DETAILS_FILE = Kind("details", "details.toml")
MOST_LINES = 12  # of an address
MOST = Decimal("1e9")
CENT = Decimal("0.01")


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
class Price:
    """One line of the price; `quantity` of `unit` (a text such as ``sq ft``, or none) at `unit_price` each."""

    text: str
    quantity: Decimal
    unit: str
    unit_price: Decimal

    @property
    def amount(self) -> Decimal:
        """Return quantity times unit price, to the cent, halves up."""
        return (self.quantity * self.unit_price).quantize(CENT, ROUND_HALF_UP)


@dataclass(frozen=True)
class Details:
    """What the firm's own file adds to a quote; all of it may be left out."""

    reference: str = ""
    date: str = ""
    currency: str = ""
    note: str = ""
    firm: Firm | None = None
    customer: Customer | None = None
    prices: tuple[Price, ...] = ()

    @property
    def total(self) -> Decimal:
        """Return the sum of the lines as they are printed."""
        return sum((each.amount for each in self.prices), Decimal(0)).quantize(CENT)


def load_details(path: Path) -> Details:
    """Return the details in the file at `path`.

    Raises:
        SceneError: for anything wrong with the file, with its place and what would do.
    """
    return read_details(file_bytes(path, DETAILS_FILE), str(path))


def read_details(content: bytes | str, name: str) -> Details:
    """Return details given as text or as the bytes of a file, called `name` in messages; a logo's path starts from
    the folder of `name`.

    Raises:
        SceneError: as `load_details`.
    """
    plain = plain_text(content, name, DETAILS_FILE)
    document = parsed(plain, name, DETAILS_FILE)
    source = Source(name, MappingProxyType(key_lines(plain)))
    found: Details = table(_DETAILS, Details)(Node(document, "", source))
    if found.prices and not found.currency:
        remedy = 'add currency = "USD", or another, before the first table'
        raise source.error("prices", "prices without a currency", remedy)
    if found.firm is None or found.firm.logo is None:
        return found
    return replace(found, firm=replace(found.firm, logo=Path(name).parent / found.firm.logo))


def _words(most: int) -> Reader:
    """Return the reader of a text of at most `most` letters; an empty one may stand for none."""

    def read(node: Node) -> str:
        if not isinstance(node.value, str):
            raise node.error(f"{shown(node.value)} instead of a text", "write a text in quotes")
        if len(node.value) > most:
            raise node.error(f"a text of {len(node.value)} letters", f"keep it to {most}")
        return " ".join(node.value.split())

    return read


def _address(node: Node) -> tuple[str, ...]:
    """Read an address: a text whose lines are kept, or an array of lines."""
    value = node.value
    lines = value.splitlines() if isinstance(value, str) else value
    if not isinstance(lines, list) or not all(isinstance(line, str) for line in lines):
        raise node.error(f"{shown(value)} instead of an address", 'write its lines as ["12 Some Street", "Some Town"]')
    if len(lines) > MOST_LINES:
        raise node.error(f"an address of {len(lines)} lines", f"keep it to {MOST_LINES}")
    one = _words(200)
    return tuple(words for line in lines if (words := one(replace(node, value=line))))


def _date(node: Node) -> str:
    """Read a date, or a text that is printed as it stands."""
    if isinstance(node.value, date):
        return f"{node.value.day} {node.value:%B %Y}"
    return str(_words(60)(node))


def _amount(what: str) -> Reader:
    """Return the reader of an exact number: one without quotes, or in quotes to keep every figure."""

    def read(node: Node) -> Decimal:
        value = node.value
        try:
            if isinstance(value, bool) or not isinstance(value, int | float | str):
                raise InvalidOperation
            number = Decimal(str(value).strip())  # a float's shortest form is what the file has
        except InvalidOperation:
            raise node.error(f"{shown(value)} instead of {what}", 'write a number, such as 12.50 or "12.50"') from None
        if not number.is_finite() or abs(number) > MOST:
            raise node.error(f"{what} of {shown(value)}", "give a number between -1,000,000,000 and 1,000,000,000")
        return number

    return read


def _file(node: Node) -> Path:
    """Read the path of a file."""
    return Path(text(node))


_FIRM = {
    "name": Key(text, example='name = "the firm\'s name"'),
    "address": Key(_address, []),
    "phone": Key(_words(60), ""),
    "email": Key(_words(120), ""),
    "logo": Key(_file, absent=True),
}
_CUSTOMER = {"name": Key(text, example='name = "the customer\'s name"'), "address": Key(_address, [])}
_PRICE = {
    "text": Key(text, example='text = "what it is for"'),
    "quantity": Key(_amount("a quantity"), 1),
    "unit": Key(_words(20), ""),
    "unit_price": Key(_amount("a price"), example="unit_price = 12.50"),
}
_DETAILS = {
    "reference": Key(_words(60), ""),
    "date": Key(_date, ""),
    "currency": Key(_words(8), ""),
    "note": Key(_words(1000), ""),
    "firm": Key(table(_FIRM, Firm), absent=True),
    "customer": Key(table(_CUSTOMER, Customer), absent=True),
    "prices": Key(tables(_PRICE, Price), []),
}
