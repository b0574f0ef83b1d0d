"""The floor as a grid of texels, and the fewer points at which its light is computed.

Light on a floor is smooth away from what stands on it. It is computed at every texel near walls and obstacles, and
at every fourth texel each way elsewhere, the rest being interpolated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.shell import Shell, is_beyond
from preview.model.model import Model
from preview.room.room import Room

Array = NDArray[np.float64]

FINEST, MOST_TEXELS = 0.025, 60_000
STRIDE = 4
NEAR = 9  # texels from an edge within which every one is computed


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

    def spread(self, values: Array, hidden: NDArray[np.bool_] | None = None) -> Array:
        """Return values at the points (n, c) as a full grid (h, w, c); points `hidden` (n,) take their neighbours'."""
        from scipy.ndimage import distance_transform_edt

        height, width = self.shape
        flat = np.full((height * width, values.shape[1]), np.nan)
        flat[self.where] = values
        lit = self.lit
        if hidden is not None and not hidden.all():
            flat[self.where[hidden]] = np.nan
            lit = lit.copy()
            lit.ravel()[self.where[hidden]] = False
        grid: Array = flat.reshape(height, width, -1)
        exact = ~np.isnan(grid[..., 0])
        if not exact.all():
            coarse = grid[::STRIDE, ::STRIDE]
            known = ~np.isnan(coarse[..., 0])
            nearest = distance_transform_edt(~known, return_distances=False, return_indices=True)
            coarse = coarse[tuple(nearest)]
            grid = np.where(exact[..., None], grid, _bilinear(coarse, self.shape))
        # What stands on the floor takes the light of the floor beside it, for texels half under an edge.
        nearest = distance_transform_edt(~lit, return_distances=False, return_indices=True)
        return np.asarray(grid[tuple(nearest)])


def _bilinear(coarse: Array, shape: tuple[int, int]) -> Array:
    def weights(count: int, most: int) -> tuple[NDArray[np.int64], NDArray[np.int64], Array]:
        at = np.arange(count) / STRIDE
        low = np.minimum(at.astype(np.int64), most - 1)
        return low, np.minimum(low + 1, most - 1), at - low

    y0, y1, t = weights(shape[0], coarse.shape[0])
    x0, x1, s = weights(shape[1], coarse.shape[1])
    s, t = s[None, :, None], t[:, None, None]
    low = coarse[y0][:, x0] * (1 - s) + coarse[y0][:, x1] * s
    high = coarse[y1][:, x0] * (1 - s) + coarse[y1][:, x1] * s
    return np.asarray(low * (1 - t) + high * t)


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
    wanted = inside & (from_edge <= NEAR)
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
