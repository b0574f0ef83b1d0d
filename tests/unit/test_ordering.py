"""What to buy, and what boards that are not true to size add up to: against the lattice itself."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest

from preview.floor.lay import lay_floor
from preview.floor.ordering import growth, order
from preview.floor.patterns.herringbone.lattice import Lattice
from preview.paper.words.boards_text import growth_rows
from preview.room.measured import build_room
from tests.strategies import INCH, box, make_job

DINING = box(0, 0, 176 * INCH, 206 * INCH)


def lay(**kwargs):
    job = make_job(**{"corners": DINING, "board_length": 20 * INCH, **kwargs})
    return lay_floor(build_room(job), job)


def test_what_to_buy_counts_spares_and_adds_to_the_fields_own_area():
    layout = lay()
    found = order(layout, 433)
    assert (found.cut, found.spare, found.boards) == (433, 9, 442)
    assert found.length == pytest.approx(442 * 20 * INCH)
    assert found.area == pytest.approx(442 * 80 * INCH**2)
    field = layout.measures["field_area"]
    assert field * (1 + found.added) == pytest.approx(found.area)


def test_ten_boards_of_one_course_on_the_lattice():
    """Ten boards of one course, corner to corner along the run: 40 in of width over sqrt2 / 2, 4' 8 9/16"."""
    layout = lay()
    lattice = Lattice((0.0, 0.0), layout.run, layout.board.width, layout.board.length)
    pairs = np.arange(11)
    shared = lattice.corners(pairs, 0 * pairs)
    along = lattice.frame()[0]
    assert (shared @ along)[10] - (shared @ along)[0] == pytest.approx(growth(layout, 0.0).ten)
    assert growth(layout, 0.0).ten == pytest.approx(40 * sqrt(2) * INCH)
    assert "4' 8 9/16\" along the chalk line" in dict(growth_rows(layout, "in"))["Ten boards"]


def test_growth_is_that_of_a_lattice_of_boards_a_little_off():
    """As many boards as reach from end to end, each 1/32 in wider; as many courses, of boards each 1/32 in longer."""
    layout = lay()
    error = INCH / 32
    found = growth(layout, error)
    reach = float(np.hypot(*(layout.chalk_line[1] - layout.chalk_line[0])))
    true = Lattice((0.0, 0.0), layout.run, layout.board.width, layout.board.length)
    along, across = (np.array([0, 1]), np.zeros(2, int)), (np.zeros(2, int), np.array([0, 1]))

    def step(lattice, places):
        return float(np.hypot(*np.diff(lattice.corners(*places), axis=0)[0]))

    wider, longer = replace(true, width=true.width + error), replace(true, length=true.length + error)
    boards = reach / step(true, along)
    assert found.along == pytest.approx(boards * (step(wider, along) - step(true, along)))
    assert found.across == pytest.approx(layout.count / 2 * (step(longer, across) - step(true, across)))


def test_joints_count_in_what_ten_boards_measure():
    assert growth(lay(gap=0.001), 0.0).ten == pytest.approx(10 * sqrt(2) * (4 * INCH + 0.001))
