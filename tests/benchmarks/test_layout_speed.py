"""Laying is vectorised and grows linearly: ratios within one run, never seconds."""

from time import perf_counter

import numpy as np
import shapely

from preview.floor.cut import cut_to
from preview.floor.lay import lay_floor
from preview.floor.patterns.herringbone.legs import Legs
from preview.room.measured import build_room
from tests.lattice_boards import outlines
from tests.strategies import box, make_job


def best_of(count, work):
    times = []
    for _ in range(count):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def lay_hall(width, depth):
    job = make_job(corners=box(0, 0, width, depth), board_width=0.07, board_length=0.36, courses="any")
    room = build_room(job)
    return best_of(3, lambda: lay_floor(room, job)), lay_floor(room, job).measures["blanks"]


def test_time_per_board_does_not_grow_with_the_hall():
    """1,000 m2 against 100 m2: the time for a board must not rise by half (it falls, as set-up is shared)."""
    small, few = lay_hall(12.5, 8)
    large, many = lay_hall(40, 25)
    assert many > 35_000
    assert (large / many) / (small / few) < 1.5


def test_cutting_beats_one_board_at_a_time():
    """Against the plain way, shapely on each board in turn: more than twice as fast for 1,000 boards."""
    lattice = Legs((0.1, 0.2), np.pi / 2, 0.09, 0.45)
    field = shapely.box(0, 0, 8, 5)

    def one_by_one():
        for corners in outlines(lattice, field):
            shapely.Polygon(corners).intersection(field)

    assert best_of(3, one_by_one) > 2 * best_of(3, lambda: cut_to(lattice, field))
