"""Fitting the boards to the width, against brute force: the pieces are counted where they are cut."""

from math import sqrt

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from preview.floor.patterns.fit import (
    NEAR_BEST,
    courses_needed,
    faults,
    fit_count,
    fit_length,
    fit_sides,
    last_piece,
    score,
)
from preview.floor.patterns.herringbone.legs import Legs, leg_reach
from preview.floor.sides import Side
from tests.lattice_boards import outlines

INCH = 0.0254
SHORTEST, BEST, LONGEST = 3.0, 5.0, 8.0  # a board's length over its width: common practice, no published source
EIGHTH = INCH / 8


@given(st.floats(0.6, 3.0), st.floats(0.06, 0.16), st.floats(3.0, 8.0), st.sampled_from([0.0, 0.5]))
@settings(max_examples=80, deadline=None)
def test_last_piece_is_what_clipping_gives(half, width, ratio, phase):
    """The shortest piece that reaches the edge is the formula's last piece, and never a smaller triangle beside it."""
    length = ratio * width
    place = width / (2 * sqrt(2)) - phase * length / sqrt(2)
    lattice = Legs((place, 0.0), np.pi / 2, width, length)
    region = shapely.box(half - 4 * length, 0, half, 4 * width)
    tall = shapely.box(half - 4 * length, -9, half, 9)
    shortest = np.inf
    for board in outlines(lattice, region):
        piece = shapely.Polygon(board).intersection(tall)
        if piece.area < 1e-10 or piece.bounds[2] < half - 1e-9:
            continue
        sides = np.array([board[1] - board[0], board[3] - board[0]])
        axis = sides[np.argmax(np.hypot(*sides.T))]
        shortest = min(shortest, np.ptp(np.asarray(piece.exterior.coords) @ axis) / np.hypot(*axis))
    expected = last_piece(half, leg_reach(width), length, phase)
    if min(expected, abs(expected - length)) > 1e-4:
        assert shortest == pytest.approx(expected, abs=1e-6)


@given(st.floats(1.5, 8.0), st.floats(0.06, 0.15), st.sampled_from(["even", "odd", "any"]))
@settings(max_examples=150, deadline=None)
def test_centered_fit_is_the_published_rule(net, width, courses):
    """Against the closed rule: the least 1/8 in multiple not under (sqrt2 B + W) / N, with N for L / W nearest 5."""
    fit = fit_length(net / 2, net / 2, leg_reach(width), courses, EIGHTH)
    least = (sqrt(2) * net + width) / fit.count
    assert least - 1e-9 <= fit.length < least + EIGHTH
    if courses != "any":
        assert fit.count % 2 == (courses == "odd")
    others = [n for n in range(1, 200) if courses == "any" or n % 2 == (courses == "odd")]
    lengths = {n: np.ceil((sqrt(2) * net + width) / n / EIGHTH - 1e-6) * EIGHTH for n in others}
    allowed = [n for n in others if SHORTEST - 0.01 <= lengths[n] / width <= LONGEST + 0.01]
    if courses == "any":
        allowed = [n for n in allowed if n % 2 == 0] or allowed
    best = min(abs(lengths[n] / width - BEST) for n in allowed)
    assert abs(fit.length / width - BEST) == pytest.approx(best, abs=1e-9)
    assert not faults(fit, leg_reach(width))


@given(st.floats(1.2, 3.0), st.floats(-0.5, 0.5), st.floats(0.07, 0.13), st.sampled_from(["even", "odd", "any"]))
@example(1.203125, 0.09375, 0.09, "even")  # where boards of just three widths are the best of the usual ones
@settings(max_examples=100, deadline=None)
def test_off_centre_fit_beats_every_other_length(half, offset, width, courses):
    """Brute force over all lengths of the usual range, in eighths of an inch: none leaves a smaller last piece that is
    larger by more than an eighth of a board, and with the fit's own courses none leaves a larger one at all."""
    left, right = half + offset, half - offset
    fit = fit_length(left, right, leg_reach(width), courses, EIGHTH)
    share = min(fit.last_left, fit.last_right) / fit.length
    best = 0.0
    for phase in {"even": (0.0,), "odd": (0.5,)}.get(courses, (0.0, 0.5)):
        for eighths in range(int(np.ceil(SHORTEST * width / EIGHTH)), int(LONGEST * width / EIGHTH) + 1):
            length = eighths * EIGHTH
            lasts = [last_piece(side, leg_reach(width), length, phase) for side in (left, right)]
            if min(lasts) > width:
                best = max(best, min(lasts) / length)
    if best and abs(offset) > 5e-4:
        assert share > best - 0.1251
        assert min(fit.last_left, fit.last_right) > width
        assert not faults(fit, leg_reach(width))
        for shorter in range(1, 40):
            length = fit.length - shorter * EIGHTH
            if length < SHORTEST * width:
                break
            needed = [courses_needed(side, leg_reach(width), length, fit.phase) for side in (left, right)]
            assert needed != [fit.left, fit.right], "a shorter board would do with the same courses"


