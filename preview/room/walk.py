"""A tape walk round the room: latitudes and departures, misclosure, and the compass rule that spreads it.

In the surveyor's words a wall's departure is how far it goes in x and its latitude how far in y. The compass
rule, after Bowditch, moves the end of each wall by the misclosure times the share of the perimeter walked
so far: every wall takes of the error what its length earns. Source: J. Mahun, *Traverse Computations*, chapter I
(open access).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preview.errors import SceneError
from preview.room.room import Misclosure
from preview.scene.job import Job, Leg, Unit
from preview.units import format_length

Array = NDArray[np.float64]

SMALLEST_LIMIT = 0.0127
"""A misclosure up to half an inch is always spread (metres). Common practice, no published source."""

LIMIT_SHARE = 0.002
"""A misclosure up to this share of the perimeter is spread. Common practice, no published source."""

TOLD_SHARE = 0.001
"""A misclosure over half an inch and over this share of the perimeter is spread with a warning: nearer than one in a
thousand is what a careful walk with a tape reaches. Common practice, no published source."""


def departures(legs: Sequence[Leg]) -> Array:
    """Return each wall as measured, (n, 2) metres: departure (x) and latitude (y)."""
    bearing, length = np.array([(leg.bearing, leg.length) for leg in legs]).T
    return np.stack([length * np.cos(bearing), length * np.sin(bearing)], axis=1)


def compass_rule(legs: Sequence[Leg]) -> tuple[Array, Misclosure]:
    """Return the corners of a closed walk from (0, 0), and how far it failed to close.

    Args:
        legs: the walls in order, n of them; the last ends where the first began.

    Returns:
        corners (n, 2) after the compass rule, metres, and the misclosure as measured.
    """
    steps = departures(legs)
    lengths = np.array([leg.length for leg in legs])
    vector = steps.sum(axis=0)
    walked = np.concatenate([[0.0], np.cumsum(lengths)])
    measured = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])[:-1]
    shifts = -np.outer(walked[:-1] / walked[-1], vector)
    return measured + shifts, Misclosure(vector, float(walked[-1]), shifts)


def limit(perimeter: float) -> float:
    """Return the largest misclosure that is spread rather than refused, metres."""
    return max(SMALLEST_LIMIT, LIMIT_SHARE * perimeter)


def remark(legs: Sequence[Leg], misclosure: Misclosure, units: Unit) -> tuple[str, ...]:
    """Return a warning about a misclosure that is spread but large, or nothing."""
    if misclosure.length <= max(SMALLEST_LIMIT, TOLD_SHARE * misclosure.perimeter):
        return ()
    first, second = suspects(legs, misclosure.vector)
    return (
        f"the walk ends {format_length(misclosure.length, units)} from where it began, which is spread over the walls; "
        f"before boards are cut, measure wall {first} and wall {second} again, or tape the diagonals",
    )


def suspects(legs: Sequence[Leg], vector: Array) -> tuple[int, int]:
    """Return the two walls likeliest measured wrong, counted from 1, in order.

    One wrong length moves everything after it along that wall, so the misclosure then lies along the wall: the walls
    are ranked by the cosine between their direction and the misclosure, taken either way, since a length can be
    too long or too short. Walls within 3 degrees of each other are ranked together; of these the
    wall half as long as the misclosure goes first (walked the wrong way), then the longer one (more tape, more
    chances).
    """
    steps = departures(legs)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    size = float(np.hypot(*vector))
    angle = np.degrees(np.arccos(np.clip(np.abs(steps @ vector) / (lengths * size), 0, 1)))
    reversed_ = np.abs(2 * lengths - size) < 0.01 * size
    order = np.lexsort((-lengths, ~reversed_, np.round(angle / 3)))
    first, second = sorted(int(index) + 1 for index in order[:2])
    return first, second


def close_walk(job: Job) -> tuple[Array, Misclosure]:
    """Return the corners (n, 2) of the job's walk, closed, and its misclosure; raises SceneError.

    A misclosure over `limit` is refused, with the two walls to measure again.
    """
    legs = job.room.walk
    if len(legs) < 3:
        raise SceneError(job.place("room.walk"), f"a walk of {len(legs)} walls", "a room has at least three walls")
    corners, misclosure = compass_rule(legs)
    allowed = limit(misclosure.perimeter)
    if misclosure.length > allowed:
        first, second = suspects(legs, misclosure.vector)
        raise SceneError(
            job.place("room.walk"),
            f"the walk ends {format_length(misclosure.length, job.units)} from where it began, more than the "
            f"{format_length(allowed, job.units)} that may be spread over "
            f"{format_length(misclosure.perimeter, job.units)} of walls",
            f'measure wall {first} ("{legs[first - 1].text}") and wall {second} ("{legs[second - 1].text}") again, '
            "they are the likeliest to be wrong, and see that no wall is missing",
        )
    return corners, misclosure
