"""How far wood moves with its moisture: across the grain, by species and by how the board is sawn.

Source: USDA Forest Products Laboratory, *Wood Handbook*, FPL-GTR-190 (2010), chapter 13, table 13-5 and equation 13-2
(read); equation 13-3 from memory. Along the grain wood moves a fortieth as much or less (0.1 to 0.2 % from green to
ovendry, the same book, chapter 4), which is left out here.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin

from preview.scene.job import Cut
from preview.wood.material_types import Shrinkage

LOW, HIGH = 6.0, 14.0
"""Moisture contents between which equation 13-2 holds, per cent."""

SATURATION = 30.0
"""Moisture content below which wood shrinks, per cent; equation 13-3 takes it for all species."""

RING_ANGLE: dict[Cut, float] = {"plainsawn": radians(0), "riftsawn": radians(45), "quartersawn": radians(90)}
"""Angle of the annual rings to the board's face. Plain and quarter as in the handbook's worked examples: the whole
tangential or radial coefficient across the width, though boards up to 30 degrees off are sold so. Rift halfway."""


def change(shrinkage: Shrinkage, cut: Cut, start: float, end: float) -> float:
    """Return the change of a board's width from moisture content `start` to `end` (per cent), as a share of the width.

    From 6 to 14 % by equation 13-2, dD / D = C (end - start), C the change for each per cent. Beyond, where that no
    longer holds, by 13-3, dD / D = (end - start) / (3000 / S - 30 + start), S the shrinkage from green to ovendry, per
    cent. A change over a limit goes by one and then by the other, so that it has no step there (joined so here; the
    handbook gives the two equations alone). Positive is wider.
    """
    angle = RING_ANGLE[cut]
    per_cent = across(shrinkage.change_tangential, shrinkage.change_radial, angle)
    total = across(shrinkage.tangential, shrinkage.radial, angle)
    width = 1.0
    stops = [start, *_limits_between(start, end), end]
    for one, two in pairwise(stops):
        within = min(one, two) >= LOW and max(one, two) <= HIGH
        width *= 1 + (two - one) * (per_cent if within else 1 / (100 * SATURATION / total - SATURATION + one))
    return width - 1


def across(tangential: float, radial: float, angle: float) -> float:
    """Return a rate of movement across the face of a board whose rings stand at `angle` (radians) to it.

    A strain seen along another direction: t cos^2 + r sin^2, as tangential and radial are its principal directions.
    """
    return tangential * cos(angle) ** 2 + radial * sin(angle) ** 2


def _limits_between(start: float, end: float) -> list[float]:
    low, high = min(start, end), max(start, end)
    return sorted((limit for limit in (LOW, HIGH) if low < limit < high), reverse=end < start)
