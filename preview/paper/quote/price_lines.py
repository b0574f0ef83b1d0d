"""The price as a firm writes it: lines of a quantity and a price each, tax and deposit. All of it exact decimals.

A quantity is a number of the firm's own, or what of the layout it follows: the area of the field's boards, the length
of the border or of the feature strip, boards to buy, grilles, thresholds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, get_args

from preview.paper.quote.detail_fields import exact, per_cent, yes
from preview.scene.fields import either, text
from preview.scene.nodes import Key, Node, Source, listed, shown
from preview.scene.text_fields import texts, words

Tied = Literal["field", "border", "strip", "boards", "grilles", "thresholds"]

FloorPart = Literal["field", "border", "strip", "grilles", "thresholds"]
"""The parts of a floor that a customer pays for; boards are the field's."""

UNITS: dict[str, tuple[str, ...]] = {"field": ("sq ft", "m²"), "border": ("ft", "m"), "strip": ("ft", "m")}
"""In what a tied quantity may be measured, imperial and metric; the others are counted."""

WASTED = ("field", "border", "strip", "boards")
SPELLED = {"m2": "m²", "sq m": "m²", "ft²": "sq ft", "ft2": "sq ft"}


@dataclass(frozen=True)
class Price:
    """One line: `quantity` of `unit` (a text such as ``sq ft``, or none) at `unit_price` each.

    `waste` per cent are added to a quantity of the layout. An `optional` line is not in the total; one that isn't
    `taxed` bears no tax. `variants` are the only ones that it goes for; where none is named it goes for all. `covers`
    are parts of the floor that it pays for beside what its quantity counts.
    """

    text: str
    quantity: Decimal | Tied
    unit: str
    unit_price: Decimal
    waste: Decimal | None = None
    optional: bool = False
    taxed: bool = True
    variants: tuple[str, ...] = ()
    covers: tuple[FloorPart, ...] = ()

    @property
    def parts(self) -> tuple[FloorPart, ...]:
        """Return the parts of the floor that it pays for: those that it counts, and those that it covers besides."""
        counted = "field" if self.quantity == "boards" else self.quantity
        return tuple(each for each in get_args(FloorPart) if each == counted or each in self.covers)


@dataclass(frozen=True)
class Tax:
    """A tax by its `name`, `rate` per cent."""

    name: str
    rate: Decimal


@dataclass(frozen=True)
class Deposit:
    """What is paid on signing: `share` per cent of the total, or else an `amount`."""

    share: Decimal | None = None
    amount: Decimal | None = None


def checked(prices: Sequence[Price], source: Source) -> tuple[Price, ...]:
    """Return prices with their units spelled in one way.

    Raises:
        SceneError: a unit that the quantity isn't measured in; waste on what has none.
    """
    found = []
    for number, line in enumerate(prices, 1):
        unit, known = SPELLED.get(line.unit.casefold(), line.unit), UNITS.get(str(line.quantity), ())
        if known and unit and unit not in known:
            what = "an area" if line.quantity == "field" else "a length"
            raise source.error(
                f"prices[{number}].unit",
                f'"{line.unit}" for the {line.quantity}, which is {what}',
                f"write {listed(known, 'or')}, or leave it out",
            )
        if line.waste is not None and line.quantity not in WASTED:
            raise source.error(
                f"prices[{number}].waste",
                "waste on a quantity that has none",
                f"it goes with {listed(WASTED, 'and')}; count it in, or leave it out",
            )
        found.append(replace(line, unit=unit))
    return tuple(found)


def deposit(node: Node) -> Deposit:
    """Read a deposit: per cent in a text with its sign, or an amount."""
    if isinstance(node.value, str) and node.value.strip().endswith("%"):
        return Deposit(share=per_cent("a deposit")(node))
    amount = exact(node, "a deposit", 'write "30 %", or an amount such as 1500')
    if amount <= 0:
        raise node.error(f"a deposit of {shown(node.value)}", "give one above 0, or leave it out")
    return Deposit(amount=amount)


def _price(node: Node) -> Decimal:
    return exact(node, "a price", 'write a number, such as 12.50 or "12.50"')


def _count(node: Node) -> Decimal:
    number = exact(node, "a quantity", f"write a number, or {listed(get_args(Tied), 'or')}")
    if number <= 0:
        raise node.error(f"a quantity of {shown(node.value)}", "give one above 0; a discount has a unit_price below 0")
    return number


def _parts(node: Node) -> tuple[FloorPart, ...]:
    """Read parts of a floor."""
    known: dict[str, FloorPart] = {each: each for each in get_args(FloorPart)}
    said = texts("parts", len(known))(node)
    for place, each in zip(node.items(), said, strict=True):
        if each not in known:
            raise place.error(
                f"{shown(each)} instead of a part of the floor", f"write {listed(get_args(FloorPart), 'or')}"
            )
    return tuple(known[each] for each in said)


PRICE = {
    "text": Key(text, example='text = "what it is for"'),
    "quantity": Key(
        either("quantity", get_args(Tied), _count),
        example=f"quantity = 1, or to take it from the layout {listed(get_args(Tied), 'or')}",
    ),
    "unit": Key(words(20), ""),
    "unit_price": Key(_price, example="unit_price = 12.50"),
    "waste": Key(per_cent("waste", none=True), absent=True),
    "optional": Key(yes, False),
    "taxed": Key(yes, True),
    "variants": Key(texts("variants", 100), []),
    "covers": Key(_parts, []),
}
TAX = {"name": Key(text, example='name = "Sales tax"'), "rate": Key(per_cent("a rate"), example="rate = 6.25")}
