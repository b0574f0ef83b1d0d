"""Form factors: how much of what a point sees is a given polygon, by Lambert's formula."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def point_factors(points: Array, normals: Array, polygons: Array) -> Array:
    """Return the form factor from each point to each polygon, clipped at the point's horizon; (n, m).

    points (n, 3), unit normals (n, 3), polygons (m, k, 3) plane and convex, anticlockwise as the points see them
    (those seen from behind come out negative). Corners may coincide. The factor times the polygon's uniform
    radiosity is the irradiance at the point.

    Formula: Lambert, *Photometria* (1760): F = sum over edges of angle * (n . unit(a x b)) / 2 pi; the part of the
    polygon under the horizon is cut away, and the cut closed by an edge along the horizon.
    """
    total = np.zeros((len(points), len(polygons)))
    sides = polygons.shape[1]
    height = [_heights(points, normals, polygons[:, k]) for k in range(sides)]
    if all((each >= 0).all() for each in height):
        for k in range(sides):
            total += _edge(points, normals, polygons[None, :, k], polygons[None, :, (k + 1) % sides])
        return total / (2 * np.pi)
    leave = np.full((*total.shape, 3), np.nan)
    enter = np.full((*total.shape, 3), np.nan)
    for k in range(sides):
        a, b = polygons[None, :, k], polygons[None, :, (k + 1) % sides]
        ha, hb = height[k], height[(k + 1) % sides]
        crosses = (ha >= 0) != (hb >= 0)
        with np.errstate(invalid="ignore", divide="ignore"):
            cut = np.where(crosses[..., None], a + (ha / (ha - hb))[..., None] * (b - a), np.nan)
        down, up = crosses & (ha >= 0), crosses & (hb >= 0)
        leave = np.where(down[..., None], cut, leave)
        enter = np.where(up[..., None], cut, enter)
        start, end = np.where(up[..., None], cut, a), np.where(down[..., None], cut, b)
        total += np.where((ha >= 0) | (hb >= 0), _edge(points, normals, start, end), 0.0)
    cut_any = ~np.isnan(leave[..., 0])
    closing = _edge(points, normals, np.where(cut_any[..., None], leave, 0.0), np.where(cut_any[..., None], enter, 0.0))
    return (total + np.where(cut_any, closing, 0.0)) / (2 * np.pi)


def _heights(points: Array, normals: Array, corner: Array) -> Array:
    """Return the height of each corner (m, 3) over each point's horizon, (n, m); within 1e-12 it is taken as 0."""
    height = normals @ corner.T - np.einsum("nk,nk->n", normals, points)[:, None]
    return np.where(np.abs(height) < 1e-12, 0.0, height)


def _edge(points: Array, normals: Array, start: Array, end: Array) -> Array:
    """Return the edge's angle times the normal's share of the edge's plane: start, end (1 or n, m, 3) to (n, m).

    The cross product of the two arms is that of the edge with one arm, kinder to short edges.
    """
    a = start - points[:, None, :]
    b = end - points[:, None, :]
    cross = np.cross(b, a)
    size = np.sqrt((cross * cross).sum(axis=-1))
    angle = np.arctan2(size, (a * b).sum(axis=-1))
    share = np.einsum("nmk,nk->nm", cross, normals)
    return np.asarray(np.divide(share * angle, size, out=np.zeros_like(size), where=size > 1e-14))


def split_polygon(corners: Array, longest: float, most: int = 12) -> Array:
    """Return a plane convex polygon (k, 3) cut into quadrilaterals with sides of about `longest`, (m, 4, 3).

    Never more than `most` by `most` from one quadrilateral. Three corners make a quadrilateral with one doubled;
    more than four make a fan of such.
    """
    if len(corners) == 4:
        quads = [corners]
    else:
        quads = [corners[[0, i, i + 1, i + 1]] for i in range(1, len(corners) - 1)]
    cells = []
    for quad in quads:
        edges = np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1)
        across = int(np.clip(np.ceil(max(edges[0], edges[2]) / longest), 1, most))
        along = int(np.clip(np.ceil(max(edges[1], edges[3]) / longest), 1, most))
        s, t = np.arange(across + 1)[:, None, None] / across, np.arange(along + 1)[None, :, None] / along
        grid = (1 - s) * (1 - t) * quad[0] + s * (1 - t) * quad[1] + s * t * quad[2] + (1 - s) * t * quad[3]
        cell = np.stack([grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]], axis=2)
        cells.append(cell.reshape(-1, 4, 3))
    return np.concatenate(cells)
