"""Where the end joints of a row lie: drawn at random, kept away from those of the rows beside it.

A row is laid from its near end. Of the places at which a board of the supply can end, those that are nearer than the
least stagger to a joint of the neighbouring row, or would leave too short a piece at the far end, are left out, and one
of the rest is drawn. Where that leads into a dead end the row is drawn anew; the best of several rows is taken.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from preview.floor.layout import Array
from preview.floor.patterns.straight.supply import Supply

TRIES = 200
"""A row that can't be laid as wished is drawn this many times at most. Of 60 generated rooms in boards of one length or
of a few 4 had a row with a fault after 40 tries, and none after 400."""

ENOUGH = 8
"""After so many a row is taken whose joints line up with those of the row but one and that has no other fault."""

PICKED = 0.3
"""For the end of a row one picks a board that is no more than this longer than what is left, metres (own choice)."""

DRAWN = 2_000
"""And no more often than until so many boards were drawn, so that a hall's long rows take no longer."""

SPARE = 100_000
"""Nor are more boards than this drawn for a floor above one drawing of each row: some three seconds."""

LINED_UP = 0.5
"""Joints of a row and of the row but one before it lie at least this share of the least stagger apart, where they can:
in line they draw an H with the board between (common practice, no published source)."""

EXACT = 1e-9


class Span(NamedTuple):
    """Where a row runs, metres along the run: the outermost places of its ends, and the innermost, which differ where
    an end is not square."""

    near: float
    far: float
    near_inside: float
    far_inside: float


@dataclass(frozen=True, eq=False)
class Rule:
    """`stagger`, the least distance between joints of neighbouring rows, and `end`, the shortest piece at the end of a
    row, metres; `beside` (n,) the joints of the neighbouring row, and `before` (m,) those of the row but one, both
    rising."""

    stagger: float
    end: float
    beside: Array
    before: Array

    def faults(self, joints: Array, span: Span) -> Array:
        """Return how much is wrong with each of some joints (...): 1 where it is too near to a neighbour's or leaves
        too short a piece at an end, a little where it lines up with one of the row but one before."""
        close = _nearest(joints, self.beside) < self.stagger - EXACT
        short = (joints - span.near_inside < self.end - EXACT) | (span.far_inside - joints < self.end - EXACT)
        lined = _nearest(joints, self.before) < LINED_UP * self.stagger - EXACT
        found: Array = (close | short) + 0.01 * lined
        return found


def draw_row(
    span: Span,
    supply: Supply,
    rule: Rule,
    rng: np.random.Generator,
    first: float | None = None,
    strict: bool = False,
    most: int = DRAWN,
) -> tuple[Array, float, int]:
    """Return the boards of a row, where each begins and ends, rows of (n, 2) metres along the run, its faults, and how
    many boards were drawn for it, which are `most` and one row more at most.

    The first may begin before the row does, and the last end after it: what lies outside is sawn off. `first` is how
    far from the row's near end its first joint lies, where that is wished; unless `strict`, only as far as it is
    without fault.
    """
    best: tuple[float, Array] | None = None
    drawn = 0
    for number in range(TRIES):
        wished = first if strict or number == 0 else None
        single = wished is None and len(supply.lengths) == 1
        boards = _single(span, supply, rule, rng) if single else _drawn(span, supply, rule, rng, wished)
        faults = float(rule.faults(boards[1:, 0], span).sum())
        if best is None or faults < best[0] - EXACT:
            best = faults, boards
        drawn += len(boards)
        good = faults < EXACT or (faults < 1 and number >= ENOUGH)
        if good or single or strict or drawn > most:
            break
    assert best is not None
    return best[1], best[0], drawn


def _single(span: Span, supply: Supply, rule: Rule, rng: np.random.Generator) -> Array:
    """Return a row of boards of one length: the least faulty of many, each begun with another cut board."""
    length = supply.longest
    if span.far - span.near <= length + EXACT:
        return np.array([[span.near, span.near + length]])
    begun = span.near + rng.uniform(min(rule.end, length), length, TRIES)
    joints = begun[:, None] + length * np.arange(int((span.far - span.near) / length) + 1)
    faults = np.where(joints < span.far - EXACT, rule.faults(joints, span), 0.0).sum(axis=1)
    ends = joints[int(np.argmin(np.round(faults, 6)))]
    ends = np.append(ends[ends < span.far - EXACT], ends[ends < span.far - EXACT][-1] + length)
    return np.stack([ends - length, ends], axis=1)


