"""A right angle laid out with a tape: sides of 3, 4 and 5 parts close on it (Euclid, Elements I.48: a triangle whose
sides satisfy a² + b² = c² has a right angle between a and b)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.layout import Layout
from preview.paper.plan_sheet import imperial
from preview.paper.setting_out import directions
from preview.scene.job import Unit

Array = NDArray[np.float64]
FOOT = 0.3048
SHORTEST = 0.5 * FOOT  # metres, a part below which a triangle is too small to be true with a tape


@dataclass(frozen=True, eq=False)
class RightAngle:
    """A triangle at the start point: `four` along the chalk line, `three` square to it, `five` between their ends.

    `along` and `across` (2,) are the two ends, metres; `side` is where `across` lies, seen along the run.
    """

    three: float
    four: float
    five: float
    along: Array
    across: Array
    side: str


def right_angle(layout: Layout, units: Unit) -> RightAngle | None:
    """Return the largest 3-4-5 triangle in whole parts that lies on the field at the start point, or None.

    A part is whole feet, or half a foot, in imperial units, and tenths of a metre in others.
    """
    along, left = directions(layout)
    step = 0.5 * FOOT if imperial(units) else 0.1
    for count in range(int(2.0 / step), 0, -1):
        part = count * step
        if part < SHORTEST or (imperial(units) and count % 2 and count > 1):
            continue
        for side, way in (("right", -left), ("left", left)):
            a = layout.start_point + 4 * part * along
            b = layout.start_point + 3 * part * way
            if layout.field.buffer(1e-6).covers(Polygon([layout.start_point, a, b])):
                return RightAngle(3 * part, 4 * part, 5 * part, a, b, side)
    return None
