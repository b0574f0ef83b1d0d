"""Many trials over processes that share nothing, for as long as is wanted."""

from __future__ import annotations

import argparse
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from itertools import islice
from pathlib import Path
from time import perf_counter
from typing import TypeVar

T = TypeVar("T")

AT_ONCE = 8
"""Trials that a process takes at a time."""

AHEAD = 8
"""So many times as often each process is given something to do beyond what is waited for."""


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
        begun: deque[tuple[list[int], Future[list[T]]]] = deque()
        while True:
            while len(begun) < AHEAD * jobs and perf_counter() < end and (some := list(islice(left, AT_ONCE))):
                begun.append((some, pool.submit(_several, trial, [(seed, each) for each in some])))
            if not begun:
                return
            some, outcomes = begun.popleft()
            yield from zip(some, outcomes.result(), strict=True)


def _several(trial: Callable[[tuple[int, int]], T], asked: list[tuple[int, int]]) -> list[T]:
    return [trial(each) for each in asked]


def asked_for(what: str, description: str | None, arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what a command line asks for that tries so many of `what`, in the plural: how many of which numbers and
    seed, in how many processes and seconds, and where what breaks the program goes."""
    parser = argparse.ArgumentParser(description=description, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument(f"--{what}", type=int, default=1000, dest="count")
    parser.add_argument("--first", type=int, default=0, help="number of the first")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="begin no more after so many seconds")
    parser.add_argument("--as-found", action="store_true", help="make nothing that breaks the program smaller")
    parser.add_argument("--out", type=Path, default=Path("soak"), help=f"where {what} that break the program go")
    return parser.parse_args(arguments)


def say(words: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()
