"""Flat surfaces for the room shell, cut small enough to carry light by their corners.

A surface on its way to a `Part` is a "soup": triangles (t, 3, 3), metres, anticlockwise seen from the side that is
seen. Neighbours are cut alike along a shared edge (every edge into equal parts no longer than `CELL`).

A corner buried in another solid gets no light, and would darken the whole of its cell. So faces are also cut just
outside whatever covers them (see `beside`), and what runs on into another solid has a corner where it enters.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely import MultiPolygon, Polygon

from preview.model.ease import as_polygon, mitres, outlines, triangles_of
from preview.model.model import Part, ReflectionProxy, Surface
from preview.prepared import prepared
from preview.vectors import left_of, mitre

CELL = 0.25
"""Longest edge of a face of the room shell, metres."""

CLEAR = 0.003
"""How far outside a covering solid a face is cut, metres."""

SHADOW = 0.06
"""And cut again, so that the shadow right beside the solid is not spread over a whole cell; metres."""

RIM = 0.02
"""How far from its edge a block's face is cut, where light changes fastest under what stands over it; metres."""

Array = NDArray[np.float64]
Colour = tuple[float, float, float]


def part(
    name: str, surface: Surface, soups: Iterable[Array], albedo: Colour, proxies: Sequence[ReflectionProxy] = ()
) -> Part:
    """Return the soups as one part: corners are shared within a plane, never across an edge."""
    soup = np.concatenate([np.empty((0, 3, 3)), *soups])
    cross = np.cross(soup[:, 1] - soup[:, 0], soup[:, 2] - soup[:, 0])
    twice_area = np.linalg.norm(cross, axis=1)
    kept = twice_area > 1e-10
    soup, normal = soup[kept], cross[kept] / twice_area[kept, None]
    corners = np.hstack([soup.reshape(-1, 3), np.repeat(normal, 3, axis=0)])
    _, first, row = np.unique(np.round(corners * 1e5).astype(np.int64), axis=0, return_index=True, return_inverse=True)
    corners = corners[first].astype(np.float32)
    return Part(
        name, surface, corners[:, :3], corners[:, 3:], row.reshape(-1, 3).astype(np.int32), albedo, tuple(proxies)
    )


def ticks(stops: ArrayLike, cell: float = CELL) -> Array:
    """Return the stops, sorted, with each interval between them cut evenly so that none is longer than `cell`."""
    given = np.sort(np.asarray(stops, float))
    given = given[np.insert(np.diff(given) > 1e-9, 0, True)]
    cut = [
        np.linspace(low, high, max(1, int(np.ceil((high - low) / cell - 1e-9))), endpoint=False)
        for low, high in pairwise(given)
    ]
    return np.concatenate([*cut, given[-1:]])


def beside(low: float, high: float) -> list[float]:
    """Return where to cut a face that is covered from `low` to `high`, all four outside."""
    return [low - SHADOW, low - CLEAR, high + CLEAR, high + SHADOW]


def patch(a: ArrayLike, b: ArrayLike, c: ArrayLike, d: ArrayLike, cell: float = CELL) -> Array:
    """Return the four-sided face a, b, c, d (3,) each, anticlockwise as seen, cut into cells and along its rim."""
    a, b, c, d = (np.asarray(each, float) for each in (a, b, c, d))
    wide = max(np.linalg.norm(b - a), np.linalg.norm(c - d))
    high = max(np.linalg.norm(d - a), np.linalg.norm(c - b))
    u, v = _shares(wide, cell)[:, None, None], _shares(high, cell)[None, :, None]
    return _cells((1 - u) * (1 - v) * a + u * (1 - v) * b + u * v * c + (1 - u) * v * d)


def _shares(length: float | np.floating, cell: float) -> Array:
    """Return where a face of this length is cut, 0 to 1: near both ends, if there is room, and evenly between."""
    length = float(length)
    rim = [RIM, length - RIM] if length > 2.5 * RIM else []
    return ticks([0.0, *rim, length], cell) / max(length, 1e-12)


def _cells(grid: Array, chosen: NDArray[np.bool_] | None = None) -> Array:
    """Two triangles for each (chosen) cell of a grid of points (m, n, 3)."""
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    soup = np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2)
    return (soup if chosen is None else soup[chosen]).reshape(-1, 3, 3)


def pierced(
    start: Array, end: Array, up: Array, holes: Sequence[tuple[float, float, float, float]], marks: Sequence[float] = ()
) -> Array:
    """Return an upright face from `start` to `end` (2,) in plan, seen from the left, with rectangular holes.

    up (k,) are heights at which the face is cut (its ends among them), `marks` are places along it where it is cut
    besides; a hole is (from, to, low, high), along the face and in height, its low and high among `up`.
    """
    length = float(np.linalg.norm(end - start))
    stops = [*(each for hole in holes for each in hole[:2]), *marks]
    along = ticks([0.0, length, *np.clip(stops, 0, length)])
    keep = np.ones((len(along) - 1, len(up) - 1), bool)
    middle, height = (along[1:] + along[:-1]) / 2, (up[1:] + up[:-1]) / 2
    for near, far, low, high in holes:
        keep &= ~np.outer((middle > near) & (middle < far), (height > low) & (height < high))
    share = (along / length)[:, None]
    plan = start * (1 - share) + end * share
    grid = np.empty((len(along), len(up), 3))
    grid[:, :, :2], grid[:, :, 2] = plan[:, None], up
    return _cells(grid, keep)[:, ::-1]


