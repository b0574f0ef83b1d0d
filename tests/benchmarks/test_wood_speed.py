"""Cutting boards: what is kept pays, what is seen from afar is cheap, and a hall stays small. Ratios within one run.

Seconds of one machine are in DEVELOPERS.md; processor time is measured here, so that a busy machine does not matter.
"""

import tracemalloc
from time import process_time

import pytest

from preview.floor.layout import Role
from preview.wood.boards import cut_boards
from preview.wood.stock import BUDGET
from tests.unit.test_wood_boards import OAK, lay, rectangles

BOARD = (22 * 0.0254, 4 * 0.0254)


def keys(rows, columns, first=0):
    return [(row, column) for row in range(first, first + rows) for column in range(columns)]


def seconds(chosen, folder, finest=1000.0):
    """Return the processor seconds that boards of 4 x 22 in at a millimetre, or as fine as asked, take to cut."""
    floor = lay(rectangles(Role.BOARD, BOARD, chosen))
    start = process_time()
    cut_boards(floor, OAK, OAK, finest=finest, folder=folder)
    return process_time() - start


@pytest.fixture(scope="module")
def cold(tmp_path_factory):
    """The seconds of 500 boards that were never drawn, and the folder that keeps them now."""
    folder = tmp_path_factory.mktemp("wood")
    seconds(keys(2, 2), tmp_path_factory.mktemp("warm"))  # what is loaded and tabulated once
    return seconds(keys(50, 10), folder), folder


def test_cached_boards_take_a_tenth(cold):
    took, folder = cold
    assert seconds(keys(50, 10), folder) < 0.1 * took


def test_a_moved_centre_line_takes_a_fifth(cold):
    """Boards that were laid keep their strips, and those that come are mostly of strips that were drawn."""
    took, folder = cold
    assert seconds(keys(50, 10, first=1), folder) < 0.2 * took


def test_boards_take_as_long_as_they_are_seen_finely(tmp_path):
    """Boards at 640 pixels a metre take less than six tenths of what they take at 1,600, with six times the pixels."""
    took = {}
    for finest in (640.0, 1600.0):
        seconds(keys(2, 2), tmp_path / f"warm {finest}", finest)
        took[finest] = seconds(keys(50, 10), tmp_path / f"{finest}", finest)
    assert took[640.0] < 0.6 * took[1600.0]


def test_forty_thousand_boards_take_little_more_than_five_hundred(cold, tmp_path):
    """A hall's stock has 256 strips, twice that of a room's: three times the time at most, and memory of its own
    (pages and places) within the budget and a quarter."""
    took, _ = cold
    assert seconds(keys(200, 200), tmp_path) < 3 * took
    floor = lay(rectangles(Role.BOARD, BOARD, keys(200, 200)))
    tracemalloc.start()
    cut_boards(floor, OAK, OAK, folder=tmp_path)  # without a density: as fine as the budget lets it be
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 1.25 * BUDGET + 60e6  # strips on their way, on each core a block
