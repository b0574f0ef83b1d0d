"""How the floor's light leaves it by the slant of its way: what comes out of the wood, and what the coat mirrors.

Slants are cosines to the floor's normal, `SLANTS` (256,), from along the floor to straight up. Weights are over an even
spread: their mean, each counted by its cosine, is 1.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from preview.light.coat import Coat
from preview.light.sights import Layout, Sights

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


def by_slant(layout: Layout, sights: Sights, floor: Array, others: float) -> Callable[[slice], NDArray[np.float32]]:
    """Return what gives for a slice of nodes the weight of each ray, (nodes, k): where it meets the floor that of its
    slant there in `floor` (256,), elsewhere `others`."""
    first, end = layout.around.first_tile, layout.around.first_curtain
    table, rest = floor.astype(np.float32), np.float32(others)

    def weigh(part: slice) -> NDArray[np.float32]:
        seen = sights.nodes.entries[part]
        height = sights.nodes.heights(layout.shell.node_normals[part])
        slant = np.clip(-(len(SLANTS) - 1) * height, 0, len(SLANTS) - 1).astype(np.uint8)
        return np.where((seen >= first) & (seen < end), table[slant], rest)

    return weigh
