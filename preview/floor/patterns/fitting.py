"""Which lengths of board a job may have: one that is given, the best of those in stock, or fitted to the field."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

import numpy as np

from preview.errors import SceneError
from preview.floor.centering import Axis
from preview.floor.patterns.fit import NEAR_BEST, Fit, Reach, faults, fit_count, fit_sides
from preview.floor.patterns.interface import Wanted
from preview.scene.job import Job
from preview.units import format_length

STEP = {"in": 0.0254 / 8, "ft": 0.0254 / 8, "mm": 0.005, "cm": 0.005, "m": 0.005}
"""Board lengths are rounded up to this, metres, by the units of the scene."""

ASKEW = "boards along every wall are cut to all lengths"
"""What becomes of a pattern of short boards, where no wall runs with its courses."""

LONGER = 3
"""How many steps longer than the best fit a board may be made to avoid slivers."""

MOST_COUNTS = 16
"""In a hall so many numbers of courses are possible that no more than this many are tried, evenly spread."""

PHASES = {"even": 0.0, "odd": 0.5}
"""Where the centre line lies: on a seam, or in the middle of a course (see `preview.floor.patterns.fit`)."""


def fits(reach: Reach, axis: Axis, job: Job) -> list[Fit]:
    """Return the lengths to consider, best first: one where the scene fixes it or it is chosen from those in stock,
    else the fit and a few steps longer.

    Raises:
        SceneError: a board longer than the field.
    """
    choice, step = job.floor, STEP[job.units]
    given = choice.lengths if choice.board_length is None else (choice.board_length,)
    if given:
        longest = max(axis.high - axis.low, axis.left + axis.right)
        short = [each for each in given if each + reach.joint <= longest]
        if not short:
            raise SceneError(
                job.place("floor.board_length"),
                f"a board of {format_length(min(given), job.units)} is longer than the field",
                'give a shorter board_length, or "fit"',
            )
        tried = [
            fit_count(axis.left, axis.right, reach, each + reach.joint, choice.courses, axis.sides) for each in short
        ]
        return [best_fit(tried, reach)]
    best = fit_sides(axis.sides, axis.left, axis.right, reach, choice.courses, step, reach.joint)
    longer = [
        fit_count(axis.left, axis.right, reach, best.length + k * step, choice.courses, axis.sides)
        for k in range(1, LONGER + 1)
    ]
    wrong = faults(best, reach)
    return [best, *(each for each in longer if (each.count, faults(each, reach)) == (best.count, wrong))]


def best_fit(given: Sequence[Fit], reach: Reach) -> Fit:
    """Return the best of several fits by what `fit_length` goes by: one without faults before one with; then, of those
    whose smaller last piece is as large a share of the board as any's, or nearly, the length nearest the best."""
    fewest = min(faults(each, reach) for each in given)
    good = [each for each in given if faults(each, reach) == fewest]
    shares = [min(each.last_left, each.last_right) / each.length for each in good]
    near = [each for each, share in zip(good, shares, strict=True) if share > max(shares) - NEAR_BEST]
    return min(near, key=lambda each: abs(each.length / reach.width - reach.best))


def lengths(reach: Reach, axis: Axis, job: Job, wanted: Sequence[Wanted]) -> list[tuple[float | None, Wanted]]:
    """Return the board lengths to try with each of `wanted`: the best for every number of courses, of many some.

    On a line off the middle, "even" puts a seam on it and "odd" a course, whatever the count: both are tried.
    """
    step = STEP[job.units]
    span = reach.scale * (axis.left + axis.right) + 2 * reach.extra
    found: dict[int, list[tuple[float | None, Wanted]]] = {}
    least, most = (floor(span / (reach.longest * reach.width)), ceil(span / (reach.shortest * reach.width)))
    for count in range(max(1, least), most + 1):
        for each in wanted:
            if isinstance(each, int) and each != count:
                continue
            phases = (0.0, 0.5) if isinstance(each, int) else (PHASES[each],)
            fit = fit_sides(axis.sides, axis.left, axis.right, reach, count, step, reach.joint, phases)
            usual = reach.shortest <= fit.length / reach.width <= reach.longest
            if fit.count == count and fit.phase in phases and usual:
                found.setdefault(count, []).append((round((fit.length - reach.joint) / step) * step, each))
    counts = list(found)
    if len(counts) > MOST_COUNTS:
        counts = [counts[round(index)] for index in np.linspace(0, len(counts) - 1, MOST_COUNTS)]
    return list(dict.fromkeys(pair for count in counts for pair in found[count]))
