"""What of a floor its price is for: which of its parts lines count, are an option, or are left out; and what a firm is
warned of before a customer reads it.

A part is priced by a line whose quantity follows it, or which names it under `covers`. Where no line names any part,
the price is one sum for the whole floor. Otherwise a part that no line names is told to be left out: a signed floor has
no part of which nobody knows who pays for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from preview.floor.laid import LaidFloor
from preview.floor.layout import Role
from preview.floor.packing import cutting
from preview.paper.quote.firm_details import Details
from preview.paper.quote.price_lines import FloorPart, Price
from preview.paper.words.numbers import and_list
from preview.scene.job import Job

ROLES: dict[FloorPart, Role] = {
    "field": Role.BOARD,
    "border": Role.BORDER,
    "strip": Role.STRIP,
    "grilles": Role.GRILLE,
    "thresholds": Role.THRESHOLD,
}
CALLED: dict[FloorPart, str] = {
    "field": "boards",
    "border": "border",
    "strip": "feature strip",
    "grilles": "grilles",
    "thresholds": "thresholds",
}
ONE = {"grilles": "grille", "thresholds": "threshold"}


@dataclass(frozen=True)
class Scope:
    """What of a floor its price is for, each part by what papers call it.

    `names` are all parts that the floor has, `optional` those that only an optional line prices, `excluded` those that
    the firm leaves out by name, and `unpriced` those that no line names; `whole` where lines name no part at all, and
    the total is for all but the excluded ones.
    """

    names: dict[FloorPart, str]
    optional: tuple[FloorPart, ...] = ()
    excluded: tuple[FloorPart, ...] = ()
    unpriced: tuple[FloorPart, ...] = ()
    whole: bool = False

    @property
    def left_out(self) -> tuple[FloorPart, ...]:
        """Return the parts that the quote says are not in the price: never the boards, without which there is no floor
        to quote for."""
        unpriced = () if self.whole else tuple(each for each in self.unpriced if each != "field")
        return (*self.excluded, *unpriced)

    @property
    def remarks(self) -> dict[FloorPart, str]:
        """Return what stands beside a part where it is described, of parts that are not in the total."""
        told = dict.fromkeys(self.left_out, "Not in the price.")
        return told | dict.fromkeys(self.optional, "An option, not in the total.")


def lines_for(details: Details, job: Job) -> list[Price]:
    """Return the price lines that go for a variant."""
    name = job.variant.casefold()
    return [each for each in details.prices if not each.variants or name in {v.casefold() for v in each.variants}]


def part_names(floor: LaidFloor) -> dict[FloorPart, str]:
    """Return the parts that a floor has, with their names as papers have them."""
    pieces = floor.layout.pieces
    counts = {part: int((pieces.role == role).sum()) for part, role in ROLES.items()}
    return {part: ONE.get(part, CALLED[part]) if n == 1 else CALLED[part] for part, n in counts.items() if n}


def scope(details: Details, floor: LaidFloor) -> Scope:
    """Return what of `floor` the prices of `details` are for.

    Raises:
        SceneError: a part that is both priced and excluded.
    """
    names = part_names(floor)
    if not details.prices:
        return Scope(names)
    lines = lines_for(details, floor.job)
    counted, optional = (
        {part for each in lines if each.optional is wanted for part in each.parts if part in names}
        for wanted in (False, True)
    )
    excluded = {part: n for n, said in enumerate(details.exclusions, 1) if (part := excluded_part(said)) in names}
    for part in (each for each in counted if each in excluded):
        number = next(n for n, each in enumerate(details.prices, 1) if each in lines and part in each.parts)
        raise details.source.error(
            f"exclusions[{excluded[part]}]",
            f"the {names[part]}, which prices[{number}] counts",
            "leave out one of the two",
        )
    open_parts = tuple(part for part in names if part not in counted | optional | set(excluded))
    return Scope(
        names,
        tuple(part for part in names if part in optional - counted),
        tuple(part for part in names if part in excluded),
        open_parts,
        whole=not counted and not optional,
    )


def excluded_part(said: str) -> FloorPart | None:
    """Return the part that an exclusion names and nothing else: ``thresholds``, ``the feature strip``."""
    bare = said.casefold().removeprefix("the ").strip()
    return next((part for part, name in CALLED.items() if bare in (part, name, ONE.get(part))), None)


def exclusions(details: Details, found: Scope) -> list[str]:
    """Return what the quote says is not included: the firm's words, its own parts by their names, and what no line
    names."""
    known = [(said, excluded_part(said)) for said in details.exclusions]
    own = [f"the {found.names[part]}" if part and part in found.names else said for said, part in known]
    return [*own, *(f"the {found.names[part]}" for part in found.left_out if part not in found.excluded)]


def whole_words(found: Scope) -> str:
    """Say that the total is for all of the floor, where lines name no part of it; nothing elsewhere."""
    if not found.whole:
        return ""
    return f"The total is for the whole floor: {and_list([found.names[part] for part in found.unpriced])}."


def warnings(details: Details, floor: LaidFloor) -> list[str]:
    """Return what a firm should know of its prices before a customer reads them: parts that no line names, and waste
    below the plan's."""
    if not details.prices:
        return []
    found = scope(details, floor)
    return [*_open(details, found), *_low_waste(details, floor)]


