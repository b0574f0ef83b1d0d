"""Light from small bright patches, such as window reveals and what the sun falls on, which few rays would meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.coat import Coat
from preview.light.factors import pair_factors
from preview.light.visibility import Tracer, in_threads

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

NEAR = 3.0  # radii of a patch within which its own shape counts


@dataclass(frozen=True, eq=False)
class Patches:
    """Bright patches: middles, normals (k, 3), areas, radii (k,), and their triangles (t, 3, 3) sorted by patch, of
    which patch i has those from first[i] to first[i + 1]; first (k + 1,)."""

    middles: Array
    normals: Array
    areas: Array
    radii: Array
    triangles: Array
    first: Ints


def patches_of(triangles: Array, normals: Array, owner: Ints, count: int) -> Patches:
    """Return `count` patches of triangles (t, 3, 3) that face along normals (t, 3), from each one's owner (t,)."""
    order = np.argsort(owner, kind="stable")
    triangles, normals, owner = triangles[order], normals[order], owner[order]
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(across, axis=1) / 2
    areas = np.bincount(owner, size, count).astype(np.float64)
    weight = np.maximum(areas, 1e-300)[:, None]

    def mean(values: Array) -> Array:
        return np.stack([np.bincount(owner, size * values[:, k], count) for k in range(3)], axis=-1) / weight

    middles, facing = mean(triangles.mean(axis=1)), mean(normals)
    facing /= np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-300)
    radii = np.zeros(count)
    np.maximum.at(radii, owner, np.linalg.norm(triangles - middles[owner][:, None], axis=2).max(axis=1))
    first = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=count))])
    return Patches(middles, facing, areas, radii, triangles, first)


def see_patches(patches: Patches, points: Array, normals: Array, tracer: Tracer) -> csr_array:
    """Return the form factors of bright patches seen from points (n, 3) with normals (n, 3); sparse (n, k).

    From afar F = A cos cos' / (pi d^2); nearer than `NEAR` radii the sum of Lambert's formula over the patch's
    triangles. Either times whether the patch's middle is seen.
    """
    from scipy.sparse import csr_array, vstack

    count = len(patches.areas)
    starts = patches.middles + 2e-3 * patches.normals

    def work(part: slice) -> csr_array:
        p, n = points[part], normals[part]
        way = patches.middles[None] - p[:, None]
        square = np.einsum("pkj,pkj->pk", way, way)
        here = np.einsum("pkj,pj->pk", way, n)
        there = -np.einsum("pkj,kj->pk", way, patches.normals)
        near = square < (NEAR * patches.radii) ** 2
        row, column = np.nonzero((there > 1e-6) & ((here > 1e-6) | near))
        seen = tracer.clear(p[row], starts[column])
        row, column = row[seen], column[seen]
        d2 = square[row, column]
        factor = patches.areas[column] * np.maximum(here[row, column], 0) * there[row, column] / (np.pi * d2 * d2)
        close = np.flatnonzero(near[row, column])
        factor[close] = _by_shape(patches, p, n, row[close], column[close])
        return csr_array((factor.astype(np.float32), (row, column)), shape=(len(p), count))

    parts = in_threads(work, len(points), max(1, 400_000 // max(count, 1)))
    return csr_array(vstack(list(parts))) if count and len(points) else csr_array((len(points), count))


def _by_shape(patches: Patches, points: Array, normals: Array, row: Ints, column: Ints) -> Array:
    """Return the form factors of pairs (point, patch) by the patches' triangles."""
    many = np.diff(patches.first)[column]
    pair = np.repeat(np.arange(len(row)), many)
    within = np.arange(len(pair)) - np.repeat(np.cumsum(many) - many, many)
    triangle = patches.first[column][pair] + within
    part = np.abs(pair_factors(points, normals, patches.triangles, row[pair], triangle))
    return np.asarray(np.bincount(pair, part, len(row)).astype(np.float64))


def under_coat(factors: csr_array, patches: Patches, points: Array, coat: Coat) -> csr_array:
    """Return the factors of patches as `points` that face up see them, times what their coat passes of each."""
    from scipy.sparse import csr_array

    entries = factors.tocoo()
    way = patches.middles[entries.col] - points[entries.row]
    height = np.maximum(way[:, 2], 0) / np.maximum(np.linalg.norm(way, axis=1), 1e-9)
    return csr_array((entries.data * coat.passes(height), (entries.row, entries.col)), shape=factors.shape)


def vector(factors: csr_array, patches: Patches, points: Array, radiosity: Array) -> Array:
    """Return the sum of direction times irradiance from each patch's `radiosity` (k,), (n, 3), the directions those
    to the patches' middles."""
    entries = factors.tocoo()
    way = patches.middles[entries.col] - points[entries.row]
    weight = entries.data * radiosity[entries.col] / np.maximum(np.linalg.norm(way, axis=1), 1e-9)
    return np.stack([np.bincount(entries.row, weight * way[:, k], len(points)) for k in range(3)], axis=-1)
