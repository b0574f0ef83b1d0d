"""What is put on wood: stain and finish as films that light crosses, and wood that oil has gone into.

Colours of wood are those of boards under a clear water-borne coat. They are first taken below the coat (Saunderson,
"Calculation of the color of pigmented plastics", J. Opt. Soc. Am. 32, 1942): light that comes back from the wood is
turned back down by the coat's face in part, so that it crosses a film more often than twice. Films are Kubelka and
Munk's ("Ein Beitrag zur Optik der Farbanstriche", Z. tech. Phys. 12, 1931): pigment scatters and absorbs, a dye only
absorbs, which is Beer and Lambert's law. Then the colour is taken above the coat again.

Mirrored light is no part of this: the picture adds it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.fresnel import fresnel
from preview.wood.material_types import Finish, Stain

Array = NDArray[np.float64]

COAT = 1.5  # refractive index of the coat that the colours of wood were taken under


@cache
def turned_back(ior: float = COAT) -> float:
    """Return the share of even light from inside that a coat's face turns back: 1 - (1 - r) / n^2, r what it mirrors
    of even light from outside (J. Lekner and M. C. Dorf, "Why some things are darker when wet", Appl. Opt. 27, 1988).
    """
    nodes, weights = np.polynomial.legendre.leggauss(200)
    cosine = (nodes + 1) / 2
    mirrored = float((weights * cosine * fresnel(cosine, ior)).sum())
    return 1 - (1 - mirrored) / ior**2


def below_coat(albedo: ArrayLike) -> Array:
    """Return what a surface of `albedo` reflects to light inside the coat."""
    seen: Array = np.asarray(albedo, dtype=float)
    back = turned_back()
    return seen / (1 - back + back * seen)


def above_coat(reflectance: ArrayLike) -> Array:
    """Return the albedo, mirrored light left out, of what reflects `reflectance` inside the coat."""
    inside: Array = np.asarray(reflectance, dtype=float)
    back = turned_back()
    return (1 - back) * inside / (1 - back * inside)


def under_film(ground: ArrayLike, absorption: ArrayLike, scatter: ArrayLike) -> Array:
    """Return the reflectance of a film over `ground`; `absorption` K X and `scatter` S X of its whole thickness X.

    The same as Kubelka's (1 - g (a - b coth(b S X))) / (a - g + b coth(b S X)), a = 1 + K / S and b^2 = a^2 - 1, but
    written by the film's own reflectance and transmittance, so that nothing is divided by a scatter of 0.
    """
    g, k, s = (np.asarray(each, dtype=float) for each in (ground, absorption, scatter))
    depth = np.sqrt(k * (k + 2 * s))
    slope = np.where(depth > 1e-6, np.tanh(depth) / np.maximum(depth, 1e-6), 1.0)
    weight = 1 + (k + s) * slope
    own, through = s * slope / weight, 1 / (np.cosh(depth) * weight)
    return np.asarray(own + through**2 * g / (1 - own * g))


def deepened(reflectance: ArrayLike, share: float) -> Array:
    """Return the reflectance of wood that has lost `share` of its scattering to oil between its fibres.

    A thick layer's K / S is (1 - R)^2 / 2 R (Kubelka and Munk); the wood absorbs as before, and scatters less.
    """
    found: Array = np.maximum(np.asarray(reflectance, dtype=float), 1e-4)
    ratio = (1 - found) ** 2 / (2 * found) / (1 - share)
    return np.asarray(1 + ratio - np.sqrt(ratio * ratio + 2 * ratio))


def finished(albedo: ArrayLike, stain: Stain, finish: Finish, depth: ArrayLike = 0.0) -> Array:
    """Return the linear RGB (..., 3) of wood with a stain and under a finish.

    albedo: of the wood under a clear water-borne coat. depth: (...,) 0 to 1, where 1 is a pore that fills with stain.
    """
    layers = 1 + (stain.pores - 1) * np.asarray(depth, dtype=float)[..., None]
    wood = deepened(below_coat(albedo), finish.deepening)
    coloured = under_film(wood, np.asarray(stain.absorption) * layers, np.asarray(stain.scatter) * layers)
    return np.clip(above_coat(under_film(coloured, finish.amber, 0.0)), 0, 1)
