"""Figure follows from where a face lies in its log."""

import dataclasses

import numpy as np
import pytest
from scipy.ndimage import uniform_filter
from skimage.feature import structure_tensor

from preview.wood import details, log
from preview.wood.smooth import smooth_field, smooth_line
from preview.wood.species import load_grade, load_species, load_stain
from preview.wood.strip import Timber, draw, lightness_field

SIZE, DENSITY = (0.5, 0.1), 1000.0
X = (np.arange(500, dtype=np.float32) + np.float32(0.5)) / np.float32(DENSITY)
Y = X[:100]
TILE = details.fibre_tile(np.random.default_rng(0), DENSITY)


def timber(name, cut, grade="select"):
    return Timber(load_species(name), cut, load_grade(grade), load_stain("none"), 7)


def without_rays(species):
    return dataclasses.replace(species, rays=dataclasses.replace(species.rays, share=0.0))


def grain_directions(picture, sigma):
    """Return the direction of the grain (degrees to the board's length, over the picture) and its weight, from the
    structure tensor; rows are y, columns x."""
    yy, xy, xx = structure_tensor(picture, sigma=sigma, order="rc")
    across = 0.5 * np.arctan2(2 * xy, xx - yy)  # where the picture changes most, from x
    degrees = np.degrees(across) - 90
    return (degrees + 90) % 180 - 90, np.hypot(xx - yy, 2 * xy)


@pytest.mark.parametrize("cut, low, high", [("plainsawn", 0, 30), ("riftsawn", 30, 60), ("quartersawn", 60, 90)])
def test_rings_meet_the_face_at_the_cut_s_angle(cut, low, high):
    """The angle of rings to the face, from the field alone: sin(angle) is how fast the pith recedes across the face."""
    for seed in range(20):
        face = log.saw(np.random.default_rng(seed), cut, X, Y, SIZE[1])
        assert low <= np.degrees(face.angle) <= high
        slope = abs(np.gradient(face.radial[20:80], 1 / DENSITY, axis=0).mean())
        assert slope == pytest.approx(np.sin(face.angle), abs=0.12)  # rings are curved and ragged


@pytest.mark.parametrize("name", ["white oak", "walnut", "hard maple"])
def test_quartersawn_grain_is_straight(name):
    """Within 2 degrees of the board's length on average, and within 4 for each of eight boards.

    Rays are left out: fleck crosses the grain.
    """
    tilt = []
    wood = timber(name, "quartersawn")
    rayless = dataclasses.replace(wood, species=without_rays(wood.species))
    for seed in range(8):
        strip = draw((seed,), rayless, SIZE, DENSITY, TILE)
        degrees, weight = grain_directions(strip.picture.mean(axis=-1), sigma=6)
        doubled = np.average(np.exp(2j * np.radians(degrees)), weights=weight)  # directions turn round at 180 degrees
        tilt.append(np.degrees(np.angle(doubled)) / 2)
    assert np.abs(tilt).max() < 4 and np.abs(tilt).mean() < 2


def test_drawn_rings_lie_where_the_geometry_says():
    """A plainsawn board's drawn figure follows the contours of distance from the pith, within 5 degrees."""
    wood = timber("ash", "plainsawn")
    misses = []
    for seed in range(6):
        rng = np.random.default_rng(np.random.SeedSequence((seed,)))
        light, _ = lightness_field(rng, wood, SIZE, DENSITY, TILE)
        sawing = np.random.default_rng(np.random.SeedSequence((seed,))).spawn(7)[0]
        radial = log.saw(sawing, "plainsawn", X, Y, SIZE[1]).radial
        drawn, strength = grain_directions(light, sigma=5)
        meant, _ = grain_directions(radial * 1e4, sigma=5)
        miss = (drawn - meant + 90) % 180 - 90
        strong = strength > np.quantile(strength, 0.8)
        misses.append(np.median(np.abs(miss[strong])))
    assert np.mean(misses) < 5


def test_plainsawn_shows_cathedrals_and_quartersawn_does_not():
    """Contours of distance from the pith turn back on themselves across a plainsawn face only."""

    def turns_back(cut):
        faces = (log.saw(np.random.default_rng(seed), cut, X, Y, SIZE[1]) for seed in range(30))
        return np.mean([abs(np.sign(np.gradient(face.radial.mean(axis=1)[10:90])).mean()) < 0.9 for face in faces])

    assert turns_back("plainsawn") > 0.45
    assert turns_back("quartersawn") == 0


