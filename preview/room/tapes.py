"""A room's walls and diagonals as taped, brought together: corners by least squares, and how well the tapes agree.

Where sides and diagonals fix the shape, the directions walked are first guesses and nothing more, for letters of the
compass are nominal and old rooms are not square; only the first wall runs as it was walked. Where they leave the shape
open, the directions join as weak observations.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from preview.room.adjust import UNCONTROLLED, Network, Solution, adjust, fixes_shape, least_known_first
from preview.room.room import Measure, TapeAdjustment
from preview.room.walk import compass_rule
from preview.scene.job import Diagonal, Leg
from preview.vectors import steps_round

Array = NDArray[np.float64]

TAPE, TAPE_SHARE = 0.003, 0.0004
"""Standard deviation of a length taped from corner to corner: 3 mm (1/8 in), and 0.4 mm a metre, of which the squares
add up. Common practice, no published source; the form is that for instruments in Ghilani and Wolf, from memory."""

BEARING = np.radians(1.0)
"""Standard deviation of a wall's direction as walked, where it must join: 1 degree, about 1/2 in at the end of a 2 ft
square. Common practice, no published source."""

DOUBTFUL = 3.29
"""A normalized residual beyond this is told: one in a thousand is larger by chance (Baarda 1968's usual choice)."""

REFUSED = 5.0
"""A normalized residual beyond this is no matter of chance: one of the measures is wrong (by choice)."""

CLEAR = DOUBTFUL**2
"""A measure stands clear where leaving it out mends the sum of squared residuals by this much more than leaving out any
other: by the likelihood ratio 200 to 1 (by choice, as `DOUBTFUL`)."""


def spread(length: float) -> float:
    """Return the standard deviation expected of a taped length, metres."""
    return float(np.hypot(TAPE, TAPE_SHARE * length))


def adjust_walk(legs: Sequence[Leg], diagonals: Sequence[Diagonal]) -> tuple[Array, TapeAdjustment]:
    """Return the corners (n, 2) of a walk with taped diagonals, the first at (0, 0), and what became of each measure.

    The walk closed by the compass rule is the first guess, and chooses between mirrored shapes. It is adjusted with
    its bearings first, then, where the tapes fix the shape, without.
    """
    network = _network(legs, diagonals)
    solution = adjust(network, compass_rule(legs)[0])
    free = fixes_shape(network.ends, solution.corners)
    if free:
        network = replace(network, bearing_spread=None)
        solution = adjust(network, solution.corners)
    rest = _left_out(network, solution)
    measures = _measures(network, solution, len(legs), rest)
    suspects = _suspects(network, rest)
    cleared = bool(suspects) and _agree(rest[suspects[0]])
    step = steps_round(solution.corners)
    turns = (np.arctan2(step[:, 1], step[:, 0]) - network.bearings + np.pi) % (2 * np.pi) - np.pi
    return solution.corners, TapeAdjustment(
        measures=measures,
        bearings="free" if free else "loose",
        turns=turns,
        spare=solution.spare,
        reference=float(np.sqrt(solution.squares / solution.spare)) if solution.spare else 0.0,
        suspects=tuple(measures[each] for each in suspects),
        cleared=cleared,
        wanted=() if free else _wanted(network, solution.corners),
    )


def compare_corners(corners: Array, diagonals: Sequence[Diagonal]) -> TapeAdjustment:
    """Return how diagonals agree with given corners (n, 2), which stay as they are: each is a check of its own."""
    measures = []
    for each in diagonals:
        drawn = float(np.hypot(*(corners[each.last - 1] - corners[each.first - 1])))
        expected = spread(each.length)
        off = (drawn - each.length) / expected
        measures.append(Measure("diagonal", each.first, each.last, each.length, drawn, expected, 1.0, off, drawn))
    squares = [each.normalized**2 for each in measures]
    return TapeAdjustment(
        measures=tuple(measures),
        bearings="none",
        turns=np.zeros(len(corners)),
        spare=len(measures),
        reference=float(np.sqrt(np.mean(squares))),
        suspects=tuple(each for each in measures if abs(each.normalized) > DOUBTFUL),
        cleared=False,
        wanted=(),
    )


def inside_diagonals(corners: Array) -> list[tuple[int, int]]:
    """Return the pairs of corners, counted from 1, between which a tape can be drawn inside a room of `corners` (n, 2).

    A line that runs along a wall, or through a corner between its own two, is none.
    """
    room = Polygon(corners)
    if not room.is_valid:
        return []
    count, found = len(corners), []
    within = room.buffer(1e-3, join_style="mitre")
    for first, last in itertools.combinations(range(count), 2):
        if last - first in (1, count - 1):
            continue
        line = LineString(corners[[first, last]])
        others = shapely.points(np.delete(corners, [first, last], axis=0))
        if within.covers(line) and not (shapely.distance(line, others) < 0.02).any():
            found.append((first + 1, last + 1))
    return found


def worth_taping(legs: Sequence[Leg]) -> list[tuple[int, int]]:
    """Return the diagonals inside a walked room, by corners from 1, the most telling first, no more than are useful.

    As many as fix the shape of n corners, as many again to check them, and one more, so that a wrong one may stand
    clear: 2 (n - 3) + 1.
    """
    corners = compass_rule(legs)[0]
    inside = np.array(inside_diagonals(corners), dtype=np.intp).reshape(-1, 2)
    if not len(inside):
        return []
    ordered = least_known_first(_network(legs, ()), corners, inside - 1)
    return [(int(first) + 1, int(last) + 1) for first, last in ordered[: 2 * (len(legs) - 3) + 1]]


def _network(legs: Sequence[Leg], diagonals: Sequence[Diagonal]) -> Network:
    count = len(legs)
    walls = [(wall, (wall + 1) % count) for wall in range(count)]
    ends = np.array(walls + [(each.first - 1, each.last - 1) for each in diagonals], dtype=np.intp)
    lengths = np.array([each.length for each in legs] + [each.length for each in diagonals])
    bearings = np.array([leg.bearing for leg in legs])
    return Network(ends, lengths, np.array([spread(each) for each in lengths]), bearings, float(BEARING))


def _measures(network: Network, solution: Solution, walls: int, rest: Mapping[int, Solution]) -> tuple[Measure, ...]:
    lengths = len(network.lengths)
    spreads = [*network.spreads, *([network.bearing_spread] * (walls - 1) if network.bearing_spread else [])]
    made = []
    for row, residual in enumerate(solution.residuals):
        wall = row - lengths + 1
        first, last = network.ends[row] if row < lengths else (wall, (wall + 1) % walls)
        measured = network.lengths[row] if row < lengths else network.bearings[wall]
        share = solution.redundancies[row]
        by_others = measured + residual / (share if share > UNCONTROLLED else 1.0)
        if row in rest:
            by_others = np.hypot(*(rest[row].corners[last] - rest[row].corners[first]))
        made.append(
            Measure(
                kind="wall" if row < walls else "diagonal" if row < lengths else "bearing",
                first=int(first) + 1,
                last=int(last) + 1,
                measured=float(measured),
                adjusted=float(measured + residual),
                spread=float(spreads[row]),
                redundancy=float(solution.redundancies[row]),
                normalized=float(solution.normalized[row]),
                by_others=float(by_others),
            )
        )
    return tuple(made)


def _agree(solution: Solution) -> bool:
    return bool(np.abs(solution.normalized).max() <= DOUBTFUL)


def _left_out(network: Network, solution: Solution) -> dict[int, Solution]:
    """Return, where the measures don't agree, what comes of leaving out each checked length in turn, by its row.

    The rest is adjusted again each time, since a gross error bends the shape at which residuals are worked out.
    """
    if _agree(solution):
        return {}
    checked = np.flatnonzero(solution.redundancies[: len(network.lengths)] > UNCONTROLLED)
    return {int(row): adjust(network.without(int(row)), solution.corners) for row in checked}


def _suspects(network: Network, rest: Mapping[int, Solution]) -> list[int]:
    """Return the rows of the lengths likeliest to be wrong, first the one that mends the sum of squares most.

    One that mends it nearly as well as the best stays a suspect. Where bearings joined, which may be off by more than
    was thought, only a length that stands clear is one.
    """
    order = sorted(rest, key=lambda row: rest[row].squares)
    suspects = [row for row in order if rest[row].squares - rest[order[0]].squares < CLEAR]
    clear = len(suspects) == 1 and _agree(rest[suspects[0]])
    return suspects if clear or network.bearing_spread is None else []


def _wanted(network: Network, corners: Array) -> tuple[tuple[int, int], ...]:
    """Return the fewest diagonals inside the room, the most telling first, that would fix its shape."""
    taped = {tuple(sorted((int(first), int(last)))) for first, last in network.ends}
    inside = [(a - 1, b - 1) for a, b in inside_diagonals(corners) if (a - 1, b - 1) not in taped]
    if not inside:
        return ()
    ordered = least_known_first(network, corners, np.array(inside, dtype=np.intp))
    for count in range(1, len(ordered) + 1):
        if fixes_shape(np.concatenate([network.ends, ordered[:count]]), corners):
            return tuple((int(first) + 1, int(last) + 1) for first, last in ordered[:count])
    return ()
