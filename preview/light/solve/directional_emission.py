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
from preview.light.geometry.final_gather import FinalGather
from preview.light.geometry.ray_tracing import in_threads
from preview.light.geometry.visibility import RoomGeometry
from preview.light.hemisphere import frames

Array = NDArray[np.float64]
F32 = NDArray[np.float32]

COSINES = np.linspace(0, 1, 256)
ROWS = 400  # of rays, at once: what a processor's cache holds


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
class FloorShares:
    """How the floor's tiles light the rows of a final gather. The rays that meet the floor, row by row, each row's from
    `starts` (rows + 1,) on: `tile` (n,), and the share that the row receives of what comes out of its `wood` (n,) and
    of what its coat mirrors of light from all round, `around` (n,). What the `tiles` in all mirror of the panes, on
    the rows: `panes` (rows, 3)."""

    tile: NDArray[np.int32]
    starts: NDArray[np.int32]
    wood: F32
    around: F32
    panes: Array
    tiles: int

    def first(self, count: int) -> FloorShares:
        """Return those of the first `count` rows."""
        rays = slice(self.starts[count])
        rows = self.starts[: count + 1], self.wood[rays], self.around[rays], self.panes[:count]
        return FloorShares(self.tile[rays], *rows, self.tiles)

    def irradiance(self, wood: Array, around: Array) -> Array:
        """Return the irradiance of the rows, (rows, 3), by what the tiles send out of either kind, (tiles, 3) each."""
        from scipy.sparse import csr_array

        shape = len(self.panes), self.tiles
        total = self.panes
        for shares, light in ((self.wood, wood), (self.around, around)):
            total = total + csr_array((shares, self.tile, self.starts), shape=shape) @ light
        return np.asarray(total)


def floor_shares(
    geometry: RoomGeometry, nodes: FinalGather, coat: Coat, mirrored: Array, series: NDArray[np.complex128]
) -> FloorShares:
    """Return how the floor's tiles light the nodes, by the direction of each ray that meets one: what comes out of the
    wood and what the coat mirrors of all round by their weights, what it mirrors of the panes, `mirrored` (tiles, 3),
    by `series` (tiles, STEPS, WAVES + 1)."""
    normals = geometry.shell.node_normals
    diffuse, glossy = (each(coat).astype(np.float32) for each in (diffuse_weights, glossy_weights))
    first, end = geometry.around.first_tile, geometry.around.first_curtain
    tiles = mirrored.T.astype(np.float32)
    ways = nodes.directions().astype(np.float32)
    rays, (steps, waves) = len(ways), series.shape[1:]
    flat = series.reshape(-1, waves)
    series_of = np.concatenate([flat.real, -flat.imag[:, 1:]], axis=1).astype(np.float32)

    def work(part: slice) -> tuple[NDArray[np.int32], NDArray[np.int64], F32, F32, Array]:
        seen = nodes.entries[part]
        met = np.flatnonzero((seen >= first) & (seen < end))
        tile = seen.ravel()[met].astype(np.int32) - np.int32(first)
        own = frames(normals[nodes.point[part]], nodes.turns[part]).astype(np.float32)
        x, y, z = ((own[:, :, k] @ ways.T).ravel()[met] for k in range(3))
        height = np.clip(-z, 0, 1)
        cosine = ((len(COSINES) - 1) * height).astype(np.intp)
        step = np.clip(steps * height - np.float32(0.5), 0, steps - 1)
        low = np.minimum(step.astype(np.intp), steps - 2)
        place, share = tile * steps + low, (step - low)[:, None]
        # A ray that goes down to the floor would go on from there in its own bearing: what it meets came from there.
        round_it = _bearings(x, -y, waves)
        below = series_of[place]
        weight = np.einsum("nw,nw->n", below + share * (series_of[place + 1] - below), round_it)
        row = met // rays
        panes = np.stack([np.bincount(row, each[tile] * weight, len(seen)) for each in tiles], axis=-1) / rays
        return tile, np.bincount(row, minlength=len(seen)), diffuse[cosine] / rays, glossy[cosine] / rays, panes

    nothing = np.zeros(0, np.int32), np.zeros(0, np.int64), np.zeros(0, np.float32), np.zeros(0, np.float32)
    parts = [(*nothing, np.zeros((0, 3))), *in_threads(work, len(nodes.entries), ROWS)]
    tile, counts, matt, shine, panes = (np.concatenate(each) for each in zip(*parts, strict=True))
    starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
    return FloorShares(tile, starts, matt, shine, panes, end - first)


