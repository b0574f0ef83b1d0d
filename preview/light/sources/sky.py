"""Skies: luminance by direction. x east in the room's own frame, z up; directions point away from the room."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.light.sources.daylight import CLEAR_SKY_KELVIN, OVERCAST_KELVIN, SUN_KELVIN, daylight_rgb

Array = NDArray[np.float64]

OVERCAST_LUX = 10_000.0  # horizontal illuminance out of doors; the round figure daylight factors are quoted for
GROUND_REFLECTANCE = 0.2  # mean of grass, paving and soil; common practice, no published source

# CIE S 011/E:2003 = ISO 15469:2004, table 1 (Darula & Kittler 2002): a, b of the gradation, c, d, e of the indicatrix.
CIE_TYPES: dict[int, tuple[float, float, float, float, float]] = {
    1: (4.0, -0.70, 0, -1.0, 0.00),
    2: (4.0, -0.70, 2, -1.5, 0.15),
    3: (1.1, -0.80, 0, -1.0, 0.00),
    4: (1.1, -0.80, 2, -1.5, 0.15),
    5: (0.0, -1.00, 0, -1.0, 0.00),
    6: (0.0, -1.00, 2, -1.5, 0.15),
    7: (0.0, -1.00, 5, -2.5, 0.30),
    8: (0.0, -1.00, 10, -3.0, 0.45),
    9: (-1.0, -0.55, 2, -1.5, 0.15),
    10: (-1.0, -0.55, 5, -2.5, 0.30),
    11: (-1.0, -0.55, 10, -3.0, 0.45),
    12: (-1.0, -0.32, 10, -3.0, 0.45),
    13: (-1.0, -0.32, 16, -3.0, 0.30),
    14: (-1.0, -0.15, 16, -3.0, 0.30),
    15: (-1.0, -0.15, 24, -2.8, 0.15),
}


def overcast_relative(sin_elevation: NDArray[np.floating]) -> Array:
    """Return L / Lz of the traditional overcast sky, (1 + 2 sin g) / 3.

    Moon & Spencer, "Illumination from a non-uniform sky", Illuminating Engineering 37 (1942).
    """
    return np.asarray((1.0 + 2.0 * sin_elevation) / 3.0)


def cie_relative(sky_type: int, directions: NDArray[np.floating], sun: Array) -> Array:
    """Return L / Lz of a CIE standard general sky towards unit `directions` (n, 3), sun towards `sun` (3,).

    Directions under the horizon are taken at it. Formula and coefficients: CIE S 011/E:2003 = ISO 15469:2004.
    """
    a, b, c, d, e = CIE_TYPES[sky_type]
    cos_zenith = np.clip(directions[..., 2], 0.0, 1.0)
    # At the horizon b / cos Z runs to minus infinity and the gradation to 1.
    gradation = 1.0 + a * np.exp(b / np.maximum(cos_zenith, 1e-9))

    def indicatrix(cos_angle: NDArray[np.floating]) -> Array:
        angle = np.arccos(np.clip(cos_angle, -1.0, 1.0))
        return 1.0 + c * (np.exp(d * angle) - np.exp(d * np.pi / 2)) + e * np.cos(angle) ** 2

    zenith = (1.0 + a * np.exp(b)) * indicatrix(np.asarray(sun[2]))
    return np.asarray(gradation * indicatrix(np.einsum("...k,k->...", directions, sun)) / zenith)


@lru_cache
def dome(rings: int = 64) -> tuple[Array, Array]:
    """Return directions (n, 3) over the upper half of the sphere and their solid angles (n,).

    Gauss-Legendre in height, even in azimuth. Beside 512 rings a clear sky lights level ground within 1e-6 from 64, and
    within 3e-5 from 16.
    """
    node, weight = np.polynomial.legendre.leggauss(rings)
    height, weight = (node + 1) / 2, weight / 2
    azimuth = (np.arange(4 * rings) + 0.5) * (np.pi / (2 * rings))
    z, turn = (each.ravel() for each in np.meshgrid(height, azimuth, indexing="ij"))
    radius = np.sqrt(1 - z * z)
    solid = np.repeat(weight, len(azimuth)) * (2 * np.pi / len(azimuth))
    directions = np.stack([radius * np.cos(turn), radius * np.sin(turn), z], axis=-1)
    for each in (directions, solid):
        each.setflags(write=False)
    return directions, solid


@dataclass(frozen=True, eq=False)
class Sky:
    """What shines in at the windows. `cie` is None for the traditional overcast sky, or a CIE type.

    zenith (3,) radiance of the zenith, RGB whose luminance is cd/m2; sun (3,) unit direction to the sun (of use
    for a CIE type only); beam (3,) irradiance of the direct sun on a plane facing it, before the glass, zero
    where there is none; ground (3,) radiance of the ground.
    """

    cie: int | None
    zenith: Array
    sun: Array
    beam: Array
    ground: Array

    def radiance(self, directions: Array) -> Array:
        """Return the radiance seen along unit `directions` (..., 3), the ground where they point down; (..., 3)."""
        up = (directions[..., 2] > 0)[..., None]
        return np.where(up, self.zenith, self.ground) * self.relative(directions)[..., None]

    def relative(self, directions: NDArray[np.floating]) -> Array:
        """Return the radiance along unit `directions` (..., 3) beside the zenith's, or where they point down beside
        the ground's, which is 1; (...)."""
        up = directions[..., 2]
        if self.cie is None:
            relative = overcast_relative(np.maximum(up, 0.0))
        else:
            relative = cie_relative(self.cie, directions, self.sun)
        return np.where(up > 0, relative, 1.0)

    def horizontal(self) -> Array:
        """Return the irradiance of an unobstructed horizontal plane, sun and all, (3,)."""
        directions, solid = dome()
        sky = (self.radiance(directions) * (directions[:, 2] * solid)[:, None]).sum(axis=0)
        return np.asarray(sky + self.beam * max(float(self.sun[2]), 0.0))


