"""Evenly spread directions over the half sphere above a surface; the same for every run."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@lru_cache(maxsize=8)
def even_points(count: int, dimensions: int) -> Array:
    """Return `count` (a power of two) points spread evenly in the unit cube, (count, dimensions).

    Sobol's sequence (1967), scrambled once with a fixed seed so that no point lies on an edge.
    """
    from scipy.stats.qmc import Sobol

    points = np.asarray(Sobol(dimensions, scramble=True, rng=20260101).random(count))
    points.setflags(write=False)
    return points


def cosine_directions(square: Array) -> Array:
    """Return directions about +z, as many per solid angle as their cosine, from points of the unit square; (n, 3)."""
    radius, turn = np.sqrt(square[:, 0]), 2 * np.pi * square[:, 1]
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), np.sqrt(1 - square[:, 0])], axis=-1)


def frames(normals: Array) -> Array:
    """Return for each unit normal (n, 3) a right-handed frame with it as third row, (n, 3, 3)."""
    upright = np.abs(normals[:, 2]) > 0.9
    other = np.where(upright[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
    first = np.cross(other, normals)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    return np.stack([first, np.cross(normals, first), normals], axis=1)
