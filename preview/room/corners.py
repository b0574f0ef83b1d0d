"""The corners of a room from whatever was measured: given as they are, walked, or walked with diagonals taped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.errors import SceneError
from preview.room.room import Misclosure, TapeAdjustment
from preview.room.tape_words import allowed, disagreement, doubtful, refused, remedy, turned
from preview.room.tapes import adjust_walk, compare_corners
from preview.room.walk import close_walk, remark
from preview.scene.job import Job

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Settled:
    """Corners (n, 2) in metres, what was spread to get them, and what must be told of it.

    `slack` is how far an opening measured up to a corner may overshoot it because the corner was moved.
    """

    corners: Array
    misclosure: Misclosure | None
    adjustment: TapeAdjustment | None
    slack: float
    warnings: tuple[str, ...]


def settle_corners(job: Job) -> Settled:
    """Return the corners of a job's room.

    Raises:
        SceneError: a walk that does not close, or tapes that disagree, by more than may be spread.
    """
    if job.room.walk and job.room.diagonals:
        return _taped(job)
    if job.room.walk:
        corners, misclosure = close_walk(job)
        slack = float(np.hypot(*misclosure.shifts.T).max()) + misclosure.length
        return Settled(corners, misclosure, None, slack, remark(job.room.walk, misclosure, job.units))
    corners = np.array(job.room.corners, dtype=float).reshape(-1, 2)
    if not job.room.diagonals:
        return Settled(corners, None, None, 0.0, ())
    adjustment = compare_corners(corners, job.room.diagonals)
    _check(job, adjustment)
    return Settled(corners, None, adjustment, 0.0, _doubts(job, adjustment))


def _taped(job: Job) -> Settled:
    legs = job.room.walk
    corners, adjustment = adjust_walk(legs, job.room.diagonals)
    _check(job, adjustment)
    slack = max(abs(each.change) for each in adjustment.measures if each.kind == "wall")
    told = (*_doubts(job, adjustment), *turned(adjustment, [leg.text for leg in legs]))
    return Settled(corners, None, adjustment, slack, told)


def _check(job: Job, adjustment: TapeAdjustment) -> None:
    if refused(adjustment):
        raise SceneError(
            job.place(_key(job, adjustment)),
            f"{disagreement(adjustment, job.units)}, more than the {allowed(adjustment, job.units)} that may be spread",
            remedy(adjustment, job.units),
        )


def _doubts(job: Job, adjustment: TapeAdjustment) -> tuple[str, ...]:
    if not doubtful(adjustment):
        return ()
    spread = "" if adjustment.bearings == "none" else ", which is spread over all"
    told = f"{disagreement(adjustment, job.units)}{spread}"
    return (f"{told}; before boards are cut, {remedy(adjustment, job.units)}",)


def _key(job: Job, adjustment: TapeAdjustment) -> str:
    """Return the key of the one measure that stands clear, or of all diagonals."""
    if len(adjustment.suspects) != 1:
        return "room.diagonals"
    (one,) = adjustment.suspects
    if one.kind == "wall":
        return f"room.walk[{one.first}]"
    pairs = [(each.first, each.last) for each in job.room.diagonals]
    return f"room.diagonals[{pairs.index((one.first, one.last)) + 1}].length"
