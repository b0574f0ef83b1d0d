"""The lattice tiles the plane, finds the board under a point, and measures what the trade measures."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.floor.patterns.herringbone.lattice import Lattice, Places, covering, locate, rectangles

INCH = 0.0254

lattices = st.builds(
    lambda x, y, run, width, ratio: Lattice((x, y), run, width, width * ratio),
    st.floats(-3, 3),
    st.floats(-3, 3),
    st.floats(-np.pi, np.pi),
    st.floats(0.05, 0.25),
    st.floats(1.0, 9.0),
)


@given(lattices)
@settings(max_examples=60, deadline=None)
def test_boards_tile_a_region(lattice):
    """Clipped to a region, the boards' areas add to the region's and no two overlap."""
    region = shapely.box(-0.7, -0.4, 0.9, 0.8)
    boards = shapely.polygons(rectangles(lattice, covering(lattice, region)))
    clipped = shapely.intersection(boards, region)
    assert shapely.area(clipped).sum() == pytest.approx(region.area, abs=1e-8)
    assert shapely.union_all(clipped, grid_size=1e-10).area == pytest.approx(region.area, abs=1e-8)


@given(lattices, st.integers(0, 2**32 - 1))
@settings(max_examples=60, deadline=None)
def test_every_point_lies_in_the_board_that_locate_names(lattice, seed):
    points = np.random.default_rng(seed).uniform(-5, 5, (200, 2))
    places = locate(lattice, points)
    assert set(np.unique(places.lean)) <= {0, 1}
    boards = shapely.polygons(rectangles(lattice, places))
    assert (shapely.distance(boards, shapely.points(points)) < 1e-9).all()


def test_locate_gives_back_each_board_from_its_middle():
    lattice = Lattice((0.2, -0.1), 0.3, 0.09, 0.5)
    grid = np.array([(i, j, lean) for i in range(-4, 5) for j in range(-3, 4) for lean in (0, 1)])
    places = Places(*grid.T)
    found = locate(lattice, rectangles(lattice, places).mean(axis=1))
    assert (np.stack([found.pair, found.cell, found.lean], axis=-1) == grid).all()


def test_four_inch_board_measures_as_on_a_mock_up():
    """Corner to corner 2 7/8 in and chalk line 1 7/16 in off centre, within 1/16 in.

    Common practice, no published source.
    """
    lattice = Lattice((0, 0), np.pi / 2, 4 * INCH, 20 * INCH)
    right = rectangles(lattice, Places(*np.array([[0], [0], [1]])))[0]
    across = right @ lattice.frame()[1]
    corner_to_corner = across[0] - across[3]
    assert corner_to_corner == pytest.approx(4 * INCH / np.sqrt(2), abs=1e-12)
    assert abs(corner_to_corner - 2.875 * INCH) < INCH / 16
    assert abs(corner_to_corner / 2 - 1.4375 * INCH) < INCH / 16


def test_mirror_in_a_seam_needs_a_shift_of_half_a_period():
    """Plane group pgg: reflected in the middle of a seam and moved W / sqrt2 along the run, boards fall on boards."""
    width, length = 0.1, 0.45
    lattice = Lattice((0, 0), np.pi / 2, width, length)
    grid = np.array([(i, j, lean) for i in range(3) for j in range(-3, 4) for lean in (0, 1)])
    boards = rectangles(lattice, Places(*grid.T))
    along, across = lattice.frame()
    seam = -width / (2 * np.sqrt(2))
    r, c = boards @ along, boards @ across
    for shift, falls in ((width / np.sqrt(2), True), (0.0, False)):
        moved = (r + shift)[..., None] * along + (2 * seam - c)[..., None] * across
        found = rectangles(lattice, locate(lattice, moved.mean(axis=1)))
        same = [
            max(min(np.hypot(*(p - q)) for q in target) for p in board)
            for board, target in zip(moved, found, strict=True)
        ]
        assert bool(max(same) < 1e-9) is falls


def test_period_and_course_width():
    lattice = Lattice((0, 0), 0.0, 0.1, 0.5)
    corners = lattice.corners(np.array([0, 1, 0]), np.array([0, 0, 1]))
    assert corners[1] - corners[0] == pytest.approx([0.1 * np.sqrt(2), 0])
    assert corners[2] - corners[0] == pytest.approx([0, -0.5 * np.sqrt(2)])
