"""Many trials over processes that share nothing, for as long as is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from time import perf_counter
from typing import TypeVar

T = TypeVar("T")

AT_ONCE = 8
"""Trials that a process takes at a time."""

AHEAD = 8
"""So many times as often each process is given something to do before the time is looked at."""


def tried(
    trial: Callable[[tuple[int, int]], T], seed: int, numbers: range, jobs: int, seconds: float = float("inf")
) -> Iterator[tuple[int, T]]:
    """Yield each number and what comes of a trial of a seed and it, in order, as many as are begun in time."""
    end, left = perf_counter() + seconds, iter(numbers)
    if jobs == 1:
        while perf_counter() < end and (number := next(left, None)) is not None:
            yield number, trial((seed, number))
        return
    with ProcessPoolExecutor(jobs) as pool:
        while perf_counter() < end and (some := list(islice(left, AT_ONCE * AHEAD * jobs))):
            yield from zip(some, pool.map(trial, [(seed, each) for each in some], chunksize=AT_ONCE), strict=True)
