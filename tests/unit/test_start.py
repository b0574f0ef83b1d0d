"""The triangles at the ends, against clipping."""

from math import sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.floor.patterns.herringbone.legs import Legs
from preview.floor.patterns.herringbone.start import first_corner, start_corners, triangle_legs
from tests.lattice_boards import outlines

starts = st.one_of(st.sampled_from(["full", "both"]), st.floats(0, 1.5))


def smallest_triangle(lattice, width, length, end, away):
    """Legs of the triangles at an end square to the run (the y axis), found by clipping a strip two courses wide."""
    strip = shapely.box(0.0, min(end, end + away), 2 * sqrt(2) * length, max(end, end + away))
    legs = []
    for board in outlines(lattice, strip):
        piece = shapely.Polygon(board).intersection(shapely.box(-999, strip.bounds[1], 999, strip.bounds[3]))
        if piece.area < 1e-10 or min(abs(y - end) for y in piece.bounds[1::2]) > 1e-9:
            continue
        if len(shapely.remove_repeated_points(piece.normalize().simplify(1e-9)).exterior.coords) == 4:
            legs.append(sqrt(2 * piece.area))
    return legs


@given(st.floats(0.06, 0.14), st.floats(3.2, 7.5), st.floats(2.5, 5.0), starts)
@settings(max_examples=60, deadline=None)
def test_legs_are_what_clipping_gives(width, ratio, depth, start):
    length = ratio * width
    corner = start_corners(0.3, 0.3 + depth, width, length, start)[0]
    near, far = triangle_legs(0.3, 0.3 + depth, corner, width, length)
    lattice = Legs((0.1, corner), np.pi / 2, width, length)
    for leg, end, away in ((near, 0.3, 2.0), (far, 0.3 + depth, -2.0)):
        found = smallest_triangle(lattice, width, length, end, away)
        if width * 0.01 < leg < width * 0.99:
            assert found, "no triangle was found where one must be"
            assert found == pytest.approx([leg] * len(found), abs=1e-6)


@given(st.floats(0.06, 0.14), st.floats(3.2, 7.5), st.floats(2.5, 5.0))
@settings(max_examples=60, deadline=None)
def test_full_start_makes_full_triangles_and_both_balances(width, ratio, depth):
    length = ratio * width
    for corner in start_corners(0.0, depth, width, length, "full"):
        assert triangle_legs(0.0, depth, corner, width, length)[0] == pytest.approx(width, abs=1e-9)
    legs = [triangle_legs(0.0, depth, c, width, length) for c in np.arange(0, 2 * width, width / 400)]
    best = max(min(pair) for pair in legs)
    for corner in start_corners(0.0, depth, width, length, "both"):
        near, far = triangle_legs(0.0, depth, corner, width, length)
        assert near == pytest.approx(far, abs=1e-9)
        assert near >= width / 2 - 1e-9
        assert min(near, far) >= best - width / 100


def test_full_triangle_of_a_four_inch_board():
    """Base W sqrt2, height W / sqrt2, area W^2 / 2: 8 square inches for a 4 in board (derived)."""
    width, length = 4.0, 20.0
    corner = start_corners(0.0, 150.0, width, length, "full")[0]
    lattice = Legs((0.0, corner), np.pi / 2, width, length)
    legs = smallest_triangle(lattice, width, length, 0.0, 60.0)
    assert legs
    assert legs == pytest.approx([4.0] * len(legs))


def test_given_distance_is_the_first_corner():
    corner = start_corners(1.0, 6.0, 0.1, 0.5, 0.07)[0]
    assert first_corner(1.0, corner, 0.1) == pytest.approx(1.07)
    assert first_corner(1.0, 1.0 + 10 * 0.1 * sqrt(2), 0.1) == pytest.approx(1.0)
