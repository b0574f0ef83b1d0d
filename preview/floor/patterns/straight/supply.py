"""The boards that rows are laid of: of one length, of several that are mixed, or of random lengths."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.floor.layout import Array
from preview.scene.job import Job, Unit
from preview.units import system

USUAL = {"imperial": (15 * 0.0254, 7 * 0.3048), "metric": (0.4, 2.1)}
"""The shortest and the longest board of a bundle of random lengths, metres (common practice, no published source)."""


@dataclass(frozen=True)
class Supply:
    """Boards with their joint, metres: of one of `lengths`, each as often as `often` says; or, where there are none, of
    any length from `shortest` to `longest`, all equally often."""

    shortest: float
    longest: float
    lengths: tuple[float, ...] = ()
    often: tuple[float, ...] = ()

    @property
    def mixed(self) -> bool:
        """Whether boards of several lengths are mixed."""
        return self.shortest < self.longest

    def drawn(self, rng: np.random.Generator, least: float = 0.0) -> float:
        """Return the length of a board drawn at random, of those that are at least so long; the longest where none
        is."""
        if not self.lengths:
            return float(rng.uniform(min(max(self.shortest, least), self.longest), self.longest))
        fit = [number for number, each in enumerate(self.lengths) if each >= least - 1e-9]
        if not fit:
            return self.longest
        share = np.array(self.often)[fit]
        return self.lengths[fit[int(rng.choice(len(fit), p=share / share.sum()))]]

    def next_joints(self, rng: np.random.Generator) -> Array:
        """Return how far on a joint may lie from the last, where lengths are given: in the order in which they are
        tried."""
        # Exponential waiting times of rates `often`: who comes first is drawn with these odds, then who of the rest.
        waits = rng.standard_exponential(len(self.lengths)) / self.often
        chosen: Array = np.array(self.lengths)[np.argsort(waits)]
        return chosen


def supply_of(job: Job) -> Supply:
    """Return the boards that a job is laid of: a length that is given, several of them mixed, the sticks at hand, or
    random lengths from the shortest to the longest that one buys."""
    choice, stock, gap = job.floor, job.stock, job.floor.gap
    if choice.board_length is not None:
        return _given({choice.board_length: 1}, gap)
    if choice.lengths:
        return _given(dict.fromkeys(choice.lengths, 1), gap)
    if stock.lengths:
        return _given({each.length: each.count for each in stock.lengths}, gap)
    shortest, longest = usual_lengths(job.units)
    if stock.shortest is not None and stock.longest is not None:
        shortest, longest = stock.shortest, stock.longest
    return Supply(shortest + gap, longest + gap)


def usual_lengths(units: Unit) -> tuple[float, float]:
    """Return the shortest and the longest board of a bundle where the scene doesn't say, metres."""
    return USUAL[system(units)]


def _given(counts: dict[float, int], gap: float) -> Supply:
    lengths = sorted(counts)
    return Supply(
        lengths[0] + gap,
        lengths[-1] + gap,
        tuple(each + gap for each in lengths),
        tuple(float(counts[each]) for each in lengths),
    )
