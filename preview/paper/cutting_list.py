"""Border and threshold pieces sorted into a cutting list: how many, how long, with which ends."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.layout import Layout, Role
from preview.scene.job import Unit
from preview.units import format_length, round_length

Array = NDArray[np.float64]
SQUARE = 0.5  # degrees; an end turned by less is sawn square


@dataclass(frozen=True, order=True)
class Cut:
    """`count` pieces of one length (metres over all, rounded as it is printed) whose ends are sawn alike.

    `ends` are degrees off square, smaller first; None where an end is not one straight cut.
    """

    length: float
    ends: tuple[float, float] | None
    count: int

    @property
    def mitred(self) -> bool:
        """Whether an end is sawn at an angle."""
        return self.ends is not None and self.ends != (0.0, 0.0)

    def text(self, units: Unit) -> str:
        """Return this line of the list in words."""
        return f"{self.count} of {format_length(self.length, units)}, {self.ends_text()}"

    def ends_text(self) -> str:
        """Return how the ends are sawn."""
        if self.ends is None:
            return "ends fitted on site"
        first, second = (("square" if end == 0 else f"{end:g}° mitre") for end in self.ends)
        return f"both ends {first}" if first == second else f"one end {first}, one {second}"


def cutting_list(layout: Layout, role: Role, units: Unit) -> list[Cut]:
    """Return the pieces of one role as lines of a cutting list, long pieces first."""
    pieces = layout.pieces
    counts: Counter[tuple[float, tuple[float, float] | None]] = Counter()
    for number in np.flatnonzero(pieces.role == role):
        length = round_length(float(pieces.size[number, 0]), units)
        counts[length, end_angles(pieces.polygons[number], float(pieces.grain[number]))] += 1
    lines = [Cut(length, ends, count) for (length, ends), count in counts.items()]
    return sorted(lines, key=lambda line: (-line.length, line.ends or (90.0, 90.0)))


def end_angles(polygon: Polygon, grain: float) -> tuple[float, float] | None:
    """Return how far off square the two ends of a strip are sawn, degrees to the nearest half, smaller first.

    The ends are the edges of the convex hull that don't run with the grain (within a degree): two of them on a
    strip. None where there are more, as on a piece notched at its end.
    """
    points = np.asarray(polygon.convex_hull.simplify(1e-6).exterior.coords)
    steps = np.diff(points, axis=0)
    turn = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]) - grain)
    off_square = np.abs((turn % 180.0) - 90.0)
    ends = off_square[(off_square < 89.0) & (np.hypot(*steps.T) > 1e-6)]
    if len(ends) != 2:
        return None
    low, high = sorted(round(2 * float(end)) / 2 for end in ends)
    return (0.0 if low <= SQUARE else low, 0.0 if high <= SQUARE else high)
