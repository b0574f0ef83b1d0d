"""Boards from sticks that are at hand: the cutting-stock problem, solved exactly.

A pattern is what is sawn from one stick: some border pieces, and as many boards as the rest has room for. Unknown is
how often each pattern is sawn from sticks of each length; of all ways that need the least length of sticks one is
taken. Border pieces come first: where the sticks do not suffice, boards are missing before border pieces are.

P. C. Gilmore and R. E. Gomory, "A linear programming approach to the cutting-stock problem", Operations Research 9
(1961) 849-859 (patterns; from memory). Solved by HiGHS through scipy.optimize.milp.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from preview.floor.stock.needs import EXACT, Needs, Saw
from preview.scene.job import Sticks

MOST_PATTERNS = 2000
"""Where there are more, border pieces of nearly one length are cut alike, to the longer, until there are not."""

MOST_NODES = 300
"""The search ends after this many branches, with what it has found; by nodes, so that it ends alike on any machine."""

MOST_SECONDS = 20.0
"""The search ends in any case after this."""


@dataclass(frozen=True)
class Used:
    """`count` sticks of `length` metres, each sawn into the `border` pieces (lengths, metres) and `blocks` boards."""

    length: float
    count: int
    border: tuple[float, ...]
    blocks: int


@dataclass(frozen=True)
class GivenPlan:
    """How sticks at hand are sawn.

    `used` which sticks into what, long before short; `left` the sticks that are not touched; `blocks` boards that come
    of it, `short` how many are missing; `border_short` the border pieces that no stick is left for, (length, count);
    `gap` by what share of their length the sticks used may be more than the least there is, 0 where that is proved.
    """

    used: tuple[Used, ...]
    left: tuple[Sticks, ...]
    blocks: int
    short: int
    border_short: tuple[tuple[float, int], ...]
    gap: float

    @property
    def length(self) -> float:
        """Length of the sticks used, metres."""
        return sum(each.length * each.count for each in self.used)


def cut_given(needs: Needs, sticks: Sequence[Sticks], saw: Saw) -> GivenPlan:
    """Return how to saw what is needed from `sticks`, equal ones in any number of lines."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    stock: dict[float, int] = defaultdict(int)
    for each in sticks:
        stock[each.length] += each.count
    lengths = sorted(stock, reverse=True)
    border, patterns = _patterns(needs, lengths, saw)
    kinds, total = len(border), len(patterns)

    # Rows: border pieces of each kind, boards, sticks of each length. Columns: patterns, missing pieces, boards.
    made = np.zeros((kinds + 1, total + kinds + 1))
    taken = np.zeros((len(lengths), total + kinds + 1))
    for column, (stick, counts, blocks) in enumerate(patterns):
        made[:kinds, column] = counts
        made[kinds, column] = blocks
        taken[stick, column] = 1
    made[:, total:] = np.eye(kinds + 1)
    wanted = np.array([count for _, count in border] + [needs.blocks])
    missing_block = 2 * lengths[0] if lengths else 1.0
    most = max((blocks for _, _, blocks in patterns), default=0)
    cost = [lengths[stick] for stick, _, _ in patterns]
    cost += [missing_block * (most + 2)] * kinds + [missing_block]
    found = milp(
        np.array(cost),
        constraints=[
            LinearConstraint(made, wanted, np.inf),
            LinearConstraint(taken, -np.inf, np.array([stock[each] for each in lengths])),
        ],
        bounds=Bounds(0, np.inf),
        integrality=np.ones(len(cost)),
        options={"node_limit": MOST_NODES, "time_limit": MOST_SECONDS, "mip_rel_gap": 0.0},
    )
    if found.x is None:  # no sticks at all, or stopped before a first answer: nothing is sawn
        return GivenPlan((), _sticks(stock), 0, needs.blocks, needs.border, 1.0)
    times = np.round(found.x).astype(int)
    plan = _plan(needs, border, patterns, lengths, stock, times[:total])
    gap = max(0.0, float(found.mip_gap or 0.0))
    if border != needs.border and plan.length:
        gap = max(gap, 1 - _least(needs, lengths, saw) / plan.length)
    return replace(plan, gap=gap if gap > 1e-6 else 0.0)


