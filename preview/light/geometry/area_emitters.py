"""Area emitters: patches that are small and bright, such as window reveals and what the sun falls on, which few rays
would meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import luminance
from preview.light.coat import Coat
from preview.light.geometry.factors import pair_factors
from preview.light.geometry.ray_tracing import Tracer, in_threads

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

PAIRS = (
    60_000  # of a point and an emitter, at once: few enough for the processor's cache, and for BLAS to start no threads
)
NEAR = 3.0  # radii of an emitter within which its own shape counts


@dataclass(frozen=True, eq=False)
class AreaEmitters:
    """Middles, normals (k, 3), areas, radii (k,), and their triangles (t, 3, 3) sorted by emitter, of
    which emitter i has those from first[i] to first[i + 1]; first (k + 1,)."""

    middles: Array
    normals: Array
    areas: Array
    radii: Array
    triangles: Array
    first: Ints


def build_emitters(triangles: Array, normals: Array, owner: Ints, count: int) -> AreaEmitters:
    """Return `count` emitters of triangles (t, 3, 3) that face along normals (t, 3), from each one's owner (t,)."""
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
    return AreaEmitters(middles, facing, areas, radii, triangles, first)


def find_emitter_factors(emitters: AreaEmitters, points: Array, normals: Array, tracer: Tracer) -> NDArray[np.float32]:
    """Return the form factors of area emitters seen from points (n, 3) with normals (n, 3); (n, k).

    From afar F = A cos cos' / (pi d^2); nearer than `NEAR` radii the sum of Lambert's formula over the emitter's
    triangles. Either times whether the emitter's middle is seen.
    """
    factors = np.zeros((len(points), len(emitters.areas)), np.float32)
    if not factors.size:
        return factors
    places, facing, middles, towards, areas, reach = (
        each.astype(np.float32)
        for each in (points, normals, emitters.middles, emitters.normals, emitters.areas, NEAR * emitters.radii)
    )
    starts = (emitters.middles + 2e-3 * emitters.normals).astype(np.float32)
    closer, areas = reach * reach, areas / np.float32(np.pi)

    def work(part: slice) -> None:
        x, y, z = (middles[:, k] - places[part, k, None] for k in range(3))
        square = x * x + y * y + z * z
        here = facing[part, :1] * x + facing[part, 1:2] * y + facing[part, 2:] * z
        there = -towards[:, 0] * x - towards[:, 1] * y - towards[:, 2] * z
        near = square < closer
        pair = np.flatnonzero((there > 1e-6) & ((here > 1e-6) | near))
        row, column = np.divmod(pair, len(areas))
        seen = tracer.clear(places[part].take(row, axis=0), starts.take(column, axis=0))
        pair, row, column = pair[seen], row[seen], column[seen]
        away = np.maximum(square.take(pair), np.float32(1e-12))
        both = np.maximum(here.take(pair), 0) * there.take(pair)
        factors[part].reshape(-1)[pair] = areas.take(column) * both / (away * away)
        close = near.take(pair)
        row, column = row[close], column[close]
        factors[part][row, column] = _by_shape(emitters, points[part], normals[part], row, column)

    in_threads(work, len(points), max(1, PAIRS // len(emitters.areas)))
    return factors


def _by_shape(emitters: AreaEmitters, points: Array, normals: Array, row: Ints, column: Ints) -> Array:
    """Return the form factors of pairs (point, emitter) by the emitters' triangles."""
    many = np.diff(emitters.first)[column]
    pair = np.repeat(np.arange(len(row)), many)
    within = np.arange(len(pair)) - np.repeat(np.cumsum(many) - many, many)
    triangle = emitters.first[column][pair] + within
    part = np.abs(pair_factors(points, normals, emitters.triangles, row[pair], triangle))
    return np.asarray(np.bincount(pair, part, len(row)).astype(np.float64))


def emitter_irradiance(factors: NDArray[np.float32], light: Array) -> Array:
    """Return what points receive from emitters of radiosity `light` (k, 3) by their form factors (n, k); (n, 3)."""
    shines = np.flatnonzero(light.any(axis=1))
    parts = in_threads(
        lambda part: factors[part][:, shines] @ light[shines], len(factors), max(1, PAIRS // max(len(shines), 1))
    )
    return np.concatenate([np.zeros((0, 3)), *parts])


def emitter_irradiance_on_floor(
    factors: NDArray[np.float32], emitters: AreaEmitters, points: Array, light: Array, coat: Coat
) -> tuple[Array, Array, Array]:
    """Return what points (n, 3) that face up receive from emitters of radiosity `light` (k, 3), what of it their coat
    passes, and the sum of directions, those to the emitters' middles, by luminance; each (n, 3)."""
    shines = np.flatnonzero(light.any(axis=1))
    light, middles = light[shines], emitters.middles[shines]
    ends = luminance(light)[:, None] * np.concatenate([middles, np.ones((len(shines), 1))], axis=1)

    def work(part: slice) -> tuple[Array, Array, Array]:
        place, factor = points[part], factors[part][:, shines]
        x, y, z = (middles[:, k] - place[:, k, None] for k in range(3))
        away = np.maximum(np.sqrt(x * x + y * y + z * z), 1e-9)
        ways = (factor / away) @ ends
        passed = factor * coat.passes(np.maximum(z, 0) / away)
        return factor @ light, passed @ light, ways[:, :3] - place * ways[:, 3:]

    parts = in_threads(work, len(points), max(1, PAIRS // max(len(shines), 1)))
    ground, passed, way = (np.concatenate(each) for each in zip([np.zeros((0, 3))] * 3, *parts, strict=True))
    return ground, passed, way
