"""Fresnel's equations for a smooth boundary between air and a clear material."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SHEEN = 0.04
"""What a rough boundary of n = 1.5 returns of light from all round: paint, stone and wood's share besides."""


def fresnel_polarised(cosine: ArrayLike, ior: float) -> tuple[Array, Array]:
    """Return the shares of light polarised across and along the plane of incidence that a boundary from air to `ior`
    mirrors, each (...); `cosine` (...) of the angle in air. M. Born and E. Wolf, Principles of Optics, section 1.5
    (from memory)."""
    c = np.asarray(cosine, dtype=float)
    inside = np.sqrt(1 - (1 - c * c) / ior**2)
    across = (c - ior * inside) / (c + ior * inside)
    along = (ior * c - inside) / (ior * c + inside)
    return np.asarray(across**2), np.asarray(along**2)


def fresnel(cosine: ArrayLike, ior: float) -> Array:
    """Return the same share of unpolarised light, (...)."""
    across, along = fresnel_polarised(cosine, ior)
    return (across + along) / 2