def test_ray_fleck_belongs_to_quartersawn_oak():
    """Fleck covers about the rays' share of the face (Delesse), and there is none to speak of in walnut."""
    rays = load_species("white oak").rays
    cover = []
    for seed in range(6):
        face = log.saw(np.random.default_rng(seed), "quartersawn", X, Y, SIZE[1])
        fleck = details.ray_fleck(np.random.default_rng(seed), rays, face, SIZE[0], DENSITY)
        assert fleck.min() >= 0 and fleck.max() <= rays.fleck
        cover.append((fleck > rays.fleck / 2).mean())
    assert rays.share / 2 < np.mean(cover) < 2 * rays.share
    assert load_species("walnut").rays.fleck < rays.fleck / 5


def test_rings_per_inch():
    """Rings on a radius come as wide as the species' file says, on average."""
    for name in ("white oak", "walnut"):
        rings = load_species(name).rings
        tables = [log.grow(np.random.default_rng(seed), rings, 0.05, 0.25) for seed in range(12)]
        width = 0.2 / np.mean([table.ring[-1] - table.ring[0] for table in tables])
        assert width == pytest.approx(rings.width, rel=0.12)


@pytest.mark.parametrize("cut", ["plainsawn", "quartersawn"])
@pytest.mark.parametrize("name", ["white oak", "walnut", "hard maple"])
def test_contrast_is_that_of_a_floor(name, cut):
    """Within a board lightness varies by 0.5 to 4.5 units; in patches of 8 mm, as seen standing, by less than 2.5."""
    light, _ = lightness_field(np.random.default_rng(3), timber(name, cut), SIZE, DENSITY, TILE)
    far = light[:96, :496].reshape(12, 8, 62, 8).mean(axis=(1, 3))
    assert 0.5 < light.std() < 4.5
    assert 0.2 < far.std() < 2.5


def test_dashes_are_drawn_where_they_lie():
    picture = details.dashes((4, 10), *(np.float32([v]) for v in (1.25, 2.0, 3.0, 8.0)))
    expected = np.zeros((4, 10))
    expected[1, 2:5], expected[2, 2:5] = 6, 2
    assert np.allclose(picture, expected)


def test_smooth_fields_have_unit_variance_and_continue():
    rng = np.random.default_rng
    lines = [smooth_line(rng(seed), X, 0.02) for seed in range(200)]
    assert np.var(lines) == pytest.approx(1, rel=0.1)
    fields = [smooth_field(rng(seed), X, Y, 0.05, 0.01) for seed in range(20)]
    assert np.var(fields) == pytest.approx(1, rel=0.15)
    short, coarse = smooth_field(rng(1), X[:200], Y, 0.05, 0.01), smooth_field(rng(1), X[::5], Y, 0.05, 0.01)
    assert np.allclose(short, fields[1][:, :200], atol=1e-5)
    assert np.allclose(coarse, fields[1][:, ::5], atol=1e-5)


def test_a_board_looks_the_same_at_half_the_density():
    fine = draw(
        (5,), timber("white oak", "plainsawn"), SIZE, 2000.0, details.fibre_tile(np.random.default_rng(0), 2000.0)
    )
    coarse = draw((5,), timber("white oak", "plainsawn"), SIZE, 1000.0, TILE)
    halved = fine.picture.reshape(100, 2, 500, 2, 3).mean(axis=(1, 3))
    blocks = [p.reshape(25, 4, 125, 4, 3).mean(axis=(1, 3, 4)) for p in (halved, coarse.picture.astype(float))]
    assert np.corrcoef(blocks[0].ravel(), blocks[1].ravel())[0, 1] > 0.9


def test_rustic_boards_have_knots_and_select_none():
    def knotted(grade):
        """Return how many of 16 boards have a spot that stays dark when averaged over 8 mm, which pores don't."""
        strips = [draw((seed,), timber("white oak", "plainsawn", grade), SIZE, DENSITY, TILE) for seed in range(16)]
        greys = [strip.picture.mean(axis=-1) for strip in strips]
        return sum(bool((uniform_filter(grey, 8) - grey.mean()).min() < -32) for grey in greys)

    assert knotted("select") == 0
    assert knotted("rustic") >= 2
