"""Rooms of every kind by their numbers: the pattern by turns, mostly small ones, where everything collides, now and
then as large as may be; the same seed and number give the same scene."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import cache
from time import process_time

from hypothesis import Phase, Verbosity, given, settings
from hypothesis import strategies as st
from hypothesis.database import InMemoryExampleDatabase

from preview.scene.job import Center, Job, Moisture, Sticks, StockChoice
from preview.scene.patterns import PatternKey, pattern_keys
from tests.soak.large_rooms import large_jobs
from tests.soak.room_scene import room_scene
from tests.strategies import jobs

SIZES = ((0.8, 2.0),) * 6 + ((1.0, 4.0), (2.2, 7.0))
"""How wide and deep rooms are by turns, metres: a closet takes a fifth of a room's time, and more of it is awkward."""

LARGE = 1000
"""One room in so many is as large as may be, and one of them is refused now and then."""

BYTES = 4096
"""What a room is drawn from."""

OWN: dict[str, Callable[[PatternKey], st.SearchStrategy[float]]] = {
    "whole": lambda key: st.integers(round(key.least), round(key.most)),
    "angle": lambda key: _steps(round(key.least), round(key.most)).map(math.radians),
    "length": lambda key: st.integers(round(1000 * key.least), round(1000 * min(key.most, 0.3))).map(
        lambda n: n / 1000
    ),
}


@st.composite
def any_jobs(draw: st.DrawFn, pattern: str, low: float, high: float) -> Job:
    """Return a job of `jobs` in a pattern, with its own keys, with all that may be asked of its courses and its
    wood."""
    job = draw(jobs(low, high))
    keys = pattern_keys()[pattern]
    own = tuple((name, draw(OWN[key.read](key))) for name, key in keys.items() if draw(st.booleans()))
    floor = replace(job.floor, pattern=pattern, own=own)
    odd = {
        "courses": st.sampled_from(["odd", "any", 4, 7, 13]),
        "run": _steps(-180, 180).map(math.radians),
        "start": _steps(0, 600).map(lambda mm: mm / 1000),
        "lengths": st.sampled_from([(0.3, 0.4, 0.5), (0.25, 0.33, 0.9)]),
        "center": _points(job).map(lambda point: Center("point", point=point)),
        "thickness": st.sampled_from([0.01, 0.022]),
    }
    for key in sorted(draw(st.sets(st.sampled_from(sorted(odd)), max_size=3))):
        floor = replace(floor, **{key: draw(odd[key])})
    if floor.lengths:
        floor = replace(floor, board_length=None)
    stock = StockChoice()
    if floor.board_length is None and not floor.lengths:
        stock = draw(st.one_of(st.just(stock), st.just(StockChoice(shortest=0.4, longest=1.8)), _sticks()))
    moisture = draw(st.sampled_from([None, None, Moisture(8, 11, 5), Moisture(9, 9, 6)]))
    border = replace(job.border, overlap=min(job.border.overlap, job.room.baseboard))
    return replace(job, floor=floor, border=border, stock=stock, wood=replace(job.wood, moisture=moisture))


def _steps(low: int, high: int) -> st.SearchStrategy[float]:
    """Return numbers with one decimal."""
    return st.integers(10 * low, 10 * high).map(lambda tenths: tenths / 10)


def _points(job: Job) -> st.SearchStrategy[tuple[float, float]]:
    """Return points half way between two corners of a room, most of them in it; whole millimetres."""
    corners = job.room.corners or ((0.0, 0.0), (1.0, 0.5))
    two = st.tuples(st.sampled_from(corners), st.sampled_from(corners))
    return two.map(lambda ends: (round((ends[0][0] + ends[1][0]) / 2, 3), round((ends[0][1] + ends[1][1]) / 2, 3)))


def _sticks() -> st.SearchStrategy[StockChoice]:
    """Return pieces at hand of up to three lengths."""
    one = st.builds(Sticks, st.sampled_from([0.9, 1.5, 2.1, 3.0]), st.integers(1, 60))
    some = st.lists(one, min_size=1, max_size=3, unique_by=lambda each: each.length)
    return some.map(lambda made: StockChoice(lengths=tuple(made)))


def scene_of(seed: int, number: int) -> bytes:
    """Return the scene of a number; another release of hypothesis may draw another."""
    return room_scene(_room(seed, number)[1]).encode()


def smallest(seed: int, number: int, breaks: Callable[[bytes], bool], seconds: float = 120.0) -> bytes:
    """Return the smallest scene like that of a number that `breaks` something too, as far as one is found within so
    many seconds of processor time."""
    best, end = scene_of(seed, number), process_time() + seconds

    def judge(job: Job) -> None:
        nonlocal best
        if process_time() > end:
            raise _EnoughError
        scene = room_scene(job).encode()
        if breaks(scene):
            best = scene
            raise _BrokenError

    test = _drawn(_kind(number), judge)
    with suppress(_EnoughError):
        with suppress(_BrokenError):
            test.hypothesis.fuzz_one_input(_room(seed, number)[0])
        with suppress(_BrokenError):
            test()
    return best


class _BrokenError(Exception):
    pass


class _EnoughError(BaseException):
    pass


def _room(seed: int, number: int) -> tuple[bytes, Job]:
    """Return the first bytes of a number that a room can be drawn from, which are not all, and the room."""
    found: list[Job] = []
    test, rng = _drawn(_kind(number), found.append), random.Random(f"{seed}-{number}")
    while not found:
        drawn = rng.randbytes(BYTES)
        test.hypothesis.fuzz_one_input(drawn)
    return drawn, found[-1]


def _kind(number: int) -> st.SearchStrategy[Job]:
    patterns = tuple(pattern_keys())
    pattern = patterns[number % len(patterns)]
    if number % LARGE == LARGE - 1:
        return large_jobs(patterns[number // LARGE % len(patterns)])
    return _usual(pattern, *SIZES[number // len(patterns) % len(SIZES)])


@cache
def _usual(pattern: str, low: float, high: float) -> st.SearchStrategy[Job]:
    return any_jobs(pattern, low, high)


def _drawn(kind: st.SearchStrategy[Job], judge: Callable[[Job], object]):
    """Return a test of `judge` that hypothesis drives by bytes, and makes small where it fails."""
    quiet = settings(
        database=InMemoryExampleDatabase(),
        phases=(Phase.reuse, Phase.shrink),
        verbosity=Verbosity.quiet,
        deadline=None,
        report_multiple_bugs=False,
        print_blob=False,
    )

    @quiet
    @given(kind)
    def test(job: Job) -> None:
        judge(job)

    return test
