"""Corners from lengths, against F. Zaki, M. El Kady, M. Ahmed, "A new treatment for the adjustment of trilateration
networks", XVIIth ISPRS Congress, Commission III, 1992 (read as full text), and two statements of adjustment theory.

Their braced quadrilateral of six measured lengths is a textbook's (Laurila's, Moffitt's or Mikhail's; the page does
not say which). They adjust it by the one condition that six lengths in a plane meet, in its form without angles. The
condition's four terms are transcribed from their program; what it leads to was not legible and is worked out here,
with the Lagrange multiplier of adjustment by conditions: a way that shares nothing with observation equations in
coordinates.
"""

import math

import numpy as np
import pytest
from scipy.optimize import approx_fprime, minimize

from preview.room.adjust import Network, adjust
from preview.room.tapes import adjust_walk
from preview.scene.job import Diagonal, Leg

# Their X1 to X6, metres: X1 and X6, X2 and X5, X3 and X4 lie opposite one another; X2 and X5 are the diagonals.
LENGTHS = np.array([1341.785, 2775.364, 2167.437, 1937.887, 2173.715, 1511.014])
# Corners P, Q, S, R in order round the figure: X1 = PQ, X3 = QS, X6 = SR, X4 = RP, X5 = PS, X2 = QR.
ENDS = np.array([(0, 1), (1, 3), (1, 2), (3, 0), (0, 2), (2, 3)])
GUESS = np.array([(0.0, 0.0), (1340.0, 0.0), (1500.0, 2150.0), (-900.0, 1700.0)])
NEAR = 1e-5  # metres: the condition is solved by Newton's steps until it stands still


def condition(lengths):
    """Return the condition as their program's lines 21 to 29 have it, zero where six lengths lie in a plane."""
    a, b, c, d, e, f = lengths**2
    return (
        2 * a * f * (-a + b + c + d + e - f)
        + 2 * c * d * (a + b - c - d + e + f)
        + 2 * b * e * (a - b + c + d - e + f)
        - 2 * (a * b * d + a * c * e + b * c * f + d * e * f)
    )


def by_condition(lengths):
    """Return the least corrections of equal weight that meet the condition, after Gauss and Helmert: iterated."""
    scale = lengths.mean()
    observed, adjusted = lengths / scale, lengths / scale
    for _ in range(20):
        slope = approx_fprime(adjusted, condition, 1e-7)
        rest = condition(adjusted) + slope @ (observed - adjusted)
        adjusted = observed - slope * rest / (slope @ slope)
    return (adjusted - observed) * scale


@pytest.fixture(scope="module")
def solution():
    network = Network(ENDS, LENGTHS, np.full(6, 0.01), np.zeros(4), None)
    return adjust(network, GUESS)


def test_the_lengths_were_read_right():
    """Six lengths of a plane figure nearly meet the condition: a misread figure would not."""
    assert abs(by_condition(LENGTHS)).max() < 0.1


def test_corrections_are_those_of_the_condition(solution):
    np.testing.assert_allclose(solution.residuals, by_condition(LENGTHS), atol=NEAR)
    assert np.abs(solution.residuals).max() > 100 * NEAR  # there is something to correct
    assert solution.spare == 1


def test_redundancy_numbers_add_up_to_the_spare_measures(solution):
    """Ghilani and Wolf, chapter 21 (from memory): the trace of the redundancy matrix is the redundancy."""
    assert solution.redundancies.sum() == pytest.approx(1, abs=1e-9)


def test_with_one_spare_measure_all_normalized_residuals_are_equal(solution):
    """Guo 2015 (abstract read): their squares coincide with the sum of squares, so none can be blamed."""
    np.testing.assert_allclose(solution.normalized**2, solution.squares, rtol=1e-4)


def test_one_station_from_three():
    """Lengths and control stations of Ghilani's Example 14.2 (read); its result by a plain search of the plane."""
    control = np.array([(865.40, 4527.15), (2432.55, 2047.25), (2865.22, 27.15)])
    lengths = np.array([6049.00, 4736.83, 5446.49])
    between = [(0, 1), (1, 2), (2, 0)]
    fixed = [math.dist(control[a], control[b]) for a, b in between]
    bearing = math.atan2(*(control[1] - control[0])[::-1])
    network = Network(
        np.array([*between, (0, 3), (1, 3), (2, 3)]),
        np.array([*fixed, *lengths]),
        np.array([1e-6] * 3 + [1.0] * 3),
        np.full(4, bearing),
        None,
    )
    found = adjust(network, np.array([*control, (6900.0, 3900.0)]))

    def squares(point):
        return float(((np.hypot(*(control - point).T) - lengths) ** 2).sum())

    best = minimize(squares, (6000.0, 3000.0), method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-14}).x
    np.testing.assert_allclose(found.corners[3], best, atol=1e-4)
    assert found.spare == 1


def test_shares_of_a_rectangle_by_hand():
    """A room 4 by 3 m: redundancy numbers worked out by hand from the one condition, to first order.

    Where sides grow, each diagonal grows by 0.8 and 0.6 of them; the condition therefore has the rates 0.8, 0.6, 0.8,
    0.6 for the sides and 1 for the diagonals, apart from signs. Shares go by weight and squared rate.
    """
    walls = [Leg(math.radians(turn), length, "") for turn, length in ((0, 4), (90, 3), (180, 4), (270, 3))]
    _, adjustment = adjust_walk(walls, [Diagonal(1, 3, 5.0), Diagonal(2, 4, 5.02)])
    assert adjustment.spare == 1
    shares = [each.redundancy for each in adjustment.measures]
    weights = np.array([each.spread for each in adjustment.measures]) ** 2
    rates = np.array([0.8, 0.6, 0.8, 0.6, 1.0, 1.0]) ** 2 * weights
    np.testing.assert_allclose(shares, rates / rates.sum(), rtol=0.01)
