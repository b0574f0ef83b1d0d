"""Outlines of many pieces as flat arrays, and the easing of their top edges.

All rings of all pieces stand one after another in one coordinate array, wood on the left of every edge (outer
rings anticlockwise, holes clockwise). A corner is known by its row; `after` and `before` are the rows of its
neighbours on the same ring. Nothing here loops over pieces, except over the few odd ones that are not convex.

Inset of a ring by x moves each corner along its mitre (`preview.vectors.mitre`). With c = tan(turn / 2) at each
corner (turn = pi - interior angle; negative at a reflex corner), an edge shortens by x (c1 + c2).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.vectors import left_of, mitre

BEVEL = 0.0008
"""Leg of the eased edge, metres (common practice, no published source)."""

SHRINK = 0.4
"""A small piece's joint and bevel each take at most this part of what would make its shortest edge vanish."""

SHORTEST = 1e-7
"""Corners nearer to one another than this, metres, are one corner."""

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Outlines:
    """n polygons as v corners.

    points (v, 2); piece (v,) the polygon of each corner; ring (v,) the ring, counted over all; first (v,) the row
    of the ring's first corner; after, before (v,) the neighbours' rows; convex (n,) bool, one convex ring.
    """

    points: Array
    piece: Index
    ring: Index
    first: Index
    after: Index
    before: Index
    convex: NDArray[np.bool_]


def outlines(polygons: NDArray[np.object_]) -> Outlines:
    """Return the corners of the polygons (n,), doubled ones left out; orders the rings as the module says."""
    turned = shapely.orient_polygons(np.asarray(polygons, dtype=object), exterior_cw=False)
    rings, piece = shapely.get_rings(turned, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = np.append(ring[1:] == ring[:-1], False)
    step = np.linalg.norm(np.diff(points, axis=0, append=points[-1:]), axis=1)
    kept = same & (step > SHORTEST)  # the closing corner goes, and the first of any two that fall together
    points, ring = points[kept], ring[kept]
    start = np.flatnonzero(np.diff(ring, prepend=-1))
    count = np.diff(np.append(start, len(ring)))
    first = np.repeat(start, count)
    local = np.arange(len(ring)) - first
    total = np.repeat(count, count)
    after = first + (local + 1) % total
    before = first + (local - 1) % total
    owner = piece[ring]
    n = len(turned)
    turn = _half_turn(points, after, before)
    reflex = np.bincount(owner, turn < -1e-9, n) > 0
    return Outlines(points, owner, ring, first, after, before, ~reflex & (shapely.get_num_interior_rings(turned) == 0))


def _unit(points: Array, after: Index) -> Array:
    along = points[after] - points
    return along / np.linalg.norm(along, axis=1, keepdims=True)


def _half_turn(points: Array, after: Index, before: Index) -> Array:
    """tan(turn / 2) at each corner (v,)."""
    leaving = _unit(points, after)
    coming = leaving[before]
    cross = coming[:, 0] * leaving[:, 1] - coming[:, 1] * leaving[:, 0]
    return cross / np.maximum(1 + (coming * leaving).sum(1), 1e-9)


def edge_normals(shape: Outlines) -> Array:
    """Unit normals (v, 2) of the edges from each corner to the next, pointing into the wood."""
    return left_of(_unit(shape.points, shape.after))


def mitres(shape: Outlines) -> Array:
    """What each corner moves by (v, 2) for an inset of one."""
    leaving = edge_normals(shape)
    return mitre(leaving[shape.before], leaving)


def ease(shape: Outlines, n: int, joint: float, thickness: float, bevel: float = BEVEL) -> tuple[Array, Array]:
    """Return each piece's inset for half the joint (n,) and its bevel leg (n,), metres.

    `joint` is the whole joint's width. Both are cut back where a piece is too small for them.
    """
    turn = _half_turn(shape.points, shape.after, shape.before)
    length = np.linalg.norm(shape.points[shape.after] - shape.points, axis=1)
    closing = turn + turn[shape.after]
    vanishes = np.divide(length, closing, out=np.full_like(length, np.inf), where=closing > 1e-12)
    limit = np.full(n, np.inf)
    np.minimum.at(limit, shape.piece, vanishes)
    inset = np.minimum(joint / 2, SHRINK * limit)
    leg = np.minimum(min(bevel, thickness / 2), SHRINK * (limit - inset))
    for piece in np.flatnonzero(~shape.convex):
        rows = np.flatnonzero(shape.piece == piece)
        part, move = shape.points[rows], mitres(shape)[rows]
        scale = 1.0
        while scale > 1e-3 and not _sound(part + scale * (inset[piece] + leg[piece]) * move, shape.ring[rows]):
            scale /= 2
        inset[piece] *= scale
        leg[piece] *= scale
    return inset, leg


def _sound(points: Array, ring: Index) -> bool:
    polygon = as_polygon(points, ring)
    return bool(polygon.is_valid and polygon.area > 0)


def as_polygon(points: Array, ring: Index) -> shapely.Polygon:
    """Return one polygon from its corners (k, 2) and ring numbers (k,), the outer ring first."""
    outer, *holes = (points[ring == each] for each in np.unique(ring))
    return shapely.Polygon(outer, holes)


def triangles_of(polygon: shapely.Polygon) -> Array:
    """Cut a polygon, with holes or not, into triangles (t, 3, 2), anticlockwise, with no new corners."""
    made = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    corners = shapely.get_coordinates(made).reshape(-1, 4, 2)[:, :3]
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = one[:, 0] * two[:, 1] < one[:, 1] * two[:, 0]
    corners[clockwise] = corners[clockwise, ::-1]
    return corners
