"""Parallel offsets of polygons with mitred corners, exact to rounding.

Every edge of a polygon owns a strip: the points up to `distance` from the edge on its inner side, cut square at a
convex corner and along the bisector at a reflex one, so that the strip reaches the mitre's point there. The inset
polygon is the polygon less the union of its strips. This is the wavefront of straight edges (an edge that shrinks to
nothing drops out, a passage narrower than two distances closes), and each of its corners is an intersection of two
lines: no arcs, no tolerance.

At a corner where the ring turns by the angle a (to the left positive), the mitre runs along the bisector; per unit
of distance it moves along the leaving edge by tan(a/2) = sin a / (1 + cos a). That number is `Edges.slope`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Array = NDArray[np.float64]

STRAIGHT = 1e-11
"""A corner whose triangle with its neighbours is this thin (metres) is none: far above rounding, far below a saw."""

GRID = 1e-13
"""Overlays snap corners to this (metres), and lines that differ by rounding become one: without it an overlay of many
nearly equal lines can go wrong by whole polygons. Rooms up to 900 m keep it within double precision."""

SPECK = 1e-10
"""Parts smaller than this (square metres) are rounding of the overlay, not floor."""


@dataclass(frozen=True, eq=False)
class Edges:
    """The n edges of a polygon's rings, the polygon on their left; metres.

    `start` (n, 2), `along` (n, 2) unit, `inward` (n, 2) unit, `length` (n,); `after` (n,) and `before` (n,) are the
    neighbours in the ring; `slope` (n,) belongs to the corner at `start`: above zero convex, below zero reflex.
    """

    start: Array
    along: Array
    inward: Array
    length: Array
    before: NDArray[np.intp]
    after: NDArray[np.intp]
    slope: Array

    def __len__(self) -> int:
        return len(self.start)

    def mitres(self, distance: float) -> Array:
        """Return where each corner's mitre ends at `distance` from both edges, (n, 2)."""
        return self.start + distance * (self.slope[:, None] * self.along + self.inward)

    def strips(self, distance: float, square: bool = False) -> NDArray[np.object_]:
        """Return the strip of each edge, (n,) polygons; with `square` cut square at reflex corners too."""
        end = self.start[self.after]
        near, far = self.start + distance * self.inward, end + distance * self.inward
        if not square:
            mitre, reflex = self.mitres(distance), (self.slope < 0)[:, None]
            near, far = np.where(reflex, mitre, near), np.where(reflex[self.after], mitre[self.after], far)
        return shapely.polygons(np.stack([self.start, end, far, near], axis=1))


def parts(shape: BaseGeometry) -> list[Polygon]:
    """Return the polygons of any geometry, specks left out."""
    return [
        each
        for each in shapely.get_parts(shapely.get_parts(shape))
        if each.geom_type == "Polygon" and each.area > SPECK
    ]


def edges(shape: BaseGeometry, outward: bool = False) -> Edges:
    """Return the edges of a polygon or several; with `outward` those of the plane round it instead."""
    rings = []
    for each in parts(shape):
        turned = shapely.orient_polygons(each, exterior_cw=outward)
        rings += [np.asarray(ring.coords)[:-1, :2] for ring in (turned.exterior, *turned.interiors)]
    start = np.concatenate(rings)
    sizes = [len(ring) for ring in rings]
    first = np.repeat(np.cumsum([0, *sizes[:-1]]), sizes)
    size = np.repeat(sizes, sizes)
    index = np.arange(len(start)) - first
    after, before = first + (index + 1) % size, first + (index - 1) % size
    step = start[after] - start
    length = np.hypot(step[:, 0], step[:, 1])
    along = step / length[:, None]
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1)
    came = along[before]
    turn_sin = came[:, 0] * along[:, 1] - came[:, 1] * along[:, 0]
    turn_cos = (came * along).sum(axis=1)
    slope = turn_sin / np.maximum(1 + turn_cos, 1e-12)
    return Edges(start, along, inward, length, before, after, slope)


def tidy(shape: BaseGeometry) -> Polygon | MultiPolygon:
    """Return `shape` as a polygon or several, outer rings anticlockwise, without specks and corners that are none."""
    kept = []
    for each in parts(shape):
        rings = [_without_straight(np.asarray(ring.coords)[:-1, :2]) for ring in (each.exterior, *each.interiors)]
        holes = [ring for ring in rings[1:] if len(ring) > 2 and Polygon(ring).area > SPECK]
        if len(rings[0]) > 2:
            kept.append(shapely.orient_polygons(Polygon(rings[0], holes)))
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)


def subtract(shape: BaseGeometry, others: Sequence[BaseGeometry] | NDArray[np.object_]) -> Polygon | MultiPolygon:
    """Return `shape` less all the `others`, tidied."""
    if not len(others):
        return tidy(shape)
    from_, what = MultiPolygon(parts(shape)), MultiPolygon(parts(shapely.union_all(others, grid_size=GRID)))
    return tidy(shapely.difference(from_, what, grid_size=GRID))


def inset(shape: Polygon | MultiPolygon, distance: float) -> Polygon | MultiPolygon:
    """Return `shape` moved inwards by `distance` (metres) on every side, corners mitred; may be empty."""
    shape = tidy(shape)
    if distance <= 0 or shape.is_empty:
        return shape
    return subtract(shape, edges(shape).strips(distance))


def outset(shape: Polygon | MultiPolygon, distance: float) -> Polygon | MultiPolygon:
    """Return `shape` moved outwards by `distance` (metres) on every side, corners mitred."""
    shape = tidy(shape)
    if distance <= 0 or shape.is_empty:
        return shape
    return tidy(shapely.union_all([shape, *edges(shape, outward=True).strips(distance)], grid_size=GRID))


def _without_straight(ring: Array) -> Array:
    """Return a ring (n, 2) without corners on the line between their neighbours, spikes and repeats."""
    while len(ring) > 2:
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        chord, step = after - before, ring - before
        away = np.abs(chord[:, 0] * step[:, 1] - chord[:, 1] * step[:, 0])
        sides = np.hypot(*chord.T), np.hypot(*step.T), np.hypot(*(after - ring).T)
        straight = away <= STRAIGHT * np.maximum.reduce(sides)
        straight |= sides[1] <= STRAIGHT
        if not straight.any():
            break
        lonely = straight & ~np.roll(straight, 1)  # of neighbours in a row only the first, then look again
        ring = ring[~lonely] if lonely.any() else ring[1:]
    return ring
