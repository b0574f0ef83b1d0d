"""The balance of light between patches: B = rho (E0 + F B)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]


def solve_irradiance(
    factors: csr_array, reflectance: Array, direct: Array, areas: Array, share: Array, tolerance: float = 1e-4
) -> Array:
    """Return the irradiance of every patch, E = E0 + F B with B = rho E + s (mean of B over the surfaces), (p, c).

    factors (p, p) with A_i F_ij = A_j F_ji by the areas A (p,), reflectance rho (p, c) below 1, direct E0 (p, c);
    `share` s (p,) is zero for surfaces, and for the curtain of a next room, whose rho is 0, how brightly that is lit
    beside the mean of this one, below 1. Light is linear: it is found once with the curtains dark and once from
    curtains of radiosity s, which are then as bright as the mean of both together makes them.
    """
    if not share.any():
        return direct + factors @ _balanced(factors, reflectance, direct, areas, tolerance)
    surface = np.where(share > 0, 0.0, areas)
    from_curtains = np.repeat((factors @ share)[:, None], direct.shape[1], axis=1)
    both = np.concatenate([direct, from_curtains], axis=1)
    radiosity = _balanced(factors, np.tile(reflectance, 2), both, areas, tolerance)
    own, lent = np.split(radiosity, 2, axis=1)
    level = mean_radiosity(own, surface) / (1 - mean_radiosity(lent, surface))
    return direct + factors @ (own + level * lent) + level * from_curtains


def _balanced(factors: csr_array, reflectance: Array, direct: Array, areas: Array, tolerance: float) -> Array:
    """Return the radiosity B (p, c) where B / rho - F B = E0, to within `tolerance` of each channel's largest E0.

    Times the areas that is a symmetric positive system, since A_i F_ij = A_j F_ji, and is solved by conjugate gradients
    (Hestenes and Stiefel 1952), each channel by itself, with rho / A for preconditioner. Raises ArithmeticError where
    it does not settle, which no reflectance below 1 can bring about.
    """
    weight = areas[:, None] * reflectance
    gives = weight > 0
    inverse = np.divide(1.0, reflectance, out=np.zeros_like(reflectance), where=gives)
    radiosity = np.zeros_like(direct)
    missing = np.where(gives, direct, 0.0)  # of the irradiance, what the radiosity does not answer to yet
    least = tolerance * np.abs(direct).max(axis=0, initial=0)
    way, before = np.zeros_like(direct), np.ones(direct.shape[1])
    for _ in range(2000):
        if (np.abs(missing).max(axis=0, initial=0) <= least).all():
            return radiosity
        now = (weight * missing**2).sum(axis=0)
        way = reflectance * missing + now / before * way
        turned = inverse * way - factors @ way
        step = now / np.maximum((areas[:, None] * way * turned).sum(axis=0), 1e-300)
        radiosity += step * way
        missing -= step * np.where(gives, turned, 0.0)
        before = np.maximum(now, 1e-300)
    raise ArithmeticError("light between the room's surfaces does not come to rest")


def mean_radiosity(radiosity: Array, areas: Array) -> Array:
    """Return the mean of a radiosity (p, c) over surfaces of `areas` (p,), (c,)."""
    return np.asarray((radiosity * areas[:, None]).sum(axis=0) / max(float(areas.sum()), 1e-300))
