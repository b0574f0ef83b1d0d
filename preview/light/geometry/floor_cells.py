"""The floor as patches: square blocks of the floor grid's texels; and finer ones, tiles, as rays find it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.light.geometry.floor_grid import FloorGrid

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

TILE = 4  # tiles along a cell


@dataclass(frozen=True, eq=False)
class FloorCells:
    """Patches of the floor: middles (c, 3), areas (c,), `size` of a whole one, metres.

    `of_texel` (h, w) is the cell of each texel of the floor grid (the nearest one off the open floor), `walled` (h, w)
    marks texels within the room's walls; `texels` (k, 2) are plan positions of open texels sorted by cell, `first`
    (c + 1,) where each cell's begin. `tile` texels a side make a tile, `tiles` (rows, columns) cover the grid.
    """

    middles: Array
    areas: Array
    size: float
    of_texel: Ints
    walled: NDArray[np.bool_]
    texels: Array
    first: Ints
    origin: tuple[float, float]
    texel: float
    tile: int

    @property
    def tiles(self) -> tuple[int, int]:
        """How many tiles cover the grid: rows, columns."""
        height, width = self.of_texel.shape
        return -(-height // self.tile), -(-width // self.tile)

    def tile_at(self, place: Array) -> Ints:
        """Return the number of the tile at plan positions (n, 2), or of the nearest one."""
        row, column = self._index(place)
        return np.asarray(row // self.tile * self.tiles[1] + column // self.tile)

    @cached_property
    def tile_means(self) -> csr_array:
        """What makes of values on the grid's texels, row by row, their means on the tiles, (tiles, h * w): a tile that
        reaches over the grid's edge repeats what lies there."""
        from scipy.sparse import csr_array

        height, width = self.of_texel.shape
        row, column = (np.arange(count * self.tile).reshape(count, self.tile) for count in self.tiles)
        index = np.minimum(row, height - 1)[:, None, :, None] * width + np.minimum(column, width - 1)[None, :, None, :]
        starts = np.arange(0, index.size + 1, self.tile**2)
        shares = np.full(index.size, 1 / self.tile**2)
        return csr_array((shares, index.ravel(), starts), shape=(len(starts) - 1, height * width))

    def on_tiles(self, values: Array) -> Array:
        """Return the mean on each tile of values on the grid (h, w, k), (tiles, k)."""
        return np.asarray(self.tile_means @ values.reshape(-1, values.shape[2]))

    def at(self, place: Array) -> Ints:
        """Return the cell at plan positions (n, 2), or the nearest one."""
        return np.asarray(self.of_texel[self._index(place)])

    def within(self, place: Array) -> NDArray[np.bool_]:
        """Return whether plan positions (n, 2) lie within the room's walls, on its floor or under what stands there."""
        low = np.asarray(self.origin)
        high = low + np.array(self.of_texel.shape[::-1]) * self.texel
        return np.asarray(self.walled[self._index(place)] & (place >= low).all(axis=1) & (place <= high).all(axis=1))

    def _index(self, place: Array) -> tuple[Ints, Ints]:
        height, width = self.of_texel.shape
        column = np.clip((place[:, 0] - self.origin[0]) / self.texel, 0, width - 1).astype(np.int64)
        row = np.clip((place[:, 1] - self.origin[1]) / self.texel, 0, height - 1).astype(np.int64)
        return row, column


def build_floor_cells(grid: FloorGrid, outline: Polygon, size: float) -> FloorCells:
    """Return the floor's cells."""
    from scipy.ndimage import distance_transform_edt

    indoors = grid.lit & ~grid.next_room
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
        np.asarray(count * grid.texel**2, dtype=np.float64),
        step * grid.texel,
        full[tuple(nearest)],
        shapely.contains_xy(outline, *grid.middles()),
        np.stack([x, y], axis=-1)[order],
        np.concatenate([[0], np.cumsum(count)]),
        grid.origin,
        grid.texel,
        max(2, int(np.ceil(size / TILE / grid.texel - 1e-6))),
    )
