"""How large the pieces along an edge are, and ranges of sizes in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import degrees

from preview.floor.facts import Meets
from preview.scene.job import Unit
from preview.units import format_length


@dataclass(frozen=True)
class Sizes:
    """`count` pieces: least and greatest length along the board, to the long point, and width across it; metres of
    wood, without joints."""

    count: int
    shortest: float
    longest: float
    narrowest: float
    widest: float


@dataclass(frozen=True)
class EdgePieces:
    """The pieces along an edge of the field: what `meets` it, the sizes of its `boards` and of its `triangles`, None
    where there are none of a kind, and the `angle` by which it is turned from the run, radians."""

    meets: Meets
    boards: Sizes | None
    triangles: Sizes | None
    angle: float = 0.0

    @property
    def all(self) -> Sizes | None:
        """Boards and triangles as one."""
        return together([self.boards, self.triangles])


def together(sizes: Iterable[Sizes | None]) -> Sizes | None:
    """Return the sizes of several lots of pieces as one."""
    found = [each for each in sizes if each]
    if not found:
        return None
    return Sizes(
        sum(each.count for each in found),
        min(each.shortest for each in found),
        max(each.longest for each in found),
        min(each.narrowest for each in found),
        max(each.widest for each in found),
    )


def angled_words(edge: EdgePieces, width: float, units: Unit) -> str:
    """Return the pieces of an edge askew to the run in words; boards are `width` metres wide."""
    pieces = edge.all
    if pieces is None:
        return "whole boards"
    lies = f"boards cut to follow the edge (at {degrees(edge.angle):.0f}° to the centre line)"
    text = f"{lies}, pieces of {length_range([pieces], units)}"
    if format_length(pieces.narrowest, units) == format_length(width, units):
        return text
    return f"{text}, the narrowest {size(pieces.narrowest, units)} wide"


def angled_in_short(edge: EdgePieces, units: Unit) -> str:
    """Return the same in fewer words."""
    pieces = length_range([edge.boards, edge.triangles], units)
    return f"cut pieces of {pieces}" if pieces else "whole boards"


def length_range(sizes: Iterable[Sizes | None], units: Unit) -> str:
    """Return the lengths of several lots of pieces in words; nothing where there are none."""
    found = together(sizes)
    return span(found.shortest, found.longest, units) if found else ""


def span(least: float, most: float, units: Unit) -> str:
    """Return a range of lengths, one of them where they print alike."""
    low, high = format_length(least, units), format_length(most, units)
    if low == high:
        return size(least, units)
    return f"up to {high}" if low == format_length(0.0, units) else f"{low} to {high}"


def size(length: float, units: Unit) -> str:
    """Return a length in words."""
    words = format_length(length, units)
    return words if words != format_length(0.0, units) else "next to nothing"
