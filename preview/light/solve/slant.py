"""How the floor's light leaves it by its way: what comes out of the wood, and what the coat mirrors.

Slants are cosines to the floor's normal, `SLANTS` (256,), from along the floor to straight up. Weights are over an even
spread: their mean, each counted by its cosine, is 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.coat import Coat
from preview.light.geometry.hemisphere import frames
from preview.light.geometry.ray_tracing import in_threads
from preview.light.geometry.visibility import RoomGeometry, Visibility

Array = NDArray[np.float64]

SLANTS = np.linspace(0, 1, 256)


def matt_slant(coat: Coat) -> Array:
    """Return the weights (256,) of what comes out of the wood: at a slant its coat lets less through."""
    return coat.passes(SLANTS) / coat.mean_passed


def gloss_slant(coat: Coat) -> Array:
    """Return the weights (256,) of what the coat mirrors of light from all round."""
    mirrored = coat.mirrors(SLANTS)
    return np.asarray(mirrored / max(float(np.trapezoid(2 * SLANTS * mirrored, SLANTS)), 1e-12))


def onward(ways: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the weights of what places on the floor mirror of the panes, which leaves at the slant at which it came
    and goes on in its bearing: for steps of the slant's cosine the coefficients of a Fourier series over the bearing,
    from sums `ways` (n, STEPS, WAVES + 1) of how it came (see `PaneLight`). Fejer's damping keeps the series
    positive."""
    steps, waves = ways.shape[1:]
    damping = 2 * (1 - np.arange(waves) / waves)
    damping[0] = 1
    even = steps**2 / (2 * np.arange(steps) + 1)  # over the step's share of an even spread
    total = np.maximum(ways[:, :, 0].real.sum(axis=1), 1e-12)
    return np.asarray(ways * damping * even[:, None] / total[:, None, None])


@dataclass(frozen=True, eq=False)
class FloorTiles:
    """What the floor's tiles send out, (tiles, 3) each: of the wood's light by the weights `matt` (256,), of what the
    coat mirrors of all round by `gloss` (256,), and of the panes by `onward` (tiles, STEPS, WAVES + 1)."""

    wood: Array
    matt: Array
    around: Array
    gloss: Array
    panes: Array
    onward: NDArray[np.complex128]


def from_floor(geometry: RoomGeometry, visibility: Visibility, floor: FloorTiles) -> Array:
    """Return the irradiance (m, 3) of the nodes from the floor's tiles, by the way of each ray that meets one."""
    normals, matt, gloss = geometry.shell.node_normals, floor.matt.astype(np.float32), floor.gloss.astype(np.float32)
    first, end = geometry.around.first_tile, geometry.around.first_curtain
    tiles = np.concatenate([floor.wood, floor.around, floor.panes], axis=1).T.astype(np.float32)
    ways = visibility.nodes.directions().astype(np.float32)
    rays, (steps, waves) = len(ways), floor.onward.shape[1:]
    series = floor.onward.astype(np.complex64).reshape(-1, waves)

    def work(part: slice) -> Array:
        seen = visibility.nodes.entries[part]
        met = np.flatnonzero((seen >= first) & (seen < end))
        tile = seen.ravel()[met].astype(np.intp) - first
        node, ray = np.divmod(met, rays)
        way = np.einsum("nk,nkj->nj", ways[ray], frames(normals[part]).astype(np.float32)[node])
        height = np.clip(-way[:, 2], 0, 1)
        slant = ((len(SLANTS) - 1) * height).astype(np.intp)
        step = np.clip(steps * height - np.float32(0.5), 0, steps - 1)
        low = np.minimum(step.astype(np.intp), steps - 2)
        place, share = tile * steps + low, (step - low)[:, None]
        # A ray that goes down to the floor would go on from there in its own bearing: what it meets came from there.
        back = way[:, 0] - np.complex64(1j) * way[:, 1]
        turns = (back / np.maximum(np.abs(back), np.float32(1e-6)))[:, None] ** np.arange(waves)
        mirrored = np.einsum("nw,nw->n", (1 - share) * series[place] + share * series[place + 1], turns).real
        weights = matt[slant], gloss[slant], mirrored
        light = [sum(tiles[c + 3 * k][tile] * weights[k] for k in range(3)) for c in range(3)]
        return np.stack([np.bincount(node, each, len(seen)) for each in light], axis=-1) / rays

    return np.concatenate([np.zeros((0, 3)), *in_threads(work, len(visibility.nodes.entries), 1000)])
