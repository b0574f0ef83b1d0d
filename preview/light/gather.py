"""What each point sees in many directions: the last gather, kept as entries of the table of radiosities."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.hemisphere import cosine_directions, even_points, frames
from preview.light.surroundings import Surroundings
from preview.light.visibility import RAYS_AT_ONCE, in_threads

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Views:
    """entries (n, k) of the table of radiosities that each point sees along k directions spread by their cosine, so
    that the mean of their radiosities is the point's irradiance; backs (n,) part of them that meets a back."""

    entries: NDArray[np.unsignedinteger]
    backs: Array

    def irradiance(self, table: Array, weigh: Callable[[slice], NDArray[np.float32]] | None = None) -> Array:
        """Return the irradiance of each point from a table of radiosities (m, 3); (n, 3). `weigh` gives what each ray
        of the points in a slice counts, (points, k), 1 where None."""
        rays = self.entries.shape[1]
        table = np.ascontiguousarray(table, dtype=np.float32)

        def work(part: slice) -> Array:
            seen = self.entries[part]
            each = np.ones(rays, np.float32) if weigh is None else weigh(part)
            kind = "pk,k->p" if each.ndim == 1 else "pk,pk->p"
            found = [np.einsum(kind, table[:, c][seen], each) for c in range(table.shape[1])]
            return np.stack(found, axis=-1).astype(np.float64) / rays

        return np.concatenate([np.zeros((0, 3)), *in_threads(work, len(self.entries), 2000)])

    def heights(self, normals: Array) -> NDArray[np.float32]:
        """Return the height of each ray's direction, from points with normals (n, 3); (n, k)."""
        local = cosine_directions(even_points(self.entries.shape[1], 2)).astype(np.float32)
        return np.asarray(frames(normals)[:, :, 2].astype(np.float32) @ local.T)

    def vector(self, brightness: Array) -> Array:
        """Return the mean of direction times `brightness` (m,) of the table, for points that face up; (n, 3)."""
        directions = cosine_directions(even_points(self.entries.shape[1], 2)).astype(np.float32)
        turned = directions @ frames(np.array([[0.0, 0.0, 1.0]]))[0].astype(np.float32)
        bright = np.asarray(brightness, dtype=np.float32)
        parts = in_threads(lambda part: bright[self.entries[part]] @ turned, len(self.entries), 2000)
        return np.concatenate([np.zeros((0, 3)), *parts]) / self.entries.shape[1]


def look_round(
    around: Surroundings,
    starts: Callable[[NDArray[np.int64], int], Array],
    normals: Array,
    beyond: NDArray[np.bool_],
    rays: int,
) -> Views:
    """Return what points with normals (n, 3) see above them along `rays` directions. `starts` gives where the rays of
    points (k,) start, a hair off their surfaces, (k, rays, 3) or (k, 1, 3)."""
    local = cosine_directions(even_points(rays, 2))
    kind = np.uint16 if around.next_room < 65535 else np.uint32
    entries = np.zeros((len(normals), rays), dtype=kind)
    backs = np.zeros(len(normals))
    for side in (False, True):
        chosen = np.flatnonzero(beyond == side)

        def work(part: slice, chosen: NDArray[np.int64] = chosen, side: bool = side) -> None:
            mine = chosen[part]
            directions = np.einsum("rj,njk->nrk", local, frames(normals[mine])).reshape(-1, 3)
            origins = np.broadcast_to(starts(mine, rays), (len(mine), rays, 3)).reshape(-1, 3)
            entry, patch = around.meet(origins, directions, side, _dither(len(mine), rays))
            entries[mine] = entry.reshape(len(mine), rays)
            backs[mine] = (patch == -2).reshape(len(mine), rays).mean(axis=1)

        in_threads(work, len(chosen), max(1, RAYS_AT_ONCE // rays))
    return Views(entries, backs)


def _dither(points: int, rays: int) -> Array:
    """Return even numbers in 0 to 1 for each ray of each point, (n * rays, 2), by multiples of square roots: not of the
    golden ratio, which the rays' own directions follow."""
    ray, point = np.arange(rays)[:, None], np.arange(points)[:, None, None]
    turn = np.sqrt([2.0, 3.0]) * ray + np.sqrt([5.0, 7.0]) * point
    return np.asarray((0.5 + turn) % 1.0).reshape(-1, 2)
