"""The balance of light between patches: B = rho (E0 + F B)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]


def solve_irradiance(
    factors: csr_array, reflectance: Array, direct: Array, areas: Array, share: Array, tolerance: float = 1e-5
) -> Array:
    """Return the irradiance of every patch, E = E0 + F B with B = rho E + s (mean of B over the surfaces), (p, c).

    factors (p, p), reflectance (p, c) below 1, direct E0 (p, c); `share` s (p,) is zero for surfaces, and for the
    curtain of a next room how brightly that is lit beside the mean of this one, below 1. Iterated (Jacobi's way)
    until the largest change is under `tolerance` of the largest value. Raises ArithmeticError where it does not
    settle, which no reflectance below 1 can bring about.
    """
    surface = np.where(share > 0, 0.0, areas)
    weight = (surface / max(surface.sum(), 1e-300))[:, None]
    irradiance = direct.copy()
    for _ in range(2000):
        radiosity = reflectance * irradiance
        radiosity += share[:, None] * (weight * radiosity).sum(axis=0)
        following = direct + factors @ radiosity
        change = np.abs(following - irradiance).max()
        irradiance = following
        if change <= tolerance * max(float(np.abs(irradiance).max()), 1e-300):
            return irradiance
    raise ArithmeticError("light between the room's surfaces does not come to rest")


def mean_radiosity(radiosity: Array, areas: Array) -> Array:
    """Return the mean of a radiosity (p, c) over surfaces of `areas` (p,), (c,)."""
    return np.asarray((radiosity * areas[:, None]).sum(axis=0) / max(float(areas.sum()), 1e-300))
