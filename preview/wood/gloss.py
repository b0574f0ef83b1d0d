"""Gloss units and the roughness of a coat: what a glossmeter reads of a GGX surface.

A glossmeter (ISO 2813:2014, ASTM D523) sends a beam at 60 degrees and takes in what a small window about the mirror
direction lets through; 100 units are what a polished black glass of n = 1.567 sends there. The coat's facets are
spread as GGX has it (Walter, Marschner, Li and Torrance, "Microfacet models for refraction through rough surfaces",
EGSR 2007), so that a coat's reading follows from its roughness alone. The sizes of the window and of the lamp's image
are those of the standard, from memory.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.fresnel import fresnel

Array = NDArray[np.float64]

ANGLE = np.radians(60.0)  # of the beam to the normal
WINDOW = np.radians((4.4, 11.7))  # of the receptor, in the plane of the beam and across it
LAMP = np.radians((0.75, 2.5))  # of the lamp's image on it
BLACK_GLASS = 1.567  # refractive index of the standard of 100 units
UNEVEN = 0.015
"""GGX alpha that a floor adds to its coat's: the waves of sanding, wider than the meter's spot; an estimate."""

SMOOTHEST, ROUGHEST = 0.004, 0.6


def gloss_units(alpha: float, ior: float = 1.5) -> float:
    """Return the gloss at 60 degrees of a coat with GGX roughness `alpha`; 0 is a mirror-smooth coat."""
    glass = float(fresnel(np.cos(ANGLE), BLACK_GLASS))
    if alpha == 0:
        return 100 * float(fresnel(np.cos(ANGLE), ior)) / glass
    square = alpha * alpha
    across, out, seen, beam = _window(ior)
    density = square / (np.pi * (across * (square - 1) + 1) ** 2)
    masked = 1 + sum((np.sqrt(1 + square * (1 / z**2 - 1)) - 1) / 2 for z in (out, beam))
    caught = float((density * seen / (4 * beam * masked)).mean()) * WINDOW[0] * WINDOW[1]
    return 100 * caught / glass


@cache
def _window(ior: float) -> tuple[Array, Array, Array, float]:
    """Return, for directions within the window and points of the lamp: the squared cosine of half way between them, the
    cosine of the way out, what the coat mirrors as the window counts it; and the cosine of the beam."""
    steps = (np.arange(48) + 0.5) / 48 - 0.5  # within 5e-5 of four times as many, from alpha 0.01 to 0.2
    image = np.array([-1 / 3, 0, 1 / 3])
    tilt = ANGLE + (WINDOW[0] * steps)[:, None, None, None] + (LAMP[0] * image)[None, None, :, None]
    swing = (WINDOW[1] * steps)[None, :, None, None] + (LAMP[1] * image)[None, None, None, :]
    out = np.stack(np.broadcast_arrays(np.sin(tilt) * np.cos(swing), np.sin(swing), np.cos(tilt) * np.cos(swing)))
    beam = np.array([-np.sin(ANGLE), 0, np.cos(ANGLE)])
    half = out + beam[:, None, None, None, None]
    half /= np.linalg.norm(half, axis=0)
    return half[2] ** 2, out[2], fresnel(np.tensordot(beam, half, 1), ior) * np.cos(swing), float(beam[2])


@cache
def _readings(ior: float) -> tuple[Array, Array]:
    """Return gloss units, falling, for roughnesses from smoothest to roughest, after the mirror-smooth coat."""
    alphas = np.geomspace(SMOOTHEST, ROUGHEST, 28)
    return np.array([gloss_units(0.0, ior), *(gloss_units(alpha, ior) for alpha in alphas)]), np.array([0.0, *alphas])


def coat_alpha(gloss: float, ior: float = 1.5) -> float:
    """Return the GGX roughness of a coat that reads `gloss` units at 60 degrees.

    Raises:
        ValueError: no coat of this index reads so much.
    """
    units, alphas = _readings(ior)
    if not units[-1] <= gloss <= units[0]:
        limits = f"{np.ceil(units[-1]):.0f} to {np.floor(units[0]):.0f}"
        raise ValueError(f"{gloss:g} gloss units; a coat of refractive index {ior:g} reads {limits}")
    return float(np.interp(-gloss, -units, alphas))


def floor_alpha(gloss: float, ior: float = 1.5) -> float:
    """Return the GGX roughness by which a floor with a coat of `gloss` units is drawn: the coat's, and `UNEVEN`."""
    return float(np.hypot(coat_alpha(gloss, ior), UNEVEN))