def irradiance_from_sunlit_floor(
    way: Array,
    emitters: AreaEmitters,
    factors: NDArray[np.float32],
    points: Array,
    wood: Array,
    mirrored: Array,
    coat: Coat,
) -> Array:
    """Return the irradiance (n, 3) of points from places on the floor in the sun, which stands at `way` (3,), by the
    form factors (n, k) of the emitters, and what each sends back of it: `wood` (k, 3) by `diffuse_weights`, and what
    its coat `mirrored` (k, 3); zero for what is no floor.

    The coat's facets spread what they mirror about the mirrored ray (GGX; Walter, Marschner, Li and Torrance,
    "Microfacet models for refraction through rough surfaces", EGSR 2007), and so does the emitter's width as the point
    sees it: facets turn by half the angle of a ray.
    """
    shines = np.flatnonzero(wood.any(axis=1) | mirrored.any(axis=1))
    total = np.zeros((len(points), 3))
    if not len(shines):
        return total
    middles, radii, wood, mirrored = emitters.middles[shines], emitters.radii[shines], wood[shines], mirrored[shines]
    rise, weights = float(way[2]), diffuse_weights(coat)
    share = max(float(coat.mirrors(np.array(rise))), 1e-9)

    def work(part: slice) -> Array:
        seen = factors[part][:, shines]
        row, column = np.nonzero(seen)
        to = points[part][row] - middles[column]
        away = np.maximum(np.sqrt(np.einsum("nk,nk->n", to, to)), 1e-6)
        height = np.clip(to[:, 2] / away, 1e-3, 1)
        facet = to / away[:, None] + way
        half = np.maximum(np.sqrt(np.einsum("nk,nk->n", facet, facet)), 1e-9)
        square = coat.alpha**2 + (0.5 * radii[column] / away) ** 2
        spread = (facet[:, 2] / half) ** 2 * (square - 1) + 1
        hidden = height * np.sqrt(square + (1 - square) * rise**2) + rise * np.sqrt(square + (1 - square) * height**2)
        facing = np.clip(facet @ way / half, 0, 1)
        value = fresnel(facing, coat.ior) * square / (np.pi * spread**2) * 0.5 / hidden
        matt, shiny = np.zeros(seen.shape), np.zeros(seen.shape)
        matt[row, column] = seen[row, column] * np.interp(height, COSINES, weights)
        shiny[row, column] = seen[row, column] * (np.pi * value / share)
        return np.asarray(matt @ wood + shiny @ mirrored)

    return np.concatenate([total[:0], *in_threads(work, len(points), max(1, PAIRS // len(shines)))])


def _bearings(x: F32, y: F32, waves: int) -> F32:
    """Return the cosines of 0 to waves - 1 times the bearings of plan directions x, y (n,), then the sines of all but
    the first; (n, 2 waves - 1)."""
    along = np.maximum(np.sqrt(x * x + y * y), np.float32(1e-6))
    cosine, sine = x / along, y / along
    found = np.empty((len(x), 2 * waves - 1), np.float32)
    most, least = np.ones_like(cosine), np.zeros_like(sine)  # cosine and sine of the last multiple
    found[:, 0] = most
    for wave in range(1, waves):
        most, least = cosine * most - sine * least, sine * most + cosine * least
        found[:, wave], found[:, waves - 1 + wave] = most, least
    return found
