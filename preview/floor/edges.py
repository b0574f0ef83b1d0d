"""The edges of the field: which way each faces, and how far out it reaches."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.floor.facts import EdgeKind, Facing, Meets
from preview.floor.sizes import Sizes

Array = NDArray[np.float64]

PARALLEL = np.radians(1.0)
"""An edge within this angle of the run, or of square to it, is taken as such."""

SAME_WALL = 0.02
"""Edges whose places differ by less, metres, belong to one wall, which may be a little out of square."""


@dataclass(frozen=True, eq=False)
class Edge:
    """One straight edge of the field, (2, 2) plan points with the field on its left.

    `facing` says which side of the field it bounds, looking along the run; `place` is how far out it reaches: across
    the run (to the right) for a side and along it for an end, metres from the plan's origin. Where a wall is a little
    out of square, pieces fitted to that place only get smaller than they should be, and no slivers appear beyond them.
    """

    ends: Array
    facing: Facing
    place: float

    @property
    def middle(self) -> Array:
        """Middle of the edge, (2,)."""
        middle: Array = self.ends.mean(axis=0)
        return middle

    @property
    def length(self) -> float:
        """Length, metres."""
        return float(np.hypot(*(self.ends[1] - self.ends[0])))


@dataclass(frozen=True)
class Stretch:
    """A stretch of the field's edge.

    `name` is what it follows, a wall, an obstacle or a grille as papers call it; `wall` is the wall's number, else 0.
    `facing` is
    the side of the field that it bounds, looking along the run, and `angle` (0 to pi/2) how far it is turned from the
    run. `ends` are its parts, two plan points each, and `length` their sum, metres. Of the pieces that it alone cuts,
    `triangles` have three corners, with a board's long side and end as legs, and `boards` are the others; `corners`
    are those that another stretch cuts too. Where a row of boards lies along it all are `boards`, as wide as the row is
    there. None where there are no such pieces.
    """

    kind: EdgeKind
    name: str
    wall: int
    facing: Facing
    angle: float
    ends: tuple[tuple[tuple[float, float], ...], ...]
    length: float
    boards: Sizes | None
    triangles: Sizes | None
    corners: Sizes | None

    @property
    def meets(self) -> Meets:
        """What meets it: the ends of the courses, the side of one, or all of them at an angle."""
        if self.facing == "angled":
            return "angled"
        return "ends" if self.facing in ("near", "far") else "sides"


def field_edges(field: BaseGeometry, frame: Array) -> tuple[Edge, ...]:
    """Return every edge of the field, as seen in `frame`: unit vectors along the run and across it to the right."""
    found = []
    for part in shapely.get_parts(shapely.orient_polygons(field)):
        for ring in (part.exterior, *part.interiors):
            found += [_edge(np.array(ends), frame) for ends in pairwise(ring.coords)]
    return tuple(found)


def _edge(ends: Array, frame: Array) -> Edge:
    along, across = frame @ ((ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])))
    r, c = frame @ ends.T
    if abs(across) < np.sin(PARALLEL):
        # With the field on its left, an edge that goes along the run bounds the right side.
        return Edge(ends, "right", float(c.max())) if along > 0 else Edge(ends, "left", float(c.min()))
    if abs(along) < np.sin(PARALLEL):
        return Edge(ends, "near", float(r.min())) if across > 0 else Edge(ends, "far", float(r.max()))
    return Edge(ends, "angled", float("nan"))


def main_place(edges: tuple[Edge, ...], facing: Facing) -> float | None:
    """Return how far out the wall reaches that bounds the field most on one side: of all edges facing that way, those
    of one wall with the greatest length together. None where no edge faces that way."""
    outward = -1 if facing in ("left", "near") else 1
    walls: list[list[Edge]] = []
    for edge in sorted((edge for edge in edges if edge.facing == facing), key=lambda edge: -outward * edge.place):
        if walls and abs(walls[-1][-1].place - edge.place) < SAME_WALL:
            walls[-1].append(edge)
        else:
            walls.append([edge])
    longest = max(walls, key=lambda wall: sum(edge.length for edge in wall), default=None)
    return longest[0].place if longest else None
