"""Colour of daylight: from a colour temperature to linear Rec. 709 RGB of unit luminance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE, XYZ_TO_RGB

OVERCAST_KELVIN = 6504.0  # D65, the white of sRGB: a picture under an overcast sky needs no white balance
CLEAR_SKY_KELVIN = 12000.0  # within the 10,000 to 20,000 K of blue sky; common practice, no published source
SUN_KELVIN = 5500.0  # direct sun at middling heights; common practice, no published source


def daylight_rgb(kelvin: float) -> NDArray[np.float64]:
    """Return the colour of daylight of a correlated colour temperature, as RGB whose luminance is 1, (3,).

    `kelvin` from 4000 to 25000; outside that ValueError. Formula: the CIE daylight locus (CIE 15:2004, Judd,
    MacAdam & Wyszecki 1964).
    """
    if not 4000 <= kelvin <= 25000:
        raise ValueError(f"a colour temperature of {kelvin:g} K; the daylight locus runs from 4000 to 25000 K")
    t = 1e3 / kelvin
    if kelvin <= 7000:
        x = ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
    else:
        x = ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040
    y = (-3.0 * x + 2.870) * x - 0.275
    rgb = XYZ_TO_RGB @ np.array([x / y, 1.0, (1 - x - y) / y])
    return np.asarray(rgb / (LUMINANCE @ rgb))
