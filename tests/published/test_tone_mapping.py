"""Tone mapping and sRGB against published values."""

import numpy as np
import pytest
from colour.models import RGB_COLOURSPACE_sRGB

from preview.colour import LUMINANCE, WHITE_D65, XYZ_TO_RGB, linear_to_srgb, luminance
from preview.picture.tone import to_bytes, tone_map

# Khronos PBR Neutral, KhronosGroup/ToneMapping, PBR_Neutral/pbrNeutral.glsl and README of 2024-06-17: values computed
# from that formula in double precision.
NEUTRAL = [
    ((0.04, 0.04, 0.04), (0.01, 0.01, 0.01)),
    ((0.08, 0.08, 0.08), (0.04, 0.04, 0.04)),
    ((0.18, 0.18, 0.18), (0.14, 0.14, 0.14)),
    ((0.8, 0.8, 0.8), (0.76, 0.76, 0.76)),
    ((1.0, 1.0, 1.0), (0.869091, 0.869091, 0.869091)),
    ((4.0, 4.0, 4.0), (0.983256, 0.983256, 0.983256)),
    ((0.02, 0.1, 0.3), (0.0025, 0.0825, 0.2825)),
    ((0.6, 0.4, 0.2), (0.56, 0.36, 0.16)),
    ((2.0, 0.5, 0.1), (0.96, 0.321136, 0.150772)),
    ((10.0, 1.0, 0.2), (0.993898, 0.610899, 0.576855)),
]

# IEC 61966-2-1:1999, as colour-science 0.4.7 computes it.
SRGB = [(0.0, 0.0), (0.001, 0.01292), (0.0031308, 0.04045), (0.18, 0.461356), (0.5, 0.735357), (1.0, 1.0)]


@pytest.mark.parametrize(("linear", "expected"), NEUTRAL)
def test_neutral_tone_mapping_gives_the_published_colours(linear, expected):
    assert tone_map(np.float32([[linear]]))[0, 0] == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(("linear", "expected"), SRGB)
def test_srgb_encoding_gives_the_standards_values(linear, expected):
    assert float(linear_to_srgb(np.float32(linear))) == pytest.approx(expected, abs=2e-6)


def test_xyz_and_luminance_are_those_of_srgbs_primaries():
    """colour-science 0.4.7, whose white is rounded otherwise in the fourth decimal; BT.709 rounds the luminances."""
    assert np.array(RGB_COLOURSPACE_sRGB.matrix_XYZ_to_RGB) == pytest.approx(XYZ_TO_RGB, abs=2e-3)
    assert pytest.approx([1, 1, 1], abs=1e-6) == XYZ_TO_RGB @ WHITE_D65
    assert RGB_COLOURSPACE_sRGB.matrix_RGB_to_XYZ[1] == pytest.approx(LUMINANCE, abs=5e-4)
    assert luminance(np.ones((2, 3))) == pytest.approx([1, 1])


def test_tone_mapping_rises_with_brightness_and_never_reaches_one():
    """A brighter thing is never drawn darker, however bright; at 60,000 a float is within rounding of one."""
    grey = np.linspace(0, 100, 20001, dtype=np.float32)[:, None] * np.float32([1, 0.8, 0.6])
    mapped = tone_map(grey)
    assert (np.diff(mapped.max(axis=-1)) >= -1e-6).all()
    assert mapped.max() < 1
    assert tone_map(np.float32([[6e4] * 3])).max() <= 1


def test_bytes_are_rounded_not_cut():
    """The linear value of byte 128 is 0.2158605 (IEC 61966-2-1); the toe takes 0.04 off before."""
    assert to_bytes(np.float32([[0.2158605 + 0.04] * 3]))[0].tolist() == [128, 128, 128]
