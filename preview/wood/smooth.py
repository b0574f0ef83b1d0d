"""Smooth random fields on a grid, the same whatever the grid's pixel size.

A field is a uniform cubic B-spline over a lattice of normal deviates. The lattice is drawn along the grain first, so
that a longer board continues a shorter one instead of being another board.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]

# Mean over one cell of the sum of the squared cubic B-spline weights, exactly 151/315: the variance of a field over unit deviates.
SPLINE_VARIANCE = 151 / 315


def spline_basis(points: F32, cell: float) -> F32:
    """Return the (p, n) weights of n lattice values `cell` apart, the first at -cell, at the points (p,) >= 0."""
    place = np.asarray(points, dtype=np.float64) / cell
    first = np.floor(place).astype(np.int64)
    f = place - first
    weights = np.stack([(1 - f) ** 3, 3 * f**3 - 6 * f**2 + 4, -3 * f**3 + 3 * f**2 + 3 * f + 1, f**3], axis=1) / 6
    basis = np.zeros((len(place), int(first.max()) + 4), dtype=np.float32)
    np.put_along_axis(basis, first[:, None] + np.arange(4), weights.astype(np.float32), axis=1)
    return basis


def smooth_line(rng: np.random.Generator, x: F32, cell: float) -> F32:
    """Return a smooth random function (p,) of unit variance at x (p,) >= 0, varying over about `cell`."""
    basis = spline_basis(x, cell)
    deviates = rng.standard_normal(basis.shape[1], dtype=np.float32)
    return basis @ deviates / np.float32(SPLINE_VARIANCE**0.5)


def smooth_field(rng: np.random.Generator, x: F32, y: F32, cell_x: float, cell_y: float) -> F32:
    """Return a smooth random field (len(y), len(x)) of unit variance; x, y >= 0."""
    along, across = spline_basis(x, cell_x), spline_basis(y, cell_y)
    deviates = rng.standard_normal((along.shape[1], across.shape[1]), dtype=np.float32)
    return (across @ (deviates.T @ along.T)) / np.float32(SPLINE_VARIANCE)
