"""The floor as patches: square blocks of the floor grid's texels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.floor_grid import FloorGrid

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class FloorCells:
    """Patches of the floor: middles (c, 3), areas (c,), `size` of a whole one, metres; `of_texel` (h, w) the cell
    of each texel (the nearest one off the floor); `texels` plan positions (k, 2) of lit texels sorted by cell, and
    `first` (c + 1,) where each cell's begin."""

    middles: Array
    areas: Array
    size: float
    of_texel: Ints
    texels: Array
    first: Ints
    origin: tuple[float, float]
    texel: float

    def at(self, x: Array, y: Array) -> Ints:
        """Return the cell at plan positions, or the nearest one."""
        height, width = self.of_texel.shape
        column = np.clip(((x - self.origin[0]) / self.texel).astype(np.int64), 0, width - 1)
        row = np.clip(((y - self.origin[1]) / self.texel).astype(np.int64), 0, height - 1)
        return np.asarray(self.of_texel[row, column])


def build_floor_cells(grid: FloorGrid, indoors: NDArray[np.bool_], size: float) -> FloorCells:
    """Return the floor's cells; `indoors` (h, w) marks texels of the room's own open floor."""
    from scipy.ndimage import distance_transform_edt

    step = max(1, round(size / grid.texel))
    rows, columns = np.indices(grid.shape)
    block = (rows // step) * (grid.shape[1] // step + 1) + columns // step
    named, cell = np.unique(block[indoors], return_inverse=True)
    full = np.zeros(grid.shape, dtype=np.int64)
    full[indoors] = cell
    nearest = distance_transform_edt(~indoors, return_distances=False, return_indices=True)
    x = grid.origin[0] + (columns[indoors] + 0.5) * grid.texel
    y = grid.origin[1] + (rows[indoors] + 0.5) * grid.texel
    order = np.argsort(cell, kind="stable")
    count = np.bincount(cell, minlength=len(named))
    middles = np.stack([np.bincount(cell, x) / count, np.bincount(cell, y) / count, np.zeros(len(named))], axis=-1)
    return FloorCells(
        middles,
        count * grid.texel**2,
        step * grid.texel,
        full[tuple(nearest)],
        np.stack([x, y], axis=-1)[order],
        np.concatenate([[0], np.cumsum(count)]),
        grid.origin,
        grid.texel,
    )
