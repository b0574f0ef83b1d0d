"""What a floor costs by a firm's own prices: every quantity, amount and sum as it is printed.

A customer can add the page up by hand: quantities are rounded before they are multiplied (areas up to 0.1 sq ft or
0.01 m², lengths up to 1 ft or 0.1 m, counts up), each amount is rounded to the cent, halves up, before it is added.
Decimal throughout; the layout's floats are rounded once, to a millionth of a step, so that noise adds no step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext

from preview.floor.laid import LaidFloor
from preview.floor.quantities import Quantities, quantities
from preview.paper.quote.firm_details import Details
from preview.paper.quote.price_lines import UNITS, Price
from preview.scene.job import Job, Unit
from preview.scene.nodes import suggest
from preview.units import system

CENT = Decimal("0.01")
DIGITS = 60  # of the arithmetic: more than the largest product has
NOISE = Decimal("1e-6")  # of a step

STEPS: dict[str, tuple[Decimal, Decimal]] = {
    "sq ft": (Decimal("0.3048") ** 2, Decimal("0.1")),
    "m²": (Decimal(1), Decimal("0.01")),
    "ft": (Decimal("0.3048"), Decimal(1)),
    "m": (Decimal(1), Decimal("0.1")),
}
"""By unit: how many square metres or metres it has (exact), and what it is rounded up to."""

SAID = {
    "sq ft": "areas up to 0.1 sq ft",
    "m²": "areas up to 0.01 m²",
    "ft": "lengths up to 1 ft",
    "m": "lengths up to 0.1 m",
}


@dataclass(frozen=True)
class Line:
    """A line as it is printed. `made` says how a quantity with waste came about, `rounded` what one was rounded to;
    both are empty where there is nothing to say."""

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
    """Return whether the prices written for the chosen floor go for another: it is of the same woods, or a line is its
    own."""
    named = {name.casefold() for line in details.prices for name in line.variants}
    return job.variant.casefold() in named or _materials(job) == _materials(chosen)


def by_layout(details: Details) -> bool:
    """Return whether what a floor costs follows from its layout or its variant."""
    return any(isinstance(each.quantity, str) or each.variants for each in details.prices if not each.optional)


def measured(amount: float, unit: str) -> Decimal:
    """Return an area in square metres or a length in metres in `unit`, rounded up as it is printed."""
    size, step = STEPS[unit]
    with localcontext(prec=DIGITS):
        return _up(Decimal(amount) / size, step)


def money(amount: Decimal) -> str:
    """Return an exact amount with at least two decimals."""
    whole, _, cents = f"{amount:,f}".partition(".")
    return f"{whole}.{cents:<02}".replace("-", "−")


def _bill(details: Details, floor: LaidFloor) -> Bill:
    job = floor.job
    taken = quantities(floor.room, floor.layout, job)
    name = job.variant.casefold()
    own = [each for each in details.prices if not each.variants or name in {v.casefold() for v in each.variants}]
    lines = [(each.optional, line) for each in own if (line := _line(each, taken, job.units)) is not None]
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


def _line(price: Price, taken: Quantities, units: Unit) -> Line | None:
    """Return a line with its quantity; None where the floor has nothing of it."""
    what, unit = price.quantity, price.unit
    if isinstance(what, Decimal):
        return Line(price.text, what, unit, price.unit_price, price.taxed)
    if what in UNITS:
        unit = unit or UNITS[what][0 if system(units) == "imperial" else 1]
        step, net, rounded = STEPS[unit][1], measured(getattr(taken, what), unit), SAID[unit]
    else:
        step, net, rounded = Decimal(1), Decimal(getattr(taken, what)), ""
    if not net:
        return None
    if price.waste is None:
        return Line(price.text, net, unit, price.unit_price, price.taxed, rounded=rounded)
    with localcontext(prec=DIGITS):
        gross = _up(net * (100 + price.waste) / 100, step)
    made = f"{plain(net, unit)} and {price.waste.normalize():f} % for waste"
    return Line(price.text, gross, unit, price.unit_price, price.taxed, made, rounded)


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


def _materials(job: Job) -> object:
    """Return what a price is asked for: the woods as they are ordered, and their thickness."""
    woods = [(each.species, each.cut, each.grade, each.stain, each.finish) for each in job.woods]
    return (job.floor.thickness, *(woods if job.border.width > 0 else woods[:1]))
