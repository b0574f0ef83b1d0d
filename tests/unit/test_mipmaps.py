"""Smaller and smaller pictures, in linear light, against the same in floating point, by colour-science's sRGB."""

from itertools import pairwise

import numpy as np
import pytest
from colour.models import eotf_inverse_sRGB, eotf_sRGB

from preview.picture.device.mipmaps import mipmaps

SIZES = [(64, 64), (33, 17), (7, 128), (1, 9), (12, 1), (520, 31), (1, 1)]


def linear(byte):
    return eotf_sRGB(np.asarray(byte, float) / 255)


def coded(light):
    return 255 * eotf_inverse_sRGB(light)


def halved(picture):
    """Means of two by two values (h, w, k) in floating point; an odd last row or column is left out, and a side of one
    stays one."""
    height, width = (max(side // 2, 1) for side in picture.shape[:2])
    rows = picture[: 2 * height].reshape(height, -1, *picture.shape[1:]).mean(axis=1)
    return rows[:, : 2 * width].reshape(height, width, -1, picture.shape[2]).mean(axis=2)


def random_picture(size, channels, seed=3):
    return np.random.default_rng(seed).integers(0, 256, (*size, channels)).astype(np.uint8)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("channels", [3, 4])
def test_each_level_is_the_mean_of_the_one_before_in_linear_light(size, channels):
    levels = mipmaps(random_picture(size, channels))
    for larger, smaller in pairwise(levels):
        expected = coded(halved(linear(larger[..., :3])))
        assert np.abs(smaller[..., :3] - expected).max() <= 1
        if channels == 4:
            assert np.abs(smaller[..., 3:] - halved(larger[..., 3:].astype(float))).max() <= 0.5, "alpha is no colour"


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_sizes_halve_as_opengls_do(size):
    """OpenGL 3.3 core specification, "Mipmapping": each side is floor(side / 2), but at least one, down to 1 x 1."""
    levels = mipmaps(random_picture(size, 3))
    assert len(levels) == 1 + int(np.floor(np.log2(max(size))))
    for level, picture in enumerate(levels):
        assert picture.shape == (max(size[0] >> level, 1), max(size[1] >> level, 1), 3) and picture.dtype == np.uint8


@pytest.mark.parametrize("shade", range(0, 256, 5))
def test_a_flat_picture_keeps_its_shade_at_all_levels(shade):
    flat = np.full((32, 20, 4), (shade, 255 - shade, 7, shade), np.uint8)
    assert all((level == flat[0, 0]).all() for level in mipmaps(flat))


def test_levels_do_not_drift():
    """The last pixel of a large picture has its mean light, to a byte: no level adds a bias of its own."""
    picture = random_picture((1024, 1024), 3)
    picture[..., 0] //= 4
    mean = coded(linear(picture).mean(axis=(0, 1)))
    assert np.abs(mipmaps(picture)[-1][0, 0] - mean).max() <= 1


def test_checks_of_black_and_white_are_brighter_than_the_mean_of_their_bytes():
    """Half of white's light is byte 188, not 128: IEC 61966-2-1:1999."""
    board = np.where(np.indices((16, 16)).sum(axis=0)[..., None] % 2, 255, 0).astype(np.uint8).repeat(3, axis=2)
    assert all((level == 188).all() for level in mipmaps(board)[1:])
