"""The floor as a grid of texels, and the fewer points at which its light is computed.

Light on a floor is smooth away from what stands on it. It is computed at every texel near walls and obstacles, and
at every fourth texel each way elsewhere, the rest being interpolated.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.geometry.shell import Shell, is_beyond
from preview.model.model import Model
from preview.room.room import Room

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]

FINEST, MOST_TEXELS = 0.025, 160_000  # metres; of a hall of 1,000 m2 a texel is then 0.083 m
# Beside every texel the floor keeps to 0.9 %, every eighth to 1.3 %; beside 0.5 m from edges to 0.8 %, 0.1 m to 1.1 %
# (tests/benchmarks/convergence.py).
STRIDE = 4
SQUARE = np.array([(0, 0), (0, 1), (1, 0), (1, 1)])
NEAR, NEAR_TEXELS = 0.225, 4  # metres from an edge, and texels at least, within which every one is computed


@dataclass(frozen=True, eq=False)
class FloorGrid:
    """Texels of the floor: `origin` plan position of the first one's lower left corner, `texel` side, `shape` (h, w).

    `lit` (h, w) marks open floor, here and in next rooms, `next_room` (h, w) that of the latter. Light is computed at
    `points` (n, 3), `beyond` (n,) whether in a next room, `where` (n,) flat index of each one's texel.
    """

    origin: tuple[float, float]
    texel: float
    shape: tuple[int, int]
    lit: NDArray[np.bool_]
    next_room: NDArray[np.bool_]
    points: Array
    beyond: NDArray[np.bool_]
    where: NDArray[np.int64]

    def middles(self) -> tuple[Array, Array]:
        """Return the plan positions x and y of the texels' middles, each (h, w)."""
        height, width = self.shape
        x = self.origin[0] + (np.arange(width) + 0.5) * self.texel
        x, y = np.meshgrid(x, self.origin[1] + (np.arange(height) + 0.5) * self.texel)
        return x, y

    def upsample(self, hidden: NDArray[np.bool_]) -> csr_array:
        """Return what turns values at the points (n, c) into those of all texels (h * w, c), row after row; points
        `hidden` (n,) take their neighbours'."""
        from scipy.ndimage import distance_transform_edt
        from scipy.sparse import csr_array

        height, width = self.shape
        shown = np.flatnonzero(~hidden if not hidden.all() else hidden)
        point, lit = np.full(self.shape, -1), self.lit.copy()
        lit.ravel()[self.where] = False
        lit.ravel()[self.where[shown]] = True
        point.ravel()[self.where[shown]] = shown
        # What stands on the floor takes the light of the floor beside it, for texels half under an edge.
        row, column = distance_transform_edt(~lit, return_distances=False, return_indices=True)
        exact = point[row, column]

        coarse = point[::STRIDE, ::STRIDE]
        coarse = coarse[tuple(distance_transform_edt(coarse < 0, return_distances=False, return_indices=True))]
        place = np.stack([row, column], axis=-1)[..., None, :] / STRIDE
        low = place.astype(np.int64)
        y, x = np.moveaxis(np.minimum(low + SQUARE, np.array(coarse.shape) - 1), -1, 0)
        weight = np.where(SQUARE, place - low, 1 - (place - low)).prod(axis=-1)
        index = coarse[y, x]
        index[exact >= 0, 0] = exact[exact >= 0]
        weight[exact >= 0] = (1, 0, 0, 0)
        used = weight.reshape(-1, 4) > 0
        begins = np.concatenate([[0], np.cumsum(used.sum(axis=1))])
        each = weight.reshape(-1, 4)[used], index.reshape(-1, 4)[used].astype(np.int32), begins.astype(np.int32)
        return csr_array(each, shape=(height * width, len(self.where)))


def open_floor(room: Room) -> Polygon | MultiPolygon:
    """Return the floor that is seen from above: neither under a baseboard nor under what stands on it."""
    seen: Polygon | MultiPolygon = room.floor.intersection(
        room.outline.buffer(-(room.baseboard + 1e-3), join_style="mitre")
    )
    for each in room.obstacles:
        seen = seen.difference(each.polygon.buffer(each.baseboard + 1e-3, join_style="mitre"))
    return seen


def build_floor_grid(model: Model, room: Room, shell: Shell) -> FloorGrid:
    """Return the grid over the room's floor and whatever floor of next rooms the shell shows."""
    from scipy.ndimage import distance_transform_edt

    plan = shell.corners[shell.beyond][..., :2].reshape(-1, 2)
    xmin, ymin, xmax, ymax = room.outline.bounds
    low = np.minimum((xmin, ymin), plan.min(axis=0, initial=np.inf))
    high = np.maximum((xmax, ymax), plan.max(axis=0, initial=-np.inf))
    texel = max(FINEST, float(np.sqrt(np.prod(high - low) / MOST_TEXELS)))
    width, height = (int(np.ceil(each / texel - 1e-9)) for each in high - low)
    x = low[0] + (np.arange(width) + 0.5) * texel
    y = low[1] + (np.arange(height) + 0.5) * texel
    points = np.stack([*np.meshgrid(x, y), np.full((height, width), 1e-3)], axis=-1)
    inside = shapely.contains_xy(open_floor(room), points[..., 0], points[..., 1])
    beyond = is_beyond(points.reshape(-1, 3), model.panes, room).reshape(height, width)
    from_edge = distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    wanted = inside & (from_edge <= max(NEAR / texel, NEAR_TEXELS))
    wanted[::STRIDE, ::STRIDE] |= (inside | beyond)[::STRIDE, ::STRIDE]
    where = np.flatnonzero(wanted)
    return FloorGrid(
        (float(low[0]), float(low[1])),
        texel,
        (height, width),
        inside | beyond,
        beyond,
        points.reshape(-1, 3)[where],
        beyond.reshape(-1)[where],
        where,
    )
