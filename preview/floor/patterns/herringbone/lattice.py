"""The herringbone lattice: which boards there are.

In board axes (x, y), turned 45 degrees to the run, every right-leaning board is H = [0, L] x [0, W] and every
left-leaning one V = [-W, 0] x [0, L], moved by whole multiples of a = (W, W), one pair along the run, and
b = (L, -L), two courses across. H and V share the corner (0, 0): these corners follow one straight line, the
chalk line. Along the run r = (x + y) / sqrt2 and across it, to the right, c = (x - y) / sqrt2.

A seam between two courses is a zigzag between c = -W / sqrt2 and c = 0 (then every L / sqrt2), so its middle lies
W / (2 sqrt2) left of the corners. Mirrored in that middle and moved W / sqrt2 along the run, the pattern falls on
itself; there is no mirror without the move (plane group pgg).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.distinct import distinct
from preview.vectors import axes

Array = NDArray[np.float64]
ROOT2 = float(np.sqrt(2))


@dataclass(frozen=True)
class Lattice:
    """A placed lattice: `origin` the shared corner of pair 0, `run` radians; `width` and `length` are the board's
    with its joint (the pitch), metres."""

    origin: tuple[float, float]
    run: float
    width: float
    length: float

    def frame(self) -> Array:
        """Unit vectors along the run and across it to the right, rows of (2, 2)."""
        return axes(self.run)

    def axes(self) -> Array:
        """Unit board axes x (right-leaning) and y (left-leaning), rows of (2, 2)."""
        along, across = self.frame()
        return np.array([along + across, along - across]) / ROOT2

    def corners(self, pair: NDArray[np.int_], cell: NDArray[np.int_]) -> Array:
        """Plan position (n, 2) of the corner that the two boards of pair `pair` (n,) in cell `cell` (n,) share."""
        step = np.stack([self.width * pair + self.length * cell, self.width * pair - self.length * cell], axis=-1)
        corners: Array = np.asarray(self.origin) + step @ self.axes()
        return corners


@dataclass(frozen=True, eq=False)
class Places:
    """n places in a lattice, (n,) each: pair along the run, cell across, lean 0 (left, V) or 1 (right, H)."""

    pair: NDArray[np.int_]
    cell: NDArray[np.int_]
    lean: NDArray[np.int_]

    def __len__(self) -> int:
        return len(self.pair)


def covering(lattice: Lattice, region: BaseGeometry) -> Places:
    """Return the places of all boards that may meet `region`: those whose box in run axes meets a part's box."""
    found = []
    for part in shapely.get_parts(region):
        points = (shapely.get_coordinates(part) - lattice.origin) @ lattice.frame().T
        (low_r, low_c), (high_r, high_c) = points.min(axis=0), points.max(axis=0)
        narrow, long = lattice.width / ROOT2, lattice.length / ROOT2
        for lean, low, high, left, right in (
            (0, -narrow, long, -narrow - long, 0.0),
            (1, 0.0, narrow + long, -narrow, long),
        ):
            pairs = _steps(low_r - high, high_r - low, ROOT2 * lattice.width)
            cells = _steps(low_c - right, high_c - left, ROOT2 * lattice.length)
            grid = np.meshgrid(pairs, cells, indexing="ij")
            found.append(np.stack([*(axis.ravel() for axis in grid), np.full(grid[0].size, lean)]))
    places = np.concatenate(found, axis=1).astype(int)
    return Places(*(places if shapely.get_num_geometries(region) == 1 else distinct(places, axis=1)))


def _steps(low: float, high: float, step: float) -> Array:
    """Whole multiples of `step` from `low` to `high`, as numbers of steps."""
    return np.arange(np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9) + 1)
