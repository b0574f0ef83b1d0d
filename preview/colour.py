"""Colour: CIELAB and XYZ to linear sRGB, luminance, and the eight-bit code values of a picture.

Sources: CIE 15:2018 (CIELAB), IEC 61966-2-1:1999 (sRGB primaries, white D65 and transfer function), ITU-R BT.709
(luminance of linear RGB).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

WHITE_D65 = np.array([0.95047, 1.0, 1.08883])
XYZ_TO_RGB = np.array(
    [[3.2404542, -1.5371385, -0.4985314], [-0.9692660, 1.8760108, 0.0415560], [0.0556434, -0.2040259, 1.0572252]]
)
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])


def luminance(rgb: NDArray[np.floating]) -> Array:
    """Return the luminance (or illuminance) of linear RGB values, (..., 3) to (...)."""
    return np.einsum("...c,c->...", np.asarray(rgb, dtype=np.float64), LUMINANCE)


def lab_to_linear(lab: ArrayLike) -> Array:
    """Return linear sRGB (..., 3) of CIELAB (..., 3) under D65 and the 2 degree observer, clipped to 0..1."""
    lab = np.asarray(lab, dtype=float)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    delta = 6 / 29
    xyz = np.where(f > delta, f**3, 3 * delta**2 * (f - 4 / 29)) * WHITE_D65
    return np.clip(xyz @ XYZ_TO_RGB.T, 0, 1)


def linear_to_srgb(linear: ArrayLike) -> Array:
    """Return sRGB code values in 0..1 of linear light in 0..1."""
    linear = np.asarray(linear, dtype=float)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)


def srgb_to_linear(code: ArrayLike) -> Array:
    """Return linear light in 0..1 of sRGB code values in 0..1."""
    code = np.asarray(code, dtype=float)
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
