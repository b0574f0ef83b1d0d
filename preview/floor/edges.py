"""The edges of the field: which way each faces, and with which last piece or which triangles the courses meet it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.floor.fit import last_piece
from preview.floor.lattice import Lattice
from preview.floor.layout import Array
from preview.floor.start import triangle_legs

PARALLEL = np.radians(1.0)
"""An edge within this angle of the run, or of square to it, is taken as such."""

SAME_WALL = 0.02
"""Edges whose places differ by less, metres, belong to one wall, which may be a little out of square."""

Facing = Literal["left", "right", "near", "far", "angled"]


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


def piece_at(edge: Edge, lattice: Lattice, center: float, phase: float) -> float:
    """Return the last piece at an edge, metres: at a side the longer side of the last course's pieces (a triangle's
    legs where not above the board's width), at an end the legs of its triangles, NaN at an angled one.

    Args:
        edge: an edge of the field.
        lattice: the boards.
        center: place of the centre line across the run, from the plan's origin.
        phase: 0 where the centre line lies on a seam, 1/2 in the middle of a course.
    """
    if edge.facing in ("left", "right"):
        half = edge.place - center if edge.facing == "right" else center - edge.place
        return last_piece(half, lattice.width, lattice.length, phase)
    if edge.facing in ("near", "far"):
        corner = float(lattice.frame()[0] @ lattice.origin)
        legs = triangle_legs(edge.place, edge.place, corner, lattice.width, lattice.length)
        return legs[0 if edge.facing == "near" else 1]
    return float("nan")


def is_small(edge: Edge, piece: float, width: float, obstacle: bool = False) -> bool:
    """Return whether an edge ends in small triangles: along a side wall any triangle, at an end and round an
    `obstacle`, which no layout can spare them, one with legs under half a board's width. An edge shorter than a
    board's diagonal width is too short to tell."""
    limit = width if edge.facing in ("left", "right") and not obstacle else width / 2
    return edge.length > sqrt(2) * width and piece < limit - 1e-9