def overcast_sky(lux: float = OVERCAST_LUX, ground: float = GROUND_REFLECTANCE) -> Sky:
    """Return the traditional overcast sky that gives `lux` on open level ground: Lz = 9 E / (7 pi)."""
    white = daylight_rgb(OVERCAST_KELVIN)
    return Sky(
        None, white * (lux * 9 / (7 * np.pi)), np.array([0.0, 0.0, 1.0]), np.zeros(3), white * (ground * lux / np.pi)
    )


def clear_sky(sun: Array, day_of_year: int, beam: bool = True, ground: float = GROUND_REFLECTANCE) -> Sky:
    """Return the CIE standard clear sky (type 12) with the sun towards `sun` (3,); `beam` False hides the sun itself.

    Levels: sky 0.8 + 15.5 sin^0.5 h klx on level ground; direct sun 127.5 klx outside the atmosphere (with the
    year's swing of 3.4 %) times exp(-0.21 / sin h). IES, "Recommended Practice for the Calculation of Daylight
    Availability", J. IES 13(4) 1984, doi 10.1080/00994480.1984.10748791, clear sky; coefficients from memory.
    """
    height = max(float(sun[2]), 0.0)
    shape = Sky(12, np.ones(3), sun, np.zeros(3), np.zeros(3)).horizontal()[0]
    diffuse = daylight_rgb(CLEAR_SKY_KELVIN) * 1e3 * (0.8 + 15.5 * np.sqrt(height))
    outside = 127.5e3 * (1 + 0.034 * np.cos(2 * np.pi * (day_of_year - 2) / 365))
    direct = daylight_rgb(SUN_KELVIN) * (outside * np.exp(-0.21 / height) if height > 1e-3 else 0.0)
    lit = diffuse + direct * height
    return Sky(12, diffuse / shape, sun, direct if beam else np.zeros(3), lit * (ground / np.pi))
