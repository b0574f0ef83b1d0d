"""The numbers of a layout in words: what each measure is called on paper, and how it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from preview.floor.layout import Layout
from preview.scene.job import Unit
from preview.units import format_area, format_length

Kind = Literal["length", "area", "count", "share"]


@dataclass(frozen=True)
class Number:
    """One number as it stands on paper; `name` is its key in `Layout.measures`."""

    name: str
    label: str
    kind: Kind

    def text(self, layout: Layout, units: Unit) -> str:
        """Return this number of `layout` as text in `units`."""
        return write(layout.measures[self.name], self.kind, units)


def write(value: float, kind: Kind, units: Unit) -> str:
    """Return `value` (metres, square metres, a count or a share of one) as text in `units`."""
    writers: dict[Kind, Callable[[], str]] = {
        "length": lambda: format_length(value, units),
        "area": lambda: format_area(value, units),
        "count": lambda: f"{round(value):,}",
        "share": lambda: f"{100 * value:.1f} %",
    }
    return writers[kind]()


def center_text(layout: Layout, units: Unit) -> str:
    """Return how far the centre line lies from the middle of the field, in words."""
    offset = layout.measures["center_offset"]
    words = format_length(abs(offset), units)
    if words == format_length(0.0, units):
        return "in the middle of the field"
    return f"{words} {'right' if offset > 0 else 'left'} of the middle"


def side_text(layout: Layout, side: Literal["left", "right"], units: Unit) -> str:
    """Return what the courses end in at a side: a nearly full board, or triangles, with the length."""
    length = layout.measures[f"last_piece_{side}"]
    words = format_length(length, units)
    if length <= layout.board.width + layout.board.gap:
        return f"triangles, {words} legs"
    return words if length < layout.board.length - 1e-6 else f"{words} (full)"


def triangle_text(layout: Layout, end: Literal["near", "far"], units: Unit) -> str:
    """Return the legs of the triangles at an end, and whether those are full: as long as a board is wide."""
    legs, full = layout.measures[f"{end}_triangle"], layout.board.width + layout.board.gap
    words, whole = format_length(legs, units), format_length(full, units)
    return f"full, {words} legs" if words == whole else f"{words} legs (full: {whole})"


def bare_length(metres: float, units: Unit) -> str:
    """Return a length as drawings have it: without its unit, which stands once on the sheet, where that is metric."""
    return format_length(metres, units).removesuffix(f" {units}")
