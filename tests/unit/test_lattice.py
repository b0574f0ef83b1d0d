"""The lattice tiles the plane, mirrors as its plane group says, and measures what the trade measures."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.floor.patterns.herringbone.legs import Legs

INCH = 0.0254

lattices = st.builds(
    lambda x, y, run, width, ratio: Legs((x, y), run, width, width * ratio),
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
    boards = lattice.boards(region).polygons
    clipped = shapely.intersection(boards, region)
    assert shapely.area(clipped).sum() == pytest.approx(region.area, abs=1e-8)
    assert shapely.union_all(clipped, grid_size=1e-10).area == pytest.approx(region.area, abs=1e-8)


def test_four_inch_board_measures_as_on_a_mock_up():
    """Corner to corner 2 7/8 in and chalk line 1 7/16 in off centre, within 1/16 in.

    Common practice, no published source.
    """
    lattice = Legs((0, 0), np.pi / 2, 4 * INCH, 20 * INCH)
    right = shapely.get_coordinates(lattice.first_boards(np.zeros(2))[1])
    across = right @ lattice.frame()[1]
    corner_to_corner = across[0] - across[3]
    assert corner_to_corner == pytest.approx(4 * INCH / np.sqrt(2), abs=1e-12)
    assert abs(corner_to_corner - 2.875 * INCH) < INCH / 16
    assert abs(corner_to_corner / 2 - 1.4375 * INCH) < INCH / 16


def test_mirror_in_a_seam_needs_a_shift_of_half_a_period():
    """Plane group pgg: reflected in the middle of a seam and moved W / sqrt2 along the run, boards fall on boards."""
    width, length = 0.1, 0.45
    lattice = Legs((0, 0), np.pi / 2, width, length)
    boards = lattice.boards(shapely.box(-1, -1, 1, 1)).polygons
    wide = lattice.boards(shapely.box(-2, -2, 2, 2)).polygons
    along, across = lattice.frame()
    seam = -width / (2 * np.sqrt(2))
    for shift, falls in ((width / np.sqrt(2), True), (0.0, False)):
        moved = shapely.transform(
            boards,
            lambda points, shift=shift: (
                (points @ along + shift)[:, None] * along + (2 * seam - points @ across)[:, None] * across
            ),
        )
        under = shapely.STRtree(wide).query_nearest(shapely.centroid(moved), all_matches=False)[1]
        same = shapely.hausdorff_distance(moved, wide[under])
        assert bool(same.max() < 1e-9) is falls


def test_period_and_course_width():
    lattice = Legs((0, 0), 0.0, 0.1, 0.5)
    corners = lattice.corners(np.array([0, 1, 0]), np.array([0, 0, 1]))
    assert corners[1] - corners[0] == pytest.approx([0.1 * np.sqrt(2), 0])
    assert corners[2] - corners[0] == pytest.approx([0, -0.5 * np.sqrt(2)])
