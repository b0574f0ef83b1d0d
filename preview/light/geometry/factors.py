"""Form factors: how much of what a point sees is a given polygon, by Lambert's formula."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.vectors import steps_round

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

CACHED_PAIRS = 16_384  # so many at once that the arrays stay in the processor's cache


def point_factors(points: Array, normals: Array, polygons: Array) -> Array:
    """Return the form factor from each point to each polygon, clipped at the point's horizon; (n, m).

    points (n, 3), unit normals (n, 3), polygons (m, k, 3) plane and convex, anticlockwise as the points see them
    (those seen from behind come out negative). Corners may coincide. The factor times the polygon's uniform
    radiosity is the irradiance at the point.

    Formula: Lambert, *Photometria* (1760): F = sum over edges of angle * (n . unit(b x a)) / 2 pi; the part of the
    polygon under the horizon is cut away, and the cut closed by an edge along the horizon.
    """
    pairs = np.indices((len(points), len(polygons))).reshape(2, -1)
    return pair_factors(points, normals, polygons, *pairs).reshape(len(points), len(polygons))


def pair_factors(points: Array, normals: Array, polygons: Array, point: Ints, polygon: Ints) -> Array:
    """Return form factors as `point_factors` does, of the pairs (point, polygon) of indices (p,) only; (p,)."""
    steps = range(0, len(point), CACHED_PAIRS)
    chunks = [(point[start : start + CACHED_PAIRS], polygon[start : start + CACHED_PAIRS]) for start in steps]
    return np.concatenate([np.zeros(0), *(_chunk_factors(points, normals, polygons, *each) for each in chunks)])


def _chunk_factors(points: Array, normals: Array, polygons: Array, point: Ints, polygon: Ints) -> Array:
    sides = polygons.shape[1]
    n = normals[point].T
    p = points[point].T
    arms = [polygons[polygon, k].T - p for k in range(sides)]
    heights = [_dot(n, each) for each in arms]
    heights = [np.where(np.abs(each) < 1e-12, 0.0, each) for each in heights]
    lowest = np.minimum.reduce(heights)
    total = np.zeros(len(point))
    whole = lowest >= 0
    for k in range(sides):
        total += _edge(n, arms[k], arms[(k + 1) % sides])
    cut = np.flatnonzero(~whole)
    if len(cut):
        total[cut] = _clipped(n[:, cut], [each[:, cut] for each in arms], [each[cut] for each in heights])
    return total / (2 * np.pi)


def _clipped(n: Array, arms: list[Array], heights: list[Array]) -> Array:
    """Return the sum over the edges of what is over the horizon, (p,); arms k x (3, p), heights k x (p,)."""
    total = np.zeros(n.shape[1])
    leave, enter = np.zeros_like(n), np.zeros_like(n)
    for k in range(len(arms)):
        a, b, ha, hb = arms[k], arms[(k + 1) % len(arms)], heights[k], heights[(k + 1) % len(arms)]
        down, up = (ha >= 0) & (hb < 0), (ha < 0) & (hb >= 0)
        cut = a + np.divide(ha, ha - hb, out=np.zeros_like(ha), where=down | up) * (b - a)
        leave, enter = np.where(down, cut, leave), np.where(up, cut, enter)
        part = _edge(n, np.where(up, cut, a), np.where(down, cut, b))
        total += np.where((ha >= 0) | (hb >= 0), part, 0.0)
    return total + _edge(n, leave, enter)


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def _edge(n: Array, a: Array, b: Array) -> Array:
    """Return the angle between two arms times the normal's share of their plane; all (3, p), result (p,)."""
    cross = np.stack([b[1] * a[2] - b[2] * a[1], b[2] * a[0] - b[0] * a[2], b[0] * a[1] - b[1] * a[0]])
    size = np.sqrt(_dot(cross, cross))
    angle = np.arctan2(size, _dot(a, b))
    return np.asarray(_dot(cross, n) * np.divide(angle, size, out=np.zeros_like(size), where=size > 1e-14))


def split_polygon(corners: Array, longest: float, least: int = 1, most: int = 12) -> Array:
    """Return a plane convex polygon (k, 3) cut into quadrilaterals with sides of about `longest`, (m, 4, 3).

    From `least` to `most` parts each way from one quadrilateral. Three corners make a quadrilateral with one doubled;
    more than four make a fan of such.
    """
    fan = [corners[[0, i, i + 1, i + 1]] for i in range(1, len(corners) - 1)]
    quads = [corners] if len(corners) == 4 else fan
    cells = []
    for quad in quads:
        edges = np.linalg.norm(steps_round(quad), axis=1)
        across = int(np.clip(np.ceil(max(edges[0], edges[2]) / longest), least, most))
        along = int(np.clip(np.ceil(max(edges[1], edges[3]) / longest), least, most))
        s, t = np.arange(across + 1)[:, None, None] / across, np.arange(along + 1)[None, :, None] / along
        grid = (1 - s) * (1 - t) * quad[0] + s * (1 - t) * quad[1] + s * t * quad[2] + (1 - s) * t * quad[3]
        cell = np.stack([grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]], axis=2)
        cells.append(cell.reshape(-1, 4, 3))
    return np.concatenate(cells)