def test_twelve_courses_for_the_dining_room():
    """14 ft 8 in less two border lines of 4 3/4 in: (sqrt2 x 166.5 + 4) / 12 = 19.95 in, rounded up to 20."""
    net = 166.5 * INCH
    fit = fit_length(net / 2, net / 2, leg_reach(4 * INCH), "even", EIGHTH)
    assert fit.count == 12
    assert fit.length == pytest.approx(20 * INCH)


def test_fixed_count_and_fixed_length_are_respected_and_cost_is_said():
    net = 166.5 * INCH
    fit = fit_length(net / 2, net / 2, leg_reach(4 * INCH), 6, EIGHTH)
    assert fit.count == 6
    assert fit.costs == ("boards are 10.0 times as long as wide, outside the usual 3 to 8",)
    short = fit_count(net / 2, net / 2, leg_reach(4 * INCH), 19.5 * INCH, "even")
    assert short.length == pytest.approx(19.5 * INCH)
    assert min(short.last_left, short.last_right) <= 4 * INCH
    assert faults(short, leg_reach(4 * INCH)) == 2
    assert not short.costs
    wished = fit_count(net / 2, net / 2, leg_reach(4 * INCH), 20 * INCH, 8)
    assert wished.count == 12
    assert wished.costs == ("boards of this length make 12 courses across the field, not 8",)


@given(
    st.lists(st.tuples(st.floats(0.3, 3.0), st.floats(0.3, 4.0), st.booleans()), min_size=1, max_size=4),
    st.floats(1.2, 3.0),
    st.floats(-0.4, 0.4),
    st.floats(0.07, 0.13),
    st.sampled_from(["even", "odd", "any"]),
)
@settings(max_examples=80, deadline=None)
def test_every_side_wall_counts_by_its_length(others, half, offset, width, courses):
    """Brute force over all lengths of the usual range, in eighths of an inch: none has a score that is better by more
    than what counts as nearly the best, and the shares are those of the last pieces, triangles below nothing."""
    left, right = half + offset, half - offset
    sides = [Side("a", left, 3.0, False), Side("b", right, 3.0, True)]
    sides += [Side(f"c{number}", *each) for number, each in enumerate(others)]
    fit = fit_sides(sides, left, right, leg_reach(width), courses, EIGHTH)
    best = -1.0
    for phase in {"even": (0.0,), "odd": (0.5,)}.get(courses, (0.0, 0.5)):
        for eighths in range(int(np.ceil(SHORTEST * width / EIGHTH)), int(LONGEST * width / EIGHTH) + 1):
            length, total = eighths * EIGHTH, 0.0
            for side in sides:
                last = last_piece(side.half, leg_reach(width), length, phase)
                total += side.length * (last / length if last > width else last / width - 1)
            best = max(best, total / sum(side.length for side in sides))
    assert score(sides, fit.length, fit.phase, leg_reach(width)) > best - NEAR_BEST - EIGHTH / width


def test_two_side_walls_are_fitted_as_before():
    for left, right in ((2.0, 2.0), (2.2, 1.7)):
        sides = [Side("wall 2", right, 4.0, True), Side("wall 4", left, 4.0, False)]
        assert fit_sides(sides, left, right, leg_reach(0.1), "any", EIGHTH) == fit_length(
            left, right, leg_reach(0.1), "any", EIGHTH
        )
