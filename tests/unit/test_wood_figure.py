"""Figure follows from where a face lies in its log."""

import dataclasses

import numpy as np
import pytest
from scipy.ndimage import uniform_filter
from skimage.feature import structure_tensor

from preview.wood import grain_fields, log
from preview.wood.smooth import make_grid, smooth_field, smooth_line
from preview.wood.species import load_grade, load_species, load_stain
from preview.wood.strip import Timber, draw, look_of

SIZE, DENSITY = (0.5, 0.1), 1000.0
GRID = make_grid(SIZE, DENSITY)
INTO = np.float32([0.0005])


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
        face = log.saw(np.random.default_rng(seed), cut, GRID)
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
        strip = draw((seed,), rayless, SIZE, DENSITY)
        degrees, weight = grain_directions(strip.picture[..., :3].mean(axis=-1), sigma=6)
        doubled = np.average(np.exp(2j * np.radians(degrees)), weights=weight)  # directions turn round at 180 degrees
        tilt.append(np.degrees(np.angle(doubled)) / 2)
    assert np.abs(tilt).max() < 4 and np.abs(tilt).mean() < 2


def test_drawn_rings_lie_where_the_geometry_says():
    """A plainsawn board's drawn figure follows the contours of distance from the pith, within 5 degrees."""
    wood = timber("ash", "plainsawn")
    misses = []
    for seed in range(6):
        rng = np.random.default_rng(np.random.SeedSequence((seed,)))
        look = look_of(rng, wood, GRID, INTO)
        drawn, strength = grain_directions(look.lightness, sigma=5)
        meant, _ = grain_directions(look.face.radial * 1e4, sigma=5)
        miss = (drawn - meant + 90) % 180 - 90
        strong = strength > np.quantile(strength, 0.8)
        misses.append(np.median(np.abs(miss[strong])))
    assert np.mean(misses) < 5


def test_plainsawn_shows_cathedrals_and_quartersawn_does_not():
    """Contours of distance from the pith turn back on themselves across a plainsawn face only."""

    def turns_back(cut):
        faces = (log.saw(np.random.default_rng(seed), cut, GRID) for seed in range(30))
        return np.mean([abs(np.sign(np.gradient(face.radial.mean(axis=1)[10:90])).mean()) < 0.9 for face in faces])

    assert turns_back("plainsawn") > 0.45
    assert turns_back("quartersawn") == 0


def test_ray_fleck_belongs_to_quartersawn_oak():
    """Fleck covers about the rays' share of the face (Delesse), and there is none to speak of in walnut."""
    rays = load_species("white oak").rays
    cover = []
    for seed in range(6):
        face = log.saw(np.random.default_rng(seed), "quartersawn", GRID)
        fleck = grain_fields.ray_fleck(np.random.default_rng(seed), rays, face)
        assert fleck.min() >= 0 and fleck.max() <= 1
        cover.append((fleck > 0.5).mean())
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
    lightness = look_of(np.random.default_rng(3), timber(name, cut), GRID, INTO).lightness
    far = lightness[:96, :496].reshape(12, 8, 62, 8).mean(axis=(1, 3))
    assert 0.5 < lightness.std() < 4.5
    assert 0.2 < far.std() < 2.5


def test_dashes_are_drawn_where_they_lie():
    picture = grain_fields.dashes((4, 10), *(np.float32([v]) for v in (1.25, 2.0, 3.0, 8.0)))
    expected = np.zeros((4, 10))
    expected[1, 2:5], expected[2, 2:5] = 6, 2
    assert np.allclose(picture, expected)


def test_smooth_fields_have_unit_variance_and_continue():
    rng = np.random.default_rng
    lines = [smooth_line(rng(seed), GRID, 0.02) for seed in range(200)]
    assert np.var(lines) == pytest.approx(1, rel=0.1)
    fields = [smooth_field(rng(seed), GRID, 0.05, 0.01) for seed in range(20)]
    assert np.var(fields) == pytest.approx(1, rel=0.15)
    short = smooth_field(rng(1), make_grid((0.2, 0.1), DENSITY), 0.05, 0.01)
    coarse = smooth_field(rng(1), make_grid(SIZE, DENSITY / 5), 0.05, 0.01)
    assert np.allclose(short, fields[1][:, :200], atol=1e-5)
    assert np.allclose(coarse, fields[1][2::5, 2::5], atol=1e-5)


def blocks(picture, count):
    """Return the picture's grey in blocks of `count` pixels."""
    ny, nx = picture.shape[0] // count, picture.shape[1] // count
    grey = picture[: ny * count, : nx * count, :3].astype(float).mean(axis=-1)
    return grey.reshape(ny, count, nx, count).mean(axis=(1, 3))


@pytest.mark.parametrize("cut", ["plainsawn", "quartersawn"])
@pytest.mark.parametrize("size", [SIZE, (0.737, 0.1077)])
def test_a_board_is_the_same_wood_at_every_density(size, cut):
    """Down to pixels of 5 mm a board keeps its rings and its fleck; another one has others."""
    wood = timber("white oak", cut)
    for seed in range(3):
        fine = draw((seed,), wood, size, 2000.0)
        for density, pixels in ((1000.0, 2), (500.0, 1), (200.0, 1)):
            coarse = draw((seed,), wood, size, density)
            one, other = blocks(fine.picture, round(2000 / density) * pixels), blocks(coarse.picture, pixels)
            ny, nx = (min(a, b) for a, b in zip(one.shape, other.shape, strict=True))
            assert np.corrcoef(one[:ny, :nx].ravel(), other[:ny, :nx].ravel())[0, 1] > 0.9, density
            assert np.allclose(fine.mean, coarse.mean, rtol=0.02)
        another = draw((seed + 50,), wood, size, 200.0)
        assert abs(np.corrcoef(one[:ny, :nx].ravel(), blocks(another.picture, 1)[:ny, :nx].ravel())[0, 1]) < 0.7


def test_rustic_boards_have_knots_and_select_none():
    def knotted(grade):
        """Return how many of 24 boards have a spot that stays dark when averaged over 8 mm, which pores don't."""
        strips = [draw((seed,), timber("white oak", "plainsawn", grade), SIZE, DENSITY) for seed in range(24)]
        greys = [strip.picture[..., :3].mean(axis=-1) for strip in strips]
        return sum(bool((uniform_filter(grey, 8) - grey.mean()).min() < -32) for grey in greys)

    assert knotted("select") == 0
    assert knotted("rustic") >= 2


def test_a_long_board_is_of_one_piece():
    """Across a seam the figure would jump: on a border board of 2.4 m it changes no more anywhere than over the next
    few millimetres; two boards end to end are found out."""

    def largest_jump(picture):
        """Return the lowest likeness of the profiles (means over 10 mm) on both sides of any column."""
        grey = picture[..., :3].astype(float).mean(axis=-1)
        profiles = grey.reshape(len(grey), -1, 10).mean(axis=-1)
        return min(np.corrcoef(one, other)[0, 1] for one, other in zip(profiles.T, profiles.T[1:], strict=False))

    long = [draw((seed,), timber("ash", "quartersawn"), (2.4, 0.1), 1000.0).picture for seed in range(3)]
    assert min(map(largest_jump, long)) > 0.5
    joined = np.concatenate([long[0][:, :1200], long[1][:, :1200]], axis=1)
    assert largest_jump(joined) < 0.35
