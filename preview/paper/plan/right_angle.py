"""A right angle laid out with a tape: sides of 3, 4 and 5 parts close on it (Euclid, Elements I.48: a triangle whose
sides satisfy a² + b² = c² has a right angle between a and b)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, count

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.layout import Layout
from preview.paper.plan.plan_sheet import imperial
from preview.paper.words.setting_out import directions
from preview.room.room import Room, RoomVent
from preview.scene.job import Unit

Array = NDArray[np.float64]
FOOT = 0.3048
SHORTEST = 0.5 * FOOT  # metres, a part below which a triangle is too small to be true with a tape


@dataclass(frozen=True, eq=False)
class RightAngle:
    """A triangle at the start point: `four` along the chalk line, `three` square to it, `five` between their ends.

    `along` and `across` (2,) are the two ends, metres; `side` is where `across` lies, seen along the run; `names` are
    the letters of the two ends, which no grille has.
    """

    three: float
    four: float
    five: float
    along: Array
    across: Array
    side: str
    names: tuple[str, str]


def free_letters(room: Room, letters: str = "PQUVXYZKLMN") -> Iterator[str]:
    """Yield names for points on the floor that no grille has: of `letters`, then P2, P3 and so on."""
    taken = {vent.name.casefold() for vent in room.vents}
    names = chain(letters, (f"{letters[0]}{number}" for number in count(2)))
    return (name for name in names if name.casefold() not in taken)


def name_on_plan(vent: RoomVent) -> str:
    """Return what stands beside a grille on a plan: its name, told from a start point's where it is one too."""
    return f"grille {vent.name}" if re.fullmatch(r"S\d*", vent.name, re.IGNORECASE) else vent.name


def right_angle(room: Room, layout: Layout, units: Unit) -> RightAngle | None:
    """Return the largest 3-4-5 triangle in whole parts that lies on the field at the start point, or None.

    A part is whole feet, or half a foot, in imperial units, and tenths of a metre in others.
    """
    along, left = directions(layout)
    step = 0.5 * FOOT if imperial(units) else 0.1
    for steps in range(int(2.0 / step), 0, -1):
        part = steps * step
        if part < SHORTEST or (imperial(units) and steps % 2 and steps > 1):
            continue
        for side, way in (("right", -left), ("left", left)):
            a = layout.start_point + 4 * part * along
            b = layout.start_point + 3 * part * way
            if layout.field.buffer(1e-6).covers(Polygon([layout.start_point, a, b])):
                letters = free_letters(room)
                return RightAngle(3 * part, 4 * part, 5 * part, a, b, side, (next(letters), next(letters)))
    return None
