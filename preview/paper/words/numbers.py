"""The numbers of a layout in words: what each measure is called on paper, and how it is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import Literal

from preview.floor.layout import Board, Layout
from preview.room.places import side_towards
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_area, format_exact, format_fine, format_length, system
from preview.vectors import right_of, unit

QuantityKind = Literal["length", "area", "count", "share"]


def write(value: float, kind: QuantityKind, units: Unit) -> str:
    """Return `value` (metres, square metres, a count or a share of one) as text in `units`."""
    writers: dict[QuantityKind, Callable[[], str]] = {
        "length": lambda: format_length(value, units),
        "area": lambda: format_area(value, units),
        "count": lambda: f"{round(value):,}",
        "share": lambda: f"{100 * value:.1f} %",
    }
    return writers[kind]()


def on_top(share: float, units: Unit) -> str:
    """Return what is bought beyond the field as a share of its area; wide joints can make that less than nothing."""
    if share < 0:
        return f"{write(-share, 'share', units)} less than the field, of which joints are a part"
    return f"{write(share, 'share', units)} on top of the field"


def center_text(room: Room, layout: Layout, units: Unit) -> str:
    """Return how far the centre line lies from the middle of the field, and towards which wall, in words."""
    offset = layout.measures["center_offset"]
    words = format_length(abs(offset), units)
    if words == format_length(0.0, units):
        return "in the middle of the field"
    right = right_of(unit(layout.run))
    return f"{words} off the middle, towards {side_towards(room, right if offset > 0 else -right)}"


def total_length(metres: float, units: Unit) -> str:
    """Return a length to buy in all, rounded up as one buys it, to 1 ft or 0.1 m: the figure that every paper gives."""
    if system(units) == "imperial":
        return f"{ceil(metres / 0.3048 - 1e-6):,} ft"
    return f"{ceil(10 * metres - 1e-6) / 10:,.1f} m"


def long_text(board: Board, units: Unit, told: Callable[[float, Unit], str] = format_exact) -> str:
    """Return how long boards are: where lengths are mixed, from the shortest to the longest."""
    longest = told(board.length, units)
    return longest if board.shortest is None else f"{told(board.shortest, units)} to {longest}"


def edge_line(layout: Layout) -> str:
    """Return what the line that the field boards end at is called: where there is no border, none is named."""
    return "border line" if layout.border_width > 0 else "edge line"


def bare_length(metres: float, units: Unit) -> str:
    """Return a length as drawings have it: without its unit, which stands once on the sheet, where that is metric."""
    return format_length(metres, units).removesuffix(f" {units}")


def and_list(names: Sequence[str]) -> str:
    """Return names as a list in a sentence: ``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def bare_fine(metres: float, units: Unit) -> str:
    """Return a distance that lines are struck by as drawings have it, without its unit where that is metric."""
    return format_fine(metres, units).removesuffix(f" {units}")