_Pattern = tuple[int, tuple[int, ...], int]
"""A stick, by its place among the lengths; how many border pieces of each kind; how many boards."""


def _patterns(needs: Needs, lengths: Sequence[float], saw: Saw) -> tuple[tuple[tuple[float, int], ...], list[_Pattern]]:
    """Return the border's kinds, cut alike as far as need be, and every pattern of them."""
    step = 0.0
    while True:
        border = _alike(needs.border, step, max(lengths, default=0.0) - 2 * saw.trim)
        found: list[_Pattern] = []
        for stick, length in enumerate(lengths):
            for counts, room in _choices(border, saw.room(length), saw):
                blocks = needs.blocks_in(room, saw)
                if blocks or any(counts):
                    found.append((stick, counts, blocks))
                if len(found) > MOST_PATTERNS:
                    break
            if len(found) > MOST_PATTERNS:
                break
        if len(found) <= MOST_PATTERNS or len(border) <= 1:
            return border, found
        step = 2 * step or 0.01


def _alike(border: Sequence[tuple[float, int]], step: float, longest: float) -> tuple[tuple[float, int], ...]:
    """Return the border's pieces, those within `step` of one length as long as the longest of them; none that fits no
    stick (`longest`, metres) is joined to."""
    groups: list[tuple[float, int]] = []
    for length, count in border:
        if groups and groups[-1][0] - length <= step and groups[-1][0] <= longest + EXACT:
            groups[-1] = (groups[-1][0], groups[-1][1] + count)
        else:
            groups.append((length, count))
    return tuple(groups)


def _choices(border: Sequence[tuple[float, int]], room: float, saw: Saw) -> Iterator[tuple[tuple[int, ...], float]]:
    """Yield every choice of border pieces that `room` (metres) holds, as counts, and the room that it leaves."""
    if not border:
        yield (), room
        return
    (length, most), rest = border[0], border[1:]
    count = 0
    while count <= most and count * saw.takes(length) <= room + EXACT:
        for counts, left in _choices(rest, room - count * saw.takes(length), saw):
            yield (count, *counts), left
        count += 1


def _plan(
    needs: Needs,
    border: Sequence[tuple[float, int]],
    patterns: Sequence[_Pattern],
    lengths: Sequence[float],
    stock: dict[float, int],
    times: NDArray[np.int_],
) -> GivenPlan:
    """Return the plan of patterns sawn so many `times`, with border pieces that would be too many left out."""
    left = dict(stock)
    wanted = [count for _, count in border]
    used: dict[tuple[float, tuple[float, ...], int], int] = defaultdict(int)
    blocks = 0
    for (stick, counts, made), count in zip(patterns, times.tolist(), strict=True):
        for _ in range(count):
            sawn = [min(here, wanted[kind]) for kind, here in enumerate(counts)]
            wanted = [open_ - here for open_, here in zip(wanted, sawn, strict=True)]
            pieces = tuple(border[kind][0] for kind, here in enumerate(sawn) for _ in range(here))
            used[lengths[stick], pieces, made] += 1
        left[lengths[stick]] -= count
        blocks += made * count
    ordered = sorted(used.items(), key=lambda each: (not each[0][1], -each[0][0], each[0]))
    return GivenPlan(
        used=tuple(Used(length, count, pieces, made) for (length, pieces, made), count in ordered),
        left=_sticks(left),
        blocks=blocks,
        short=max(0, needs.blocks - blocks),
        border_short=tuple((border[kind][0], count) for kind, count in enumerate(wanted) if count),
        gap=0.0,
    )


def _least(needs: Needs, lengths: Sequence[float], saw: Saw) -> float:
    """Return a length of sticks, metres, that no plan goes below: what is sawn, cuts and trims in the best sticks."""
    room = needs.blocks * needs.takes(saw) + sum(saw.takes(length) * count for length, count in needs.border)
    return room * min(length / saw.room(length) for length in lengths if saw.room(length) > 0)


def _sticks(stock: dict[float, int]) -> tuple[Sticks, ...]:
    return tuple(Sticks(length, count) for length, count in sorted(stock.items(), reverse=True) if count)


def bundles(length: float, width: float, bundle: float) -> int:
    """Return how many bundles of `bundle` square metres hold `length` metres of sticks `width` wide."""
    return ceil(length * width / bundle - 1e-9)