def _open(details: Details, found: Scope) -> list[str]:
    if found.whole:
        parts = and_list([f"the {found.names[part]}" for part in found.unpriced])
        names = ", ".join(f'"{part}"' for part in found.unpriced)
        return [
            _warning(
                details,
                "prices",
                f"no line says which parts of the floor it pays for: the quote says that its total is for {parts}",
                f"if so, write covers = [{names}] in a line; if not, name what is left out in exclusions",
            )
        ]
    return [_unpriced(details, found, part) for part in found.unpriced]


def _unpriced(details: Details, found: Scope, part: FloorPart) -> str:
    if part == "field":
        return _warning(
            details,
            "prices",
            "no line counts the boards",
            'write quantity = "field" or "boards", or covers = ["field"] in the line that pays for them',
        )
    name = found.names[part]
    return _warning(
        details,
        "prices",
        f"no line counts the {name}, which the floor has: the quote says that the {name} "
        f"{'is' if part in ('border', 'strip') or name in ONE.values() else 'are'} not in the price",
        f'add a line with quantity = "{part}", or covers = ["{part}"] to the line that pays for it; to leave it out, '
        f'add "{part}" to exclusions',
    )


def _low_waste(details: Details, floor: LaidFloor) -> list[str]:
    """Warn of each line that adds less for waste to the field than the plan takes."""
    layout = floor.layout
    takes = Decimal(f"{100 * layout.measures['waste']:.1f}")
    lines = lines_for(details, floor.job)
    low = [
        (number, each.waste)
        for number, each in enumerate(details.prices, 1)
        if each in lines and each.quantity == "field" and each.waste is not None and each.waste < takes
    ]
    if not low:
        return []
    told = f"this plan takes {takes} % where no offcut is used again"
    if not layout.board.mixed:
        need = cutting(layout.pieces, layout.board.length, floor.job.stock.kerf)
        share = (1 + layout.measures["waste"]) * need.reused / need.apart - 1
        if need.reused < need.apart:
            told += f", {100 * share:.1f} % where offcuts are used again"
    return [
        _warning(
            details,
            f"prices[{number}].waste",
            f"{waste.normalize():f} % for waste, but {told}",
            "raise it, or see that the price per unit allows for the difference",
        )
        for number, waste in low
    ]


def _warning(details: Details, key: str, found: str, remedy: str) -> str:
    """Return a warning with its place in the firm's file, written as an error is."""
    return str(details.source.error(key, found, remedy))


def covered_words(parts: Sequence[FloorPart], names: Mapping[FloorPart, str]) -> str:
    """Return what a line pays for beside what it counts, in words; nothing where the floor has none of it."""
    told = [f"the {names[part]}" for part in parts if part in names]
    return f"includes {and_list(told)}" if told else ""
