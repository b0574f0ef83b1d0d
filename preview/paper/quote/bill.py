"""What a floor costs by a firm's own prices: every quantity, amount and sum as it is printed.

A customer can add the page up by hand: quantities are rounded before they are multiplied (areas to 0.1 sq ft or
0.01 m², lengths up to 1 ft or 0.1 m, as every other paper prints them, and what waste adds up), each amount is rounded
to the cent, halves up, before it is added. Decimal throughout; the layout's floats become decimals as they are printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext

from preview.floor.laid import LaidFloor
from preview.floor.quantities import Quantities, quantities
from preview.paper.quote.firm_details import Details
from preview.paper.quote.price_lines import UNITS, FloorPart, Price
from preview.paper.quote.scope import covered_words, lines_for, part_names
from preview.paper.words.numbers import and_list, total_length
from preview.scene.job import Job, Unit
from preview.scene.nodes import suggest
from preview.units import format_area, system

CENT = Decimal("0.01")
DIGITS = 60  # of the arithmetic: more than the largest product has
NOISE = Decimal("1e-6")  # of a step

STEPS = {"sq ft": Decimal("0.1"), "m²": Decimal("0.01"), "ft": Decimal(1), "m": Decimal("0.1")}
"""What a quantity is rounded to, by its unit."""

SAID = {
    "sq ft": "areas to 0.1 sq ft",
    "m²": "areas to 0.01 m²",
    "ft": "lengths up to 1 ft",
    "m": "lengths up to 0.1 m",
}


@dataclass(frozen=True)
class Line:
    """A line as it is printed. `made` says what a quantity of the layout counts and how its waste came about, `rounded`
    what it was rounded to; both are empty where there is nothing to say."""

    text: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    taxed: bool
    made: str = ""
    rounded: str = ""

    @property
    def amount(self) -> Decimal:
        """Return quantity times unit price, to the cent, halves up (those below nothing down)."""
        with localcontext(prec=DIGITS):
            return (self.quantity * self.unit_price).quantize(CENT, ROUND_HALF_UP)


@dataclass(frozen=True)
class Bill:
    """What one floor costs: `lines` make the total, `options` don't. `taxable` bears the `tax`; both are 0 where there
    is none. `deposit` is what is paid on signing, None where nothing is."""

    lines: tuple[Line, ...]
    options: tuple[Line, ...]
    taxable: Decimal
    tax: Decimal
    deposit: Decimal | None

    @property
    def rounded(self) -> list[str]:
        """Return what quantities were rounded to, each once."""
        return list(dict.fromkeys(each.rounded for each in (*self.lines, *self.options) if each.rounded))

    @property
    def subtotal(self) -> Decimal:
        """Return the sum of the lines as they are printed, before tax."""
        return _sum(self.lines)

    @property
    def total(self) -> Decimal:
        """Return what is to be paid in all."""
        with localcontext(prec=DIGITS):
            return self.subtotal + self.tax


def bills(details: Details, floors: Sequence[LaidFloor]) -> tuple[Bill, ...]:
    """Return the bill of each floor, the chosen one first, by the same prices.

    Raises:
        SceneError: prices for a variant that isn't there, none for the chosen floor, a total or a taxed sum under
            nothing, a deposit over the total.
    """
    _check_variants(details, floors)
    found = tuple(_bill(details, floor) for floor in floors)
    chosen = found[0] if found else None
    if chosen is None or not details.prices:
        return found
    if not chosen.lines:
        raise details.source.error(
            "prices",
            f"no price for the variant {floors[0].job.variant}",
            'add a line that goes for it: without "variants", and of something that the floor has',
        )
    amount = _deposit(details, chosen.total)
    if amount is not None and amount > chosen.total:
        raise details.source.error(
            "deposit",
            f"a deposit of {money(amount)} on a total of {money(chosen.total)} {details.currency}",
            "give no more than the total",
        )
    return (replace(chosen, deposit=amount), *found[1:])


def priced_alike(details: Details, job: Job, chosen: Job) -> bool:
    """Return whether the prices written for the chosen floor go for another: a line is its own, or all its parts are of
    the chosen floor's woods. A part that this one lacks may be of any wood where a line follows its length."""
    named = {name.casefold() for line in details.prices for name in line.variants}
    if job.variant.casefold() in named:
        return True
    tied = {each.quantity for each in details.prices}
    own, asked = _materials(chosen), _materials(job)
    return job.floor.thickness == chosen.floor.thickness and all(
        wood == own[part] if part in own else part in tied for part, wood in asked.items()
    )


def by_layout(details: Details) -> bool:
    """Return whether what a floor costs follows from its layout or its variant."""
    return any(isinstance(each.quantity, str) or each.variants for each in details.prices if not each.optional)


def measured(amount: float, unit: str) -> Decimal:
    """Return an area in square metres or a length in metres in `unit`, as every paper prints it."""
    units: Unit = "ft" if unit in ("ft", "sq ft") else "m"
    printed = format_area(amount, units) if unit in UNITS["field"] else total_length(amount, units)
    return Decimal(printed.removesuffix(f" {unit}").replace(",", ""))


