"""What the floor does to light: wood of two albedos, that of the field and that of what is laid round it, under a clear
coat. A feature strip, narrower than the light's texels, counts with the border by its area."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.coat import Coat, coat_of
from preview.light.geometry.floor_cells import FloorCells
from preview.light.geometry.floor_grid import FloorGrid
from preview.model.model import Model

Array = NDArray[np.float64]

STEP = 0.01  # albedos are told apart by so much of themselves, so that layouts of one wood share their light


@dataclass(frozen=True, eq=False)
class FloorFinish:
    """Albedos (3,) of the wood in the polygon `field` and of the border and the feature strip outside it, and the coat
    over both."""

    albedo: Array
    border: Array
    field: Polygon | MultiPolygon | None
    coat: Coat

    def on_grid(self, grid: FloorGrid) -> Array:
        """Return the albedo of each texel, (h, w, 3)."""
        if self.field is None:
            return np.tile(self.albedo, (*grid.shape, 1))
        inside = shapely.contains_xy(self.field, *grid.middles()) | grid.next_room
        return np.where(inside[..., None], self.albedo, self.border)

    def reflectance(self, albedo: Array) -> Array:
        """Return what of light from all round is sent back by wood of some albedo (..., 3) and the coat over it."""
        return albedo * self.coat.mean_passed + self.coat.mean_mirrored


def finish_of(model: Model) -> FloorFinish:
    """Return the finish of a model's floor, its albedos rounded to steps of `STEP`."""
    first, second = (
        np.exp(np.round(np.log(np.maximum(each, 1e-3)) / STEP) * STEP)
        for each in (np.asarray(model.floor_albedo, float), np.asarray(model.border_albedo, float))
    )
    return FloorFinish(first, second, model.field, coat_of(*model.coat))


def cell_mean(cells: FloorCells, grid: Array) -> Array:
    """Return the mean over each floor cell of a grid (h, w, k), (cells, k)."""
    row, column = (((cells.texels[:, axis] - cells.origin[axis]) / cells.texel).astype(np.int64) for axis in (1, 0))
    return np.asarray(np.add.reduceat(grid[row, column], cells.first[:-1], axis=0) / np.diff(cells.first)[:, None])
