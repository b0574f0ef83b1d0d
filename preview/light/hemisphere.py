"""Evenly spread directions over the half sphere above a surface; the same for every run."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@lru_cache(maxsize=16)
def even_points(count: int, dimensions: int) -> Array:
    """Return `count` points spread evenly in the unit cube, none on its edge, (count, dimensions).

    The first coordinate runs in equal steps, the others by multiples of 1/g, 1/g^2 and so on, g the root over 1 of
    g^(d + 1) = g + 1 for the d others: for one the golden ratio, which makes a Fibonacci lattice (Kronecker's sequence;
    the choice of g: M. Roberts 2018, "The Unreasonable Effectiveness of Quasirandom Sequences").
    """
    others = dimensions - 1
    root = 2.0
    for _ in range(64):  # the fixed point of g = (1 + g)^(1 / (d + 1)), reached to the last bit
        root = (1 + root) ** (1 / (others + 1))
    step = root ** -np.arange(1.0, others + 1)
    turn = np.arange(count)[:, None]
    points = np.concatenate([(turn + 0.5) / count, (0.5 + turn * step) % 1.0], axis=1)
    points.setflags(write=False)
    return points


def cosine_directions(square: Array) -> Array:
    """Return directions about +z, as many per solid angle as their cosine, from points of the unit square; (n, 3)."""
    radius, turn = np.sqrt(square[:, 0]), 2 * np.pi * square[:, 1]
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), np.sqrt(1 - square[:, 0])], axis=-1)


def frames(normals: Array, turns: Array | None = None) -> Array:
    """Return for each unit normal (n, 3) a right-handed frame with it as third row, (n, 3, 3), turned about it by
    `turns` (n,), radians."""
    upright = np.abs(normals[:, 2]) > 0.9
    other = np.where(upright[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
    first = np.cross(other, normals)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(normals, first)
    if turns is not None:
        cos, sin = np.cos(turns)[:, None], np.sin(turns)[:, None]
        first, second = cos * first + sin * second, cos * second - sin * first
    return np.stack([first, second, normals], axis=1)