def money(amount: Decimal) -> str:
    """Return an exact amount with at least two decimals."""
    whole, _, cents = f"{amount:,f}".partition(".")
    return f"{whole}.{cents:<02}".replace("-", "−")


def _bill(details: Details, floor: LaidFloor) -> Bill:
    job = floor.job
    taken = quantities(floor.room, floor.layout, job)
    names = part_names(floor)
    lines = [
        (each.optional, line)
        for each in lines_for(details, job)
        if (line := _line(each, taken, names, job.units)) is not None
    ]
    counted = tuple(line for optional, line in lines if not optional)
    options = tuple(line for optional, line in lines if optional)
    taxable = _sum([line for line in counted if line.taxed]) if details.tax else Decimal(0)
    subtotal = _sum(counted)
    for what, amount in (("a total", subtotal), ("a taxed sum", taxable)):
        if amount < 0:
            raise details.source.error(
                "prices",
                f"{what} of {money(amount)} {details.currency} for {job.variant}",
                "discounts can't be more than the rest",
            )
    tax = Decimal(0)
    if details.tax:
        with localcontext(prec=DIGITS):
            tax = (taxable * details.tax.rate / 100).quantize(CENT, ROUND_HALF_UP)
    return Bill(counted, options, taxable, tax, None)


def _line(price: Price, taken: Quantities, names: dict[FloorPart, str], units: Unit) -> Line | None:
    """Return a line with its quantity; None where the floor has nothing of it."""
    what, unit = price.quantity, price.unit
    covered = covered_words(price.covers, names)
    if isinstance(what, Decimal):
        return Line(price.text, what, unit, price.unit_price, price.taxed, covered)
    if what in UNITS:
        unit = unit or UNITS[what][0 if system(units) == "imperial" else 1]
        step, net, rounded = STEPS[unit], measured(getattr(taken, what), unit), SAID[unit]
    else:
        step, net, rounded = Decimal(1), Decimal(getattr(taken, what)), ""
    if not net:
        return None
    counted = _counted(what, taken)
    if not price.waste:
        made = "; ".join(filter(None, (counted, covered)))
        return Line(price.text, net, unit, price.unit_price, price.taxed, made, rounded)
    with localcontext(prec=DIGITS):
        gross = _up(net * (100 + price.waste) / 100, step)
    made = f"{plain(net, unit)}{f' ({counted})' if counted else ''} and {price.waste.normalize():f} % for waste"
    made = "; ".join(filter(None, (made, covered)))
    return Line(price.text, gross, unit, price.unit_price, price.taxed, made, rounded)


def _counted(what: str, taken: Quantities) -> str:
    """Return what a quantity of the layout counts and what it doesn't, in words; nothing where its name says it."""
    if what == "field":
        return left_out(taken)
    if what in ("border", "strip"):
        return "measured along the longer side of each piece"
    return f"{taken.boards - taken.spares:,} to cut and {taken.spares:,} spare" if what == "boards" else ""


def left_out(taken: Quantities) -> str:
    """Return what of a floor its field's area leaves out, in words; nothing where that is all of the floor."""
    parts = (
        ("border", taken.border),
        ("feature strip", taken.strip),
        ("grilles" if taken.grilles > 1 else "grille", taken.grilles),
        ("thresholds" if taken.thresholds > 1 else "threshold", taken.thresholds),
    )
    found = [name for name, amount in parts if amount]
    return f"without {and_list(found)}" if found else ""


def plain(quantity: Decimal, unit: str) -> str:
    """Return a quantity with its unit as it is printed."""
    return f"{quantity:,f} {unit}".strip()


def _up(amount: Decimal, step: Decimal) -> Decimal:
    """Return an amount rounded up to a step."""
    return (amount / step - NOISE).to_integral_value(ROUND_CEILING) * step


def _sum(lines: Sequence[Line]) -> Decimal:
    with localcontext(prec=DIGITS):
        return sum((each.amount for each in lines), Decimal(0)).quantize(CENT)


def _deposit(details: Details, total: Decimal) -> Decimal | None:
    wanted = details.deposit
    if wanted is None:
        return None
    if wanted.share is None:
        return (wanted.amount or Decimal(0)).quantize(CENT, ROUND_HALF_UP)
    with localcontext(prec=DIGITS):
        return (total * wanted.share / 100).quantize(CENT, ROUND_HALF_UP)


def _check_variants(details: Details, floors: Sequence[LaidFloor]) -> None:
    known = [each.job.variant for each in floors]
    folded = {name.casefold() for name in known}
    for number, line in enumerate(details.prices, 1):
        for place, name in enumerate(line.variants, 1):
            if name.casefold() not in folded:
                raise details.source.error(
                    f"prices[{number}].variants[{place}]", f'no variant is called "{name}"', suggest(name, known)
                )


def _materials(job: Job) -> dict[str, object]:
    """Return what a price is asked for: the wood of each part as it is ordered, by what a quantity calls the part."""
    border = ("border", "strip") if job.border.width > 0 else ()
    return {
        part: (each.species, each.cut, each.grade, each.stain, each.finish)
        for part, each in zip(("field", *border), job.woods, strict=False)
    }
