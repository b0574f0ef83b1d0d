"""Closing a walk, against J. Mahun, *Traverse Computations*, chapter I (open access): the loop traverse A B C D."""

import math

import numpy as np
import pytest

from preview.room.outline import signed_area
from preview.room.walk import compass_rule, departures
from preview.scene.job import Leg

PRINTED = 0.001
"""The source prints feet to three decimals."""

# Mahun: line, bearing in degrees, minutes, seconds, length in feet.
LINES = (
    ("S68°05'35\"W", -1, (68, 5, 35), -1, 472.68),
    ("N19°46'00\"W", +1, (19, 46, 0), -1, 216.13),
    ("N45°55'20\"E", +1, (45, 55, 20), +1, 276.52),
    ("S54°59'15\"E", -1, (54, 59, 15), +1, 382.24),
)
LATITUDES = (-176.357, 203.395, 192.357, -219.312)
DEPARTURES = (-438.548, -73.093, 198.651, 313.065)
A = np.array([2000.0, 500.0])  # east, north


@pytest.fixture(scope="module")
def legs():
    made = []
    for text, north, (degrees, minutes, seconds), east, length in LINES:
        angle = math.radians(degrees + minutes / 60 + seconds / 3600)
        made.append(Leg(math.atan2(north * math.cos(angle), east * math.sin(angle)), length, text))
    return tuple(made)


def test_latitudes_and_departures(legs):
    np.testing.assert_allclose(departures(legs), np.stack([DEPARTURES, LATITUDES], axis=1), atol=PRINTED)


def test_misclosure_and_perimeter(legs):
    _, misclosure = compass_rule(legs)
    np.testing.assert_allclose(misclosure.vector, [0.075, 0.083], atol=PRINTED)
    assert misclosure.perimeter == pytest.approx(1347.57, abs=1e-9)


def test_precision(legs):
    """Computed from Mahun's lines by the published formula: 1 in 12116 (not printed in the source)."""
    _, misclosure = compass_rule(legs)
    assert misclosure.perimeter / misclosure.length == pytest.approx(12116, abs=1)


def test_adjusted_lines(legs):
    """Computed from Mahun's lines by the compass rule (not printed in the source), corners from A (N 500, E 2000)."""
    corners, _ = compass_rule(legs)
    adjusted = np.roll(corners, -1, axis=0) - corners
    np.testing.assert_allclose(adjusted[:, 1], [-176.386, 203.382, 192.340, -219.336], atol=PRINTED)
    np.testing.assert_allclose(adjusted[:, 0], [-438.574, -73.105, 198.636, 313.044], atol=PRINTED)
    np.testing.assert_allclose(
        (corners + A)[1:, ::-1], [(323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)], atol=PRINTED
    )


def test_area(legs):
    """Shoelace formula on the adjusted corners, computed independently; clockwise, so below zero."""
    corners, _ = compass_rule(legs)
    assert signed_area(corners) == pytest.approx(-102935.7, abs=0.1)


def test_a_room_in_inches():
    """Walk E 186, N 148, W 186.25, S 148 in: computed by hand from the compass rule as Mahun states it."""
    legs = [Leg(math.radians(b), n, "") for b, n in ((0, 186), (90, 148), (180, 186.25), (270, 148))]
    corners, misclosure = compass_rule(legs)
    np.testing.assert_allclose(misclosure.vector, [-0.25, 0], atol=1e-9)
    np.testing.assert_allclose(corners, [(0, 0), (186.0696, 0), (186.125, 148), (-0.0554, 148)], atol=1e-3)
    assert signed_area(corners) == pytest.approx(27546.493, abs=1e-3)
    np.testing.assert_allclose(misclosure.shifts[2], [0.25 * 334 / 668.25, 0], atol=1e-9)
