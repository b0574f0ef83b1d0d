"""Smooth random fields on a grid, the same whatever the grid's pixel size.

A field is a uniform cubic B-spline over a lattice of normal deviates. The lattice is drawn along the grain first, so
that a longer board continues a shorter one instead of being another board.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]

# Mean over a cell of the sum of the squared cubic B-spline weights: the variance of a line over unit deviates.
SPLINE_VARIANCE = 151 / 315

# Products of matrices are done in blocks of at most so many multiplications: above 2**18 OpenBLAS starts threads of its
# own, which then fight with the ones that strips are drawn on.
BLOCK = 250_000


def spline_weights(points: F32, cell: float) -> tuple[NDArray[np.int64], F32]:
    """Return the first of the four lattice places (p,) that points (p,) >= 0 depend on, and their weights (p, 4)."""
    place = np.asarray(points, dtype=np.float64) / cell
    first = np.floor(place).astype(np.int64)
    f = place - first
    weights = np.stack([(1 - f) ** 3, 3 * f**3 - 6 * f**2 + 4, -3 * f**3 + 3 * f**2 + 3 * f + 1, f**3], axis=1) / 6
    return first, weights.astype(np.float32)


def _along(deviates: F32, first: NDArray[np.int64], weights: F32) -> F32:
    """Return (p, ...) the lattice (n, ...) read at points along its first axis."""
    terms = (deviates[first + tap] * weights[:, tap].reshape(-1, *[1] * (deviates.ndim - 1)) for tap in range(4))
    return np.asarray(sum(terms), dtype=np.float32)


def smooth_line(rng: np.random.Generator, x: F32, cell: float) -> F32:
    """Return a smooth random function (p,) of unit variance at x (p,) >= 0, varying over about `cell`."""
    first, weights = spline_weights(x, cell)
    deviates = rng.standard_normal(int(first.max()) + 4, dtype=np.float32)
    return _along(deviates, first, weights) / np.float32(SPLINE_VARIANCE**0.5)


def smooth_field(rng: np.random.Generator, x: F32, y: F32, cell_x: float, cell_y: float) -> F32:
    """Return a smooth random field (len(y), len(x)) of unit variance; x, y >= 0 ascending."""
    (first_x, weights_x), (first_y, weights_y) = spline_weights(x, cell_x), spline_weights(y, cell_y)
    deviates = rng.standard_normal((int(first_x.max()) + 4, int(first_y.max()) + 4), dtype=np.float32)
    lines = np.ascontiguousarray(_along(deviates, first_x, weights_x).T) / np.float32(SPLINE_VARIANCE)
    across = np.zeros((len(y), len(lines)), dtype=np.float32)
    np.put_along_axis(across, first_y[:, None] + np.arange(4), weights_y, axis=1)
    field = np.zeros((len(y), len(x)), dtype=np.float32)
    rows = max(BLOCK // lines.size, 1)
    for top in range(0, len(y), rows):
        near, far = first_y[top], first_y[min(top + rows, len(y)) - 1] + 4
        np.matmul(across[top : top + rows, near:far], lines[near:far], out=field[top : top + rows])
    return field
