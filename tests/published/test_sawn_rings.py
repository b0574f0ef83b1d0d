"""Rings on sawn faces against geometry, by an outside measure: the structure tensor of scikit-image.

Cuts by the angle of the rings to the face, plainsawn 0-30, riftsawn 30-60, quartersawn 60-90 degrees: the Architectural
Woodwork Institute's standards, as they are usually quoted.
"""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter, gaussian_filter1d
from scipy.signal import find_peaks
from skimage.feature import structure_tensor

from preview.wood import log
from preview.wood.smooth import make_grid
from preview.wood.species import load_grade, load_species, load_stain
from preview.wood.strip import Timber, draw, look_of

DENSITY, DEPTH = 2000.0, 0.02
GRID = make_grid((0.3, 0.1), DENSITY)
INTO = ((np.arange(40) + 0.5) / DENSITY).astype(np.float32)
BOUNDS = {"plainsawn": (0, 30), "riftsawn": (30, 60), "quartersawn": (60, 90)}


def timber(name, cut):
    return Timber(load_species(name), cut, load_grade("select"), load_stain("none"), 7)


def measured_angle(end):
    """Return the angle in degrees of the rings to the face in the middle of a drawn end (ny, m), rows across the face:
    of all that is drawn there, the direction in which lightness changes least."""
    drawn = gaussian_filter(end[70:130].astype(float), 1.5)
    yy, xy, xx = (each[10:-10, 4:-4].sum() for each in structure_tensor(drawn, sigma=1, order="rc"))
    steepest = 0.5 * np.arctan2(2 * xy, xx - yy)  # from the way down into the board
    return abs(np.degrees(steepest))


def true_angle(face):
    """Return the same from where the face lies in its log: at the middle of the end, a centimetre down, the ring is
    square to the line from the pith."""
    deep = face.bark * DEPTH / 2
    rho, tau = face.towards[300] - deep * np.cos(face.angle), face.along[300] + deep * np.sin(face.angle)
    across = abs(np.sin(face.angle) * rho + np.cos(face.angle) * tau)
    return np.degrees(np.arcsin(across / np.hypot(rho, tau)))


@pytest.mark.parametrize("cut", BOUNDS)
def test_rings_on_an_end_lie_as_the_board_was_sawn(cut):
    """Within 3 degrees of the geometry for most of a dozen boards, within 10 for each, of few and faint rings too, and
    within the cut's bounds."""
    wood = timber("ash", cut)
    low, high = BOUNDS[cut]
    misses = []
    for seed in range(12):
        look = look_of(np.random.default_rng(seed), wood, GRID, INTO)
        misses.append(abs(measured_angle(look.end_lightness) - true_angle(look.face)))
        assert low <= np.degrees(look.face.angle) <= high
    assert np.median(misses) < 3 and max(misses) < 10


def test_another_cut_would_be_noticed():
    """The measure tells cuts apart: no quartersawn board's end reads as a plainsawn one's."""
    ends = [
        look_of(np.random.default_rng(seed), timber("ash", "quartersawn"), GRID, INTO).end_lightness
        for seed in range(6)
    ]
    assert min(map(measured_angle, ends)) > 60


@pytest.mark.parametrize("name", ["ash", "red oak"])
def test_rings_of_a_radial_face_come_as_wide_as_the_species_s(name, monkeypatch):
    """Counted on the drawn face by their rows of pores, which only ring-porous woods have: rings to the inch within an
    eighth of the species' file."""
    monkeypatch.setitem(log.ANGLES, "quartersawn", (90.0, 90.0))
    rings, length = 0, 0.0
    for seed in range(24):  # of trees that grew fast and slowly
        strip = draw((seed,), timber(name, "quartersawn"), (0.12, 0.12), DENSITY)
        rows = gaussian_filter1d(strip.picture[:, 100:160, 3].astype(float).mean(axis=1), 0.15e-3 * DENSITY)
        peaks, _ = find_peaks(rows, prominence=0.12 * np.ptp(rows))
        rings, length = rings + len(peaks) - 1, length + (peaks[-1] - peaks[0]) / DENSITY
    assert 0.0254 * rings / length == pytest.approx(0.0254 / load_species(name).rings.width, rel=0.125)
