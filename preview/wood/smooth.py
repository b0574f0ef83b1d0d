"""Smooth random fields over a face, the same whatever the size of its pixels.

A field is a uniform cubic B-spline over a lattice of normal deviates. The lattice is drawn along the grain first, so
that a longer board continues a shorter one instead of being another board.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]

# Mean over a cell of the sum of the squared cubic B-spline weights: the variance of a line over unit deviates.
SPLINE_VARIANCE = 151 / 315

# Products of matrices are done in blocks of at most so many multiplications: above 2**18 OpenBLAS starts threads of its
# own, which then fight with the ones that strips are drawn on.
BLOCK = 250_000


@dataclass(frozen=True)
class Grid:
    """The pixels of a face: its `size` (length, width) in metres, `density` in pixels a metre, `shape` (ny, nx)."""

    size: tuple[float, float]
    density: float
    shape: tuple[int, int]

    @cached_property
    def x(self) -> F32:
        """Middles (nx,) of the columns along the grain, metres."""
        return _middles(self.shape[1], self.density)

    @cached_property
    def y(self) -> F32:
        """Middles (ny,) of the rows across the face, metres."""
        return _middles(self.shape[0], self.density)

    @property
    def area(self) -> float:
        """Square metres."""
        return self.size[0] * self.size[1]

    @property
    def coarser(self) -> Grid:
        """The same face in pixels twice as large."""
        return Grid(self.size, self.density / 2, (self.shape[0] // 2, self.shape[1] // 2))


def _middles(count: int, density: float) -> F32:
    return (np.arange(count, dtype=np.float32) + np.float32(0.5)) / np.float32(density)


def make_grid(size: tuple[float, float], density: float) -> Grid:
    """Return the pixels of a face `size` (length, width) metres; an even number of rows and of columns."""
    nx, ny = (2 * max(round(side * density / 2), 1) for side in size)
    return Grid(size, density, (ny, nx))


def lattice_size(extent: float, cell: float) -> int:
    """Return how many places a lattice needs for points up to a little beyond `extent`, the same for every density."""
    return int(extent / cell + 0.25) + 5


@lru_cache(maxsize=64)  # a board's fields have a score of cells, and boards of a rack one grid
def spline_weights(count: int, density: float, cell: float) -> tuple[NDArray[np.int64], F32]:
    """Return the first of the four lattice places (p,) that the middles of `count` pixels in a row depend on, and their
    weights (p, 4)."""
    place = _middles(count, density).astype(np.float64) / cell
    first = np.floor(place).astype(np.int64)
    f = place - first
    weights = np.stack([(1 - f) ** 3, 3 * f**3 - 6 * f**2 + 4, -3 * f**3 + 3 * f**2 + 3 * f + 1, f**3], axis=1) / 6
    return first, weights.astype(np.float32)


def _along(deviates: F32, first: NDArray[np.int64], weights: F32) -> F32:
    """Return (p, ...) the lattice (n, ...) read at points along its first axis."""
    terms = (deviates[first + tap] * weights[:, tap].reshape(-1, *[1] * (deviates.ndim - 1)) for tap in range(4))
    return np.asarray(sum(terms), dtype=np.float32)


def smooth_line(rng: np.random.Generator, grid: Grid, cell: float) -> F32:
    """Return a smooth random function (nx,) of unit variance along a face, varying over about `cell` metres."""
    first, weights = spline_weights(grid.shape[1], grid.density, cell)
    deviates = rng.standard_normal(lattice_size(grid.size[0], cell), dtype=np.float32)
    return _along(deviates, np.minimum(first, len(deviates) - 4), weights) / np.float32(SPLINE_VARIANCE**0.5)


def smooth_field(rng: np.random.Generator, grid: Grid, cell_x: float, cell_y: float) -> F32:
    """Return a smooth random field (ny, nx) of unit variance over a face, varying over about the cell's sides."""
    (first_x, weights_x), (first_y, weights_y) = (
        spline_weights(count, grid.density, cell)
        for count, cell in zip(grid.shape[::-1], (cell_x, cell_y), strict=True)
    )
    shape = lattice_size(grid.size[0], cell_x), lattice_size(grid.size[1], cell_y)
    deviates = rng.standard_normal(shape, dtype=np.float32)
    lines = np.ascontiguousarray(_along(deviates, np.minimum(first_x, shape[0] - 4), weights_x).T)
    lines /= np.float32(SPLINE_VARIANCE)
    first_y = np.minimum(first_y, shape[1] - 4)
    ny, nx = grid.shape
    across = np.zeros((ny, len(lines)), dtype=np.float32)
    np.put_along_axis(across, first_y[:, None] + np.arange(4), weights_y, axis=1)
    field = np.zeros((ny, nx), dtype=np.float32)
    rows = max(BLOCK // lines.size, 1)
    for top in range(0, ny, rows):
        near, far = first_y[top], first_y[min(top + rows, ny) - 1] + 4
        np.matmul(across[top : top + rows, near:far], lines[near:far], out=field[top : top + rows])
    return field
