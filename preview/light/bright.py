"""Light from small bright patches, such as window reveals and what the sun falls on, which few rays would meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.visibility import Tracer, in_threads

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Patches:
    """Bright patches: middles, normals (k, 3), areas (k,)."""

    middles: Array
    normals: Array
    areas: Array


def see_patches(patches: Patches, points: Array, normals: Array, tracer: Tracer) -> csr_array:
    """Return the form factors of bright patches seen from points (n, 3) with normals (n, 3); sparse (n, k).

    F = A cos cos' / (pi d^2 + A): that of a disc far off, bounded near by (exact on the axis of a disc); times whether
    the patch's middle is seen.
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
        row, column = np.nonzero((here > 1e-6) & (there > 1e-6))
        d2 = square[row, column]
        factor = (
            patches.areas[column] * here[row, column] * there[row, column] / d2 / (np.pi * d2 + patches.areas[column])
        )
        seen = tracer.clear(p[row], starts[column])
        return csr_array((factor[seen].astype(np.float32), (row[seen], column[seen])), shape=(len(p), count))

    parts = in_threads(work, len(points), max(1, 400_000 // max(count, 1)))
    return csr_array(vstack(list(parts))) if count and len(points) else csr_array((len(points), count))


def vector(factors: csr_array, patches: Patches, points: Array, radiosity: Array) -> Array:
    """Return the sum of direction times irradiance from each patch's `radiosity` (k,), (n, 3).

    Directions are those to the patches' middles, by their distance from each point.
    """
    entries = factors.tocoo()
    way = patches.middles[entries.col] - points[entries.row]
    weight = entries.data * radiosity[entries.col] / np.maximum(np.linalg.norm(way, axis=1), 1e-9)
    return np.stack([np.bincount(entries.row, weight * way[:, k], len(points)) for k in range(3)], axis=-1)
