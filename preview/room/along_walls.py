"""Where a rectangle stands as one tapes it: along the wall that it is nearest to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.room.outline import inward
from preview.vectors import steps_round

SQUARE = 1e-3
"""Metres that corners may be off the rectangle along a wall."""


@dataclass(frozen=True)
class AlongWall:
    """A rectangle along `wall`, counted from 0 and `length` long: it reaches from `low` to `high` along it, from the
    wall's first corner, and from `clear` to `far` out from it. Metres."""

    wall: int
    low: float
    high: float
    clear: float
    far: float
    length: float


def along_wall(corners: NDArray[np.float64], rectangle: NDArray[np.float64]) -> AlongWall | None:
    """Return a rectangle (4, 2) as taped from the nearest of the walls between `corners` (n, 2) that it stands square
    to and beside; None where there is no such wall, or it is no rectangle."""
    if len(rectangle) != 4:
        return None
    best = None
    steps, ways = steps_round(corners), inward(corners)
    for number, (corner, step, way) in enumerate(zip(corners, steps, ways, strict=True)):
        length = float(np.hypot(*step))
        along, out = (rectangle - corner) @ (step / length), (rectangle - corner) @ way
        square = all(np.minimum(abs(each - each.min()), abs(each - each.max())).max() < SQUARE for each in (along, out))
        low, high, clear, far = (float(each) for each in (along.min(), along.max(), out.min(), out.max()))
        if not square or low < -SQUARE or high > length + SQUARE or clear < -SQUARE:
            continue
        if best is None or clear < best.clear - SQUARE:
            best = AlongWall(number, low, high, clear, far, length)
    return best
