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

UNMOVED = 1e-9
"""A polygon moved by no more than this (metres) stays where it is: strips along its edges would be rounding."""

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
    flat = [shape] if shape.geom_type == "Polygon" else shapely.get_parts(shapely.get_parts(shape))
    return [each for each in flat if each.geom_type == "Polygon" and each.area > SPECK]


def edges(shape: BaseGeometry, outward: bool = False) -> Edges:
    """Return the edges of a polygon or several; with `outward` those of the plane round it instead."""
    rings = []
    for each in parts(shape):
        turned = shapely.orient_polygons(each, exterior_cw=outward)
        rings += [shapely.get_coordinates(ring)[:-1] for ring in (turned.exterior, *turned.interiors)]
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
        rings = [_without_straight(shapely.get_coordinates(ring)[:-1]) for ring in (each.exterior, *each.interiors)]
        holes = [ring for ring in rings[1:] if len(ring) > 2 and Polygon(ring).area > SPECK]
        if len(rings[0]) > 2:
            kept.append(Polygon(rings[0], holes))
    return shapely.orient_polygons(kept[0] if len(kept) == 1 else MultiPolygon(kept))


def subtract(shape: BaseGeometry, others: Sequence[BaseGeometry] | NDArray[np.object_]) -> Polygon | MultiPolygon:
    """Return `shape` less all the `others`, tidied."""
    if not len(others):
        return tidy(shape)
    from_, what = MultiPolygon(parts(shape)), MultiPolygon(parts(shapely.union_all(others, grid_size=GRID)))
    return tidy(shapely.difference(from_, what, grid_size=GRID))


def inset(shape: Polygon | MultiPolygon, distance: float) -> Polygon | MultiPolygon:
    """Return `shape` moved inwards by `distance` (metres) on every side, corners mitred; may be empty."""
    shape = tidy(shape)
    if distance <= UNMOVED or shape.is_empty:
        return shape
    moved = wavefront(shape, distance)
    return subtract(shape, edges(shape).strips(distance)) if moved is None else moved


def outset(shape: Polygon | MultiPolygon, distance: float) -> Polygon | MultiPolygon:
    """Return `shape` moved outwards by `distance` (metres) on every side, corners mitred."""
    shape = tidy(shape)
    if distance <= UNMOVED or shape.is_empty:
        return shape
    moved = wavefront(shape, distance, outward=True)
    if moved is None:
        strips = edges(shape, outward=True).strips(distance)
        return tidy(shapely.union_all([shape, *strips], grid_size=GRID))
    return moved


def wavefront(shape: Polygon | MultiPolygon, distance: float, outward: bool = False) -> Polygon | MultiPolygon | None:
    """Return the offset of a tidy `shape` corner by corner, or None where edges vanish or meet on the way.

    If every edge keeps its direction and the moved rings still bound polygons, this is the whole answer: an edge that
    never turns round takes one from the winding number of each point it sweeps over, so points within simple
    moved rings, where that number is still one, are those no edge has swept.
    """
    moved, used = [], 0
    sides = edges(shape, outward)
    taken = distance * sides.slope
    if (taken + taken[sides.after] >= sides.length - STRAIGHT).any():
        return None
    mitres = sides.mitres(distance)
    for each in parts(shape):
        rings = []
        for ring in (each.exterior, *each.interiors):
            count = len(ring.coords) - 1
            rings.append(mitres[used : used + count])
            used += count
        moved.append(Polygon(rings[0], rings[1:]))
    whole = moved[0] if len(moved) == 1 else MultiPolygon(moved)
    return shapely.orient_polygons(whole) if whole.is_valid else None


def _without_straight(ring: Array) -> Array:
    """Return a ring (n, 2) without corners on the line between their neighbours, spikes and repeats."""
    while len(ring) > 2:
        step = ring - ring[np.arange(-1, len(ring) - 1)]
        leave = step[np.arange(1, len(ring) + 1) % len(ring)]
        chord = step + leave
        away = np.abs(chord[:, 0] * step[:, 1] - chord[:, 1] * step[:, 0])
        came = np.hypot(step[:, 0], step[:, 1])
        longest = np.maximum.reduce([np.hypot(chord[:, 0], chord[:, 1]), came, np.hypot(leave[:, 0], leave[:, 1])])
        straight = (away <= STRAIGHT * longest) | (came <= STRAIGHT)
        if not straight.any():
            break
        first = straight & ~straight[np.arange(-1, len(ring) - 1)]  # of neighbours in a row one at a time
        ring = ring[~first] if first.any() else ring[1:]
    return ring
