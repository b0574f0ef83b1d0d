"""How the floor's light leaves it by the slant of its way: what comes out of the wood, and what the coat mirrors.

Slants are cosines to the floor's normal, `SLANTS` (256,), from along the floor to straight up. Weights are over an even
spread: their mean, each counted by its cosine, is 1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.coat import Coat
from preview.light.hemisphere import frames
from preview.light.sights import Layout, Sights
from preview.light.visibility import in_threads

Array = NDArray[np.float64]

SLANTS = np.linspace(0, 1, 256)


def matt_slant(coat: Coat) -> Array:
    """Return the weights (256,) of what comes out of the wood: at a slant its coat lets less through."""
    return coat.passes(SLANTS) / coat.mean_passed


def gloss_slant(coat: Coat, by_height: Array, indirect: float) -> Array:
    """Return the weights (256,) of what the coat mirrors, which leaves at the slant at which it came.

    `by_height` sums of mirrored light from the panes over even steps of its cosine; `indirect` the sum of the
    irradiance from all round. The mean over the floor stands for every place on it.
    """
    middles = (np.arange(len(by_height)) + 0.5) / len(by_height)
    panes = np.interp(SLANTS, middles, by_height * len(by_height) / (2 * middles))
    radiance = panes + coat.mirrors(SLANTS) * indirect
    return np.asarray(radiance / max(float(np.trapezoid(2 * SLANTS * radiance, SLANTS)), 1e-12))


def from_floor(layout: Layout, sights: Sights, wood: Array, mirrored: Array, matt: Array, gloss: Array) -> Array:
    """Return the irradiance of the nodes from the floor's tiles (tiles, 3): of what comes out of the `wood` by the
    weights `matt` (256,) of the slant at which each ray meets it, of what is `mirrored` by `gloss` (256,); (m, 3)."""
    normals, matt, gloss = layout.shell.node_normals, matt.astype(np.float32), gloss.astype(np.float32)
    first, end = layout.around.first_tile, layout.around.first_curtain
    tiles = np.concatenate([wood, mirrored], axis=1).T.astype(np.float32)
    ways = sights.nodes.ways().astype(np.float32)
    rays = len(ways)

    def work(part: slice) -> Array:
        seen = sights.nodes.entries[part]
        met = np.flatnonzero((seen >= first) & (seen < end))
        tile = seen.ravel()[met].astype(np.intp) - first
        node, ray = np.divmod(met, rays)
        height = np.einsum("nk,nk->n", frames(normals[part])[:, :, 2].astype(np.float32)[node], ways[ray])
        slant = np.clip(-(len(SLANTS) - 1) * height, 0, len(SLANTS) - 1).astype(np.intp)
        by_matt, by_gloss = matt[slant], gloss[slant]
        light = [tiles[c][tile] * by_matt + tiles[c + 3][tile] * by_gloss for c in range(3)]
        return np.stack([np.bincount(node, each, len(seen)) for each in light], axis=-1) / rays

    return np.concatenate([np.zeros((0, 3)), *in_threads(work, len(sights.nodes.entries), 1000)])