def plate(shape: Polygon | MultiPolygon, z: float, faces_up: bool = True, cell: float = CELL) -> Array:
    """Return a level face: whole square cells inside, cut ones along the edge."""
    if shape.is_empty:
        return np.empty((0, 3, 3))
    low_x, low_y, high_x, high_y = shape.bounds
    x, y = ticks([low_x, high_x], cell), ticks([low_y, high_y], cell)
    left, low = (each.ravel() for each in np.meshgrid(x[:-1], y[:-1], indexing="ij"))
    right, high = (each.ravel() for each in np.meshgrid(x[1:], y[1:], indexing="ij"))
    cells = shapely.box(left, low, right, high)
    whole = shapely.covers(prepared(shape), cells)
    around = np.stack([left, low, right, low, right, high, left, high], axis=1)[whole].reshape(-1, 4, 2)
    a, b, c, d = np.moveaxis(around, 1, 0)
    plan = [np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]
    cut = shapely.get_parts(shapely.intersection(cells[~whole], shape))
    plan += [triangles_of(each) for each in cut if each.geom_type == "Polygon" and each.area > 1e-9]
    flat = np.concatenate(plan)
    soup = np.concatenate([flat, np.full((*flat.shape[:2], 1), z)], axis=2)
    return soup if faces_up else soup[:, ::-1]


def prism(shape: Polygon, levels: Sequence[float], eased: float = 0.0, top: bool = True) -> Array:
    """Return the sides and top of a block that stands on `shape`.

    levels: its foot, heights at which its sides are cut, its top; `eased` is the leg of a bevel round the top.
    """
    outline = outlines(np.array([shape], dtype=object))
    base, after = outline.points, outline.after
    inner = base + eased * mitres(outline)
    *lower, high = levels
    rings = [(base, z) for z in lower] + [(base, high - eased)] + ([(inner, high)] if eased else [])
    soups = [
        patch((*below[k], low), (*below[j], low), (*above[j], up), (*above[k], up))
        for (below, low), (above, up) in pairwise(rings)
        for k, j in enumerate(after)
    ]
    if top:
        soups.append(plate(as_polygon(inner, outline.ring), high))
    return np.concatenate(soups)


def sweep(profile: ArrayLike, path: Array, closed: bool = False) -> Array:
    """Return a moulding: a section carried along a path in a plane, mitred at its corners, open ends capped.

    path (k, 2) in the plane. profile (m, 2) of (distance to the left of the path, height over the plane), walked
    from the smaller distance over the crest to the larger; what is not walked (the back) gets no face.
    """
    section = np.asarray(profile, float)
    along = np.diff(path, axis=0, append=path[:1])
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    normal = left_of(along)
    before = np.roll(normal, 1, axis=0)
    if not closed:
        before[0], normal[-1] = normal[0], before[-1]
    spot = np.empty((len(path), len(section), 3))
    spot[:, :, :2] = path[:, None] + section[None, :, :1] * mitre(before, normal, 0.1)[:, None]
    spot[:, :, 2] = section[:, 1]
    ends = len(path) if closed else len(path) - 1
    soups = [
        patch(spot[i, j], spot[(i + 1) % len(path), j], spot[(i + 1) % len(path), j + 1], spot[i, j + 1])
        for i in range(ends)
        for j in range(len(section) - 1)
    ]
    if not closed:
        for cap in (spot[0, ::-1], spot[-1]):
            soups += [np.stack([cap[0], cap[j], cap[j + 1]])[None, ::-1] for j in range(1, len(section) - 1)]
    return np.concatenate(soups)


def block(low: ArrayLike, high: ArrayLike) -> Array:
    """Return all six faces of a box between two opposite corners (3,)."""
    (a, b, c), (d, e, f) = np.asarray(low, float), np.asarray(high, float)
    faces = [
        ((a, b, f), (d, b, f), (d, e, f), (a, e, f)),
        ((d, b, c), (a, b, c), (a, e, c), (d, e, c)),
        ((d, b, f), (d, b, c), (d, e, c), (d, e, f)),
        ((a, b, c), (a, b, f), (a, e, f), (a, e, c)),
        ((a, e, f), (d, e, f), (d, e, c), (a, e, c)),
        ((a, b, c), (d, b, c), (d, b, f), (a, b, f)),
    ]
    return np.concatenate([patch(*face) for face in faces])