def _drawn(span: Span, supply: Supply, rule: Rule, rng: np.random.Generator, first: float | None) -> Array:
    beside, before = rule.beside.tolist(), rule.before.tolist()
    boards = [_first(span, supply, rule, rng) if first is None else _wished(span, supply, first, rng)]
    while span.far - boards[-1][1] > EXACT:
        begun = boards[-1][1]
        if supply.lengths:
            ends = (begun + supply.next_joints(rng)).tolist()
            boards.append((begun, min(ends, key=lambda end: _fault(end, span, rule, beside, before))))
        else:
            boards.append((begun, _joint(begun + supply.shortest, begun + supply.longest, span, rule, rng)))
    return np.array(boards)


def _first(span: Span, supply: Supply, rule: Rule, rng: np.random.Generator) -> tuple[float, float]:
    """Return the first board: of random lengths one that comes so long, of given ones one that is cut to stagger."""
    near = span.near
    if not supply.lengths:
        return near, _joint(near + supply.shortest, near + supply.longest, span, rule, rng)
    length = supply.drawn(rng)
    inside = span.near_inside + min(rule.end, length)
    end = _joint(min(inside, near + length), near + length, span, rule, rng)
    return end - length, end


def _wished(span: Span, supply: Supply, first: float, rng: np.random.Generator) -> tuple[float, float]:
    end = span.near + min(first, supply.longest)
    if supply.lengths:
        return end - supply.drawn(rng, min(first, supply.longest)), end
    return span.near, end


def _fault(end: float, span: Span, rule: Rule, beside: list[float], before: list[float]) -> float:
    """Return how much is wrong with one joint, as `Rule.faults` does; nothing with an end that is sawn off."""
    if end >= span.far - EXACT:
        return 0.0
    wrong = _within(beside, end, rule.stagger) or span.far_inside - end < rule.end - EXACT
    return float(wrong) + 0.01 * _within(before, end, LINED_UP * rule.stagger)


def _within(places: list[float], place: float, away: float) -> bool:
    """Return whether any of some rising places is nearer than `away`."""
    return bisect_right(places, place - away + EXACT) < bisect_left(places, place + away - EXACT)


def _joint(low: float, high: float, span: Span, rule: Rule, rng: np.random.Generator) -> float:
    """Return a place from `low` to `high` for the end of a board, drawn from those without fault, among which are all
    past the row's end; else from all."""
    inner, past = min(high, span.far_inside - rule.end), (max(low, span.far), high)
    for lined_up in (LINED_UP, 0.0):
        free = [(low, inner)] if inner - low > EXACT else []
        for places, away in ((rule.beside, rule.stagger), (rule.before, lined_up * rule.stagger)):
            first, last = np.searchsorted(places, (low - away, high + away))
            for place in places[first:last].tolist() if away else ():
                free = [
                    part
                    for a, b in free
                    for part in ((a, min(b, place - away)), (max(a, place + away), b))
                    if part[1] - part[0] > EXACT
                ]
        free += [past] if past[1] - past[0] > EXACT else []
        if free:
            sizes = np.cumsum([b - a for a, b in free])
            at = float(rng.uniform(0.0, sizes[-1]))
            number = int(np.searchsorted(sizes, at))
            if free[number] is past:
                return float(rng.uniform(past[0], min(past[1], past[0] + PICKED)))
            return min(free[number][1] - (sizes[number] - at), free[number][1])
    return float(rng.uniform(low, max(low, inner)))


def _nearest(joints: Array, others: Array) -> Array:
    """Return how far each of some joints (...) is from the nearest of others (m,), which rise; metres."""
    if not len(others):
        return np.full(joints.shape, np.inf)
    padded = np.concatenate([[-np.inf], others, [np.inf]])
    after = np.searchsorted(padded, joints)
    found: Array = np.minimum(joints - padded[after - 1], padded[after] - joints)
    return found
