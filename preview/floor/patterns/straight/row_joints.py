"""Where the end joints of a row lie: drawn at random, kept away from those of the rows beside it.

A row is laid from its near end. Of the places at which a board of the supply can end, those that are nearer than the
least stagger to a joint of the neighbouring row, or would leave too short a piece at the far end, are left out, and one
of the rest is drawn. Where that leads into a dead end the row is drawn anew; the best of several rows is taken.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from preview.floor.layout import Array
from preview.floor.patterns.straight.supply import Supply

TRIES = 40
"""A row that can't be laid as wished is drawn this many times; of single lengths few do at the first."""

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
    row, metres; `beside` (n,) the joints of the neighbouring row, and `before` (m,) those of the row but one."""

    stagger: float
    end: float
    beside: Array
    before: Array

    def faults(self, joints: Array, span: Span) -> float:
        """Return how much is wrong with a row's joints: 1 for each that is too near to a neighbour's or leaves too
        short a piece at an end, a little for each that lines up with one of the row but one before."""
        close = _nearest(joints, self.beside) < self.stagger - EXACT
        short = (joints - span.near_inside < self.end - EXACT) | (span.far_inside - joints < self.end - EXACT)
        lined = _nearest(joints, self.before) < LINED_UP * self.stagger - EXACT
        return float((close | short).sum() + 0.01 * lined.sum())


def draw_row(
    span: Span, supply: Supply, rule: Rule, rng: np.random.Generator, first: float | None = None, strict: bool = False
) -> tuple[Array, float]:
    """Return the boards of a row, where each begins and ends, rows of (n, 2) metres along the run, and its faults.

    The first may begin before the row does, and the last end after it: what lies outside is sawn off. `first` is how
    far from the row's near end its first joint lies, where that is wished; unless `strict`, only as far as it is
    without fault.
    """
    best: tuple[float, Array] | None = None
    for number in range(TRIES):
        wished = first if strict or number == 0 else None
        boards = _drawn(span, supply, rule, rng, wished)
        faults = rule.faults(boards[1:, 0], span)
        if best is None or faults < best[0] - EXACT:
            best = faults, boards
        if faults < EXACT:
            break
    assert best is not None
    return best[1], best[0]


def _drawn(span: Span, supply: Supply, rule: Rule, rng: np.random.Generator, first: float | None) -> Array:
    near, far = span.near, span.far
    if far - near <= supply.longest + EXACT and first is None:
        length = supply.drawn(rng, far - near)
        return np.array([[near, near + length]])
    boards = [_first(span, supply, rule, rng) if first is None else _wished(span, supply, first, rng)]
    while far - boards[-1][1] > EXACT:
        begun = boards[-1][1]
        rest = far - begun
        if rest <= supply.longest + EXACT:
            boards.append((begun, begun + supply.drawn(rng, rest)))
        elif supply.lengths:
            boards.append((begun, _given_joint(begun, span, supply, rule, rng)))
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


def _given_joint(begun: float, span: Span, supply: Supply, rule: Rule, rng: np.random.Generator) -> float:
    """Return where a board of one of the given lengths ends: the first one drawn that is without fault."""
    ends = begun + supply.next_joints(rng)
    return float(min(ends, key=lambda end: round(rule.faults(np.array([end]), span), 6)))


def _joint(low: float, high: float, span: Span, rule: Rule, rng: np.random.Generator) -> float:
    """Return a place from `low` to `high` for a joint, drawn from those that are without fault; else from all."""
    high = max(low, min(high, span.far_inside - rule.end))
    for lined_up in (LINED_UP, 0.0):
        kept_off = [(each, rule.stagger) for each in rule.beside.tolist()]
        kept_off += [(each, lined_up * rule.stagger) for each in rule.before.tolist() if lined_up]
        free = [(low, high)]
        for place, away in kept_off:
            free = [
                part
                for a, b in free
                for part in ((a, min(b, place - away)), (max(a, place + away), b))
                if part[1] - part[0] > EXACT
            ]
        if free:
            sizes = np.cumsum([b - a for a, b in free])
            at = float(rng.uniform(0.0, sizes[-1]))
            number = int(np.searchsorted(sizes, at))
            return min(free[number][1] - (sizes[number] - at), free[number][1])
    return float(rng.uniform(low, high))


def _nearest(joints: Array, others: Array) -> Array:
    """Return how far each of n joints is from the nearest of others, (n,) metres."""
    if not len(joints) or not len(others):
        return np.full(len(joints), np.inf)
    found: Array = np.abs(joints[:, None] - others[None]).min(axis=1)
    return found
