"""The shape of a cut piece as it is marked at the saw.

A piece lies face up with its uncut end, the near one, towards who saws it: x runs from the left edge to the right, y
away from the near end along the grain, metres. Nearly every piece is one of three shapes that a few numbers give
exactly; whatever else there is, is marked out corner by corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees
from typing import Literal

Point = tuple[float, float]
Hand = Literal["left", "right"]

SAME = 1e-7
"""Edges whose places differ by less, metres, are in one line."""

EXACT = 1e-10
"""A shape whose numbers miss the piece's area by more than this, square metres, is not the piece's."""


@dataclass(frozen=True)
class EndCut:
    """A piece whose two long edges run along the grain: one end or both are sawn straight across, at any angle.

    `left` and `right` are the lengths of its edges, `width` is across them. `far` is how far off square the far end is
    sawn, degrees, positive where its long point is on the left; `near` the same of the near end, 0 where it is uncut.
    `kept` is the edge of the blank that is left where the piece is ripped, "both" where it is as wide as its blank,
    None where both edges are sawn.
    """

    left: float
    right: float
    width: float
    far: float
    near: float
    kept: Literal["left", "right", "both"] | None

    @property
    def long(self) -> float:
        """Length of the longer edge, metres."""
        return max(self.left, self.right)

    @property
    def short(self) -> float:
        """Length of the shorter edge, metres; 0 on a triangle."""
        return min(self.left, self.right)

    @property
    def reach(self) -> float:
        """Length of the longer edge, metres."""
        return self.long

    @property
    def area(self) -> float:
        """Area, square metres."""
        return (self.left + self.right) / 2 * self.width


@dataclass(frozen=True)
class CornerCut:
    """A piece that has lost the corner at its far end on the side other than `hand`: `long` and `short` edges; of the
    far end, `width` wide before, `left_over` is still there; metres. `angle` is the cut's, degrees off square."""

    long: float
    short: float
    width: float
    left_over: float
    hand: Hand
    angle: float

    @property
    def reach(self) -> float:
        """Length along the grain, metres."""
        return self.long

    @property
    def area(self) -> float:
        """Area, square metres."""
        return self.long * self.width - (self.long - self.short) * (self.width - self.left_over) / 2


@dataclass(frozen=True)
class Taper:
    """A piece ripped to a taper from end to end, `width` at the near end and `narrow` at the far one, `length` long;
    metres. `kept` is the edge that is not sawn, None where both are."""

    length: float
    width: float
    narrow: float
    kept: Hand | None

    @property
    def reach(self) -> float:
        """Length along the grain, metres."""
        return self.length

    @property
    def area(self) -> float:
        """Area, square metres."""
        return self.length * (self.width + self.narrow) / 2


@dataclass(frozen=True)
class Marked:
    """Any other piece: its rings, the outline first, as corners (x, y)."""

    rings: tuple[tuple[Point, ...], ...]

    @property
    def reach(self) -> float:
        """Length along the grain, metres."""
        along = [y for _, y in self.rings[0]]
        return max(along) - min(along)

    @property
    def area(self) -> float:
        """Area, square metres."""
        outline, *holes = (abs(shoelace(ring)) for ring in self.rings)
        return outline - sum(holes)


Shape = EndCut | CornerCut | Taper | Marked


def shape_of(rings: Sequence[Sequence[Point]], width: float) -> Shape:
    """Return the shape of a piece from its rings of corners, open, the outline first; `width` is its blank's."""
    exact = Marked(tuple(tuple(ring) for ring in rings))
    if len(rings) > 1 or not 3 <= len(rings[0]) <= 5:
        return exact
    ring = rings[0]
    for shape in (_end_cut(ring, width), _taper(ring, width), _corner_cut(ring, width)):
        if shape is not None and abs(shape.area - exact.area) < EXACT:
            return shape
    return exact


def turned(rings: Sequence[Sequence[Point]], width: float, length: float) -> list[list[Point]]:
    """Return the rings as seen from the other end of their blank."""
    return [[(width - x, length - y) for x, y in ring] for ring in rings]


def shoelace(ring: Sequence[Point]) -> float:
    """Return the area of an open ring, above zero where it runs anticlockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring, ring[0]])) / 2


def _end_cut(ring: Sequence[Point], width: float) -> EndCut | None:
    low, high = min(x for x, _ in ring), max(x for x, _ in ring)
    sides = [[y for x, y in ring if abs(x - place) < SAME] for place in (low, high)]
    if len(ring) > 4 or sum(map(len, sides)) != len(ring) or high - low < SAME:
        return None
    (near_left, far_left), (near_right, far_right) = ((min(side), max(side)) for side in sides)
    at_left, at_right = low < SAME, high > width - SAME
    return EndCut(
        left=far_left - near_left,
        right=far_right - near_right,
        width=high - low,
        far=_off_square(far_left - far_right, high - low),
        near=_off_square(near_right - near_left, high - low),
        kept="both" if at_left and at_right else "left" if at_left else "right" if at_right else None,
    )


def _taper(ring: Sequence[Point], width: float) -> Taper | None:
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    ends = [[x for x, y in ring if abs(y - place) < SAME] for place in (low, high)]
    if len(ring) > 4 or sum(map(len, ends)) != len(ring) or high - low < SAME:
        return None
    near, far = ((min(end), max(end)) for end in ends)
    at_left, at_right = max(near[0], far[0]) < SAME, min(near[1], far[1]) > width - SAME
    return Taper(high - low, near[1] - near[0], far[1] - far[0], "left" if at_left else "right" if at_right else None)


def _corner_cut(ring: Sequence[Point], width: float) -> CornerCut | None:
    """Where a piece as wide as its blank has lost one corner at its far end."""
    slanted = [(a, b) for a, b in pairwise([*ring, ring[0]]) if abs(a[0] - b[0]) > SAME and abs(a[1] - b[1]) > SAME]
    if len(ring) != 5 or len(slanted) != 1:
        return None
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    near, far = min(y for _, y in ring), max(y for _, y in ring)
    low, high = sorted(slanted[0], key=lambda point: point[1])
    at_side = abs(low[0] - left) < SAME or abs(low[0] - right) < SAME
    if abs(right - left - width) > SAME or abs(high[1] - far) > SAME or not at_side:
        return None
    hand: Hand = "right" if abs(low[0] - left) < SAME else "left"
    left_over = right - high[0] if hand == "right" else high[0] - left
    angle = abs(_off_square(far - low[1], right - left - left_over))
    return CornerCut(far - near, low[1] - near, right - left, left_over, hand, angle)


def _off_square(rise: float, across: float) -> float:
    return degrees(atan2(rise, across)) if abs(rise) > SAME else 0.0
