"""The final gather: what each point sees in many directions, as entries of the table of radiosities.

Radiosity between patches is coarse; the last bounce is gathered by rays from every node and floor point instead
(M. C. Reichert 1992, "A two-pass radiosity method driven by lights and viewer position"; reference from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.ray_tracing import RAYS_AT_ONCE, in_threads
from preview.light.geometry.surroundings import Surroundings
from preview.light.hemisphere import cosine_directions, even_points, frames

Array = NDArray[np.float64]

NEAREST, FARTHEST = 1e-3, 1e3  # metres: what distances are held between before their reciprocals are taken
ROWS = 250_000  # of the table, looked up at once: what a processor's cache holds


@dataclass(frozen=True, eq=False)
class FinalGather:
    """entries (n, k) of the table of radiosities that are seen along k directions spread by their cosine, so that the
    mean of their radiosities is the irradiance of the `point` (n,) where they start: one point may have several rows,
    each with its directions turned about the normal by `turns` (n,). backs (n,) is the part of them that meets a back,
    reach (n,) the harmonic mean of how far they go, metres."""

    entries: NDArray[np.unsignedinteger]
    point: NDArray[np.int64]
    turns: Array
    backs: Array
    reach: Array

    def gather(self, table: Array, weights: Array) -> Array:
        """Return what each row receives from a table of radiosities (m, 3) where its rays count by weights (w, k),
        for each of those; weights of 1 give the irradiance. (n, w, 3)."""
        rays = self.entries.shape[1]
        rows = np.zeros((len(table), 4), np.float32)  # rows of sixteen bytes are copied in one go
        rows[:, :3] = table
        shares = (weights / rays).astype(np.float32)
        parts = in_threads(lambda part: shares @ rows.take(self.entries[part], axis=0), len(self.entries), ROWS // rays)
        return np.concatenate([np.zeros((0, len(weights), 4)), *parts])[..., :3]

    def first(self, count: int) -> FinalGather:
        """Return the first `count` rows."""
        return FinalGather(*(getattr(self, each.name)[:count] for each in fields(self)))

    def at_points(self, values: Array, count: int) -> Array:
        """Return the mean at each of `count` points of what its rows have found, (n, c); (count, c)."""
        total = np.stack([np.bincount(self.point, each, count) for each in values.T], axis=-1)
        return np.asarray(total / np.maximum(np.bincount(self.point, minlength=count), 1)[:, None])

    def directions(self) -> Array:
        """Return the directions of the rays in a row's own frame (see `frames`), (k, 3)."""
        return cosine_directions(even_points(self.entries.shape[1], 2))


def trace_gather(
    around: Surroundings,
    starts: Callable[[NDArray[np.int64], int], Array],
    normals: Array,
    beyond: NDArray[np.bool_],
    rays: int,
    point: NDArray[np.int64],
    turns: Array,
) -> FinalGather:
    """Return what points with normals (m, 3) see above them along `rays` directions a row, of rows at `point` (n,)
    turned by `turns` (n,). `starts` gives where the rays of points (k,) start, a hair off their surfaces, (k, rays, 3)
    or (k, 1, 3)."""
    local = cosine_directions(even_points(rays, 2))
    kind = np.uint16 if around.next_room < 65535 else np.uint32
    entries = np.zeros((len(point), rays), dtype=kind)
    backs, nearness = np.zeros(len(point)), np.zeros(len(point))
    for side in (False, True):
        chosen = np.flatnonzero(beyond[point] == side)

        def work(part: slice, chosen: NDArray[np.int64] = chosen, side: bool = side) -> None:
            mine = chosen[part]
            turned = frames(normals[point[mine]], turns[mine])
            directions = np.einsum("rj,njk->nrk", local, turned).reshape(-1, 3)
            origins = np.broadcast_to(starts(point[mine], rays), (len(mine), rays, 3)).reshape(-1, 3)
            entry, patch, distance = around.meet(origins, directions, side, _dither(len(mine), rays))
            entries[mine] = entry.reshape(len(mine), rays)
            backs[mine] = (patch == -2).reshape(len(mine), rays).mean(axis=1)
            nearness[mine] = (1 / np.maximum(distance, NEAREST)).reshape(len(mine), rays).mean(axis=1)

        in_threads(work, len(chosen), max(1, RAYS_AT_ONCE // rays))
    return FinalGather(entries, point, turns, backs, 1 / np.maximum(nearness, 1 / FARTHEST))


def joined(one: FinalGather, other: FinalGather) -> FinalGather:
    """Return the rows of both."""
    return FinalGather(*(np.concatenate([getattr(each, f.name) for each in (one, other)]) for f in fields(one)))


def _dither(points: int, rays: int) -> Array:
    """Return even numbers in 0 to 1 for each ray of each point, (n * rays, 2), by multiples of square roots: not of the
    golden ratio, which the rays' own directions follow."""
    ray, point = np.arange(rays)[:, None], np.arange(points)[:, None, None]
    turn = np.sqrt([2.0, 3.0]) * ray + np.sqrt([5.0, 7.0]) * point
    return np.asarray((0.5 + turn) % 1.0).reshape(-1, 2)
