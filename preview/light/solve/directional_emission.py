"""Directional emission of the floor: how what comes out of the wood, and what the coat mirrors, is spread by direction.

`COSINES` (256,) to the floor's normal run from along the floor to straight up. Weights are over an even (Lambertian)
spread: their mean, each counted by its cosine, is 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.fresnel import fresnel
from preview.light.coat import Coat
from preview.light.geometry.area_emitters import PAIRS, AreaEmitters
from preview.light.geometry.ray_tracing import in_threads
from preview.light.geometry.visibility import RoomGeometry, Visibility
from preview.light.hemisphere import frames

Array = NDArray[np.float64]

COSINES = np.linspace(0, 1, 256)


def diffuse_weights(coat: Coat) -> Array:
    """Return the weights (256,) of what comes out of the wood: at a grazing angle its coat lets less through."""
    return coat.passes(COSINES) / coat.mean_passed


def glossy_weights(coat: Coat) -> Array:
    """Return the weights (256,) of what the coat mirrors of light from all round."""
    mirrored = coat.mirrors(COSINES)
    return np.asarray(mirrored / max(float(np.trapezoid(2 * COSINES * mirrored, COSINES)), 1e-12))


def mirrored_series(moments: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the weights of what places on the floor mirror of the panes, which leaves at the angle at which it came
    and goes on in its bearing: for steps of the angle's cosine the coefficients of a Fourier series over the bearing,
    from moments (n, STEPS, WAVES + 1) of how it came (see `PaneLight`). Fejer's damping keeps the series
    positive."""
    steps, waves = moments.shape[1:]
    damping = 2 * (1 - np.arange(waves) / waves)
    damping[0] = 1
    even = steps**2 / (2 * np.arange(steps) + 1)  # over the step's share of an even spread
    total = np.maximum(moments[:, :, 0].real.sum(axis=1), 1e-12)
    return np.asarray(moments * damping * even[:, None] / total[:, None, None])


@dataclass(frozen=True, eq=False)
class FloorEmission:
    """What the floor's tiles send out, (tiles, 3) each: of the wood's light by `diffuse_weights` (256,), of what the
    coat mirrors of all round by `glossy_weights` (256,), and of the panes by `series` (tiles, STEPS, WAVES + 1)."""

    wood: Array
    diffuse_weights: Array
    around: Array
    glossy_weights: Array
    panes: Array
    series: NDArray[np.complex128]


def irradiance_from_floor(geometry: RoomGeometry, visibility: Visibility, floor: FloorEmission) -> Array:
    """Return the irradiance (m, 3) of the nodes from the floor's tiles, by the direction of each ray that meets one."""
    nodes, normals = visibility.nodes, geometry.shell.node_normals
    diffuse, glossy = (each.astype(np.float32) for each in (floor.diffuse_weights, floor.glossy_weights))
    first, end = geometry.around.first_tile, geometry.around.first_curtain
    tiles = np.concatenate([floor.wood, floor.around, floor.panes], axis=1).T.astype(np.float32)
    ways = nodes.directions().astype(np.float32)
    rays, (steps, waves) = len(ways), floor.series.shape[1:]
    series = floor.series.astype(np.complex64).reshape(-1, waves)

    def work(part: slice) -> Array:
        seen = nodes.entries[part]
        met = np.flatnonzero((seen >= first) & (seen < end))
        tile = seen.ravel()[met].astype(np.intp) - first
        node, ray = np.divmod(met, rays)
        own = frames(normals[nodes.point[part]], nodes.turns[part]).astype(np.float32)
        way = np.einsum("nk,nkj->nj", ways[ray], own[node])
        height = np.clip(-way[:, 2], 0, 1)
        cosine = ((len(COSINES) - 1) * height).astype(np.intp)
        step = np.clip(steps * height - np.float32(0.5), 0, steps - 1)
        low = np.minimum(step.astype(np.intp), steps - 2)
        place, share = tile * steps + low, (step - low)[:, None]
        # A ray that goes down to the floor would go on from there in its own bearing: what it meets came from there.
        back = way[:, 0] - np.complex64(1j) * way[:, 1]
        turns = (back / np.maximum(np.abs(back), np.float32(1e-6)))[:, None] ** np.arange(waves)
        mirrored = np.einsum("nw,nw->n", (1 - share) * series[place] + share * series[place + 1], turns).real
        weights = diffuse[cosine], glossy[cosine], mirrored
        light = [sum(tiles[c + 3 * k][tile] * weights[k] for k in range(3)) for c in range(3)]
        return np.stack([np.bincount(node, each, len(seen)) for each in light], axis=-1) / rays

    rows = np.concatenate([np.zeros((0, 3)), *in_threads(work, len(nodes.entries), 1000)])
    return nodes.at_points(rows, len(normals))


def mirrored_sun(
    way: Array, emitters: AreaEmitters, factors: NDArray[np.float32], points: Array, mirrored: Array, coat: Coat
) -> Array:
    """Return the irradiance (n, 3) of points from places on the floor that mirror the sun, which stands at `way` (3,),
    by the form factors (n, k) of the emitters and what each sends back of it, `mirrored` (k, 3), zero for what is no
    floor.

    The coat's facets spread it about the mirrored ray (GGX; Walter, Marschner, Li and Torrance, "Microfacet models for
    refraction through rough surfaces", EGSR 2007), and so does the emitter's width as the point sees it: facets turn by
    half the angle of a ray.
    """
    shines = np.flatnonzero(mirrored.any(axis=1))
    total = np.zeros((len(points), 3))
    if not len(shines):
        return total
    middles, radii, light = emitters.middles[shines], emitters.radii[shines], mirrored[shines]
    rise = float(way[2])
    share = max(float(coat.mirrors(np.array(rise))), 1e-9)

    def work(part: slice) -> Array:
        to = points[part][:, None] - middles
        away = np.maximum(np.linalg.norm(to, axis=2), 1e-6)
        height = np.clip(to[..., 2] / away, 1e-3, 1)
        facet = to / away[..., None] + way
        facet /= np.maximum(np.linalg.norm(facet, axis=2, keepdims=True), 1e-9)
        square = coat.alpha**2 + (0.5 * radii / away) ** 2
        spread = facet[..., 2] ** 2 * (square - 1) + 1
        hidden = height * np.sqrt(square + (1 - square) * rise**2) + rise * np.sqrt(square + (1 - square) * height**2)
        value = fresnel(np.clip(facet @ way, 0, 1), coat.ior) * square / (np.pi * spread**2) * 0.5 / hidden
        return np.asarray((factors[part][:, shines] * (np.pi * value / share)) @ light)

    return np.concatenate([total[:0], *in_threads(work, len(points), max(1, PAIRS // len(shines)))])
