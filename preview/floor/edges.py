"""How the courses meet each edge of the field: with which last piece, or with which triangles."""

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


@dataclass(frozen=True, eq=False)
class Edge:
    """One straight edge of the field, (2, 2) plan points with the field on its left.

    kind "side" runs with the courses: `piece` is the longer side of its last pieces, a triangle's legs where not
    above the board's width. kind "near" or "far" runs square to them: `piece` is its triangles' legs. kind
    "angled": `piece` is NaN.
    """

    ends: Array
    kind: Literal["side", "near", "far", "angled"]
    piece: float

    @property
    def middle(self) -> Array:
        """Middle of the edge, (2,)."""
        middle: Array = self.ends.mean(axis=0)
        return middle


def field_edges(field: BaseGeometry, lattice: Lattice, center: float, phase: float) -> tuple[Edge, ...]:
    """Return every edge of the field with its last piece.

    Args:
        field: what the boards cover, metres.
        center: place of the centre line across the run, in the lattice's frame (from its origin).
        phase: 0 where the centre line lies on a seam, 1/2 in the middle of a course.
    """
    along, across = lattice.frame()
    found = []
    for part in shapely.get_parts(shapely.orient_polygons(field)):
        for ring in (part.exterior, *part.interiors):
            points = np.asarray(ring.coords)
            for start, end in pairwise(points):
                found.append(_edge(np.array([start, end]), along, across, lattice, center, phase))
    return tuple(found)


def _edge(ends: Array, along: Array, across: Array, lattice: Lattice, center: float, phase: float) -> Edge:
    step = ends[1] - ends[0]
    step = step / np.linalg.norm(step)
    place = ends.mean(axis=0) - lattice.origin
    r, c = float(along @ place), float(across @ place)
    if abs(across @ step) < np.sin(PARALLEL):
        # The field lies left of the edge: an edge along the run has it on its left side, so it bounds the right.
        half = c - center if along @ step > 0 else center - c
        return Edge(ends, "side", last_piece(half, lattice.width, lattice.length, phase))
    if abs(along @ step) < np.sin(PARALLEL):
        near = across @ step > 0
        legs = triangle_legs(r, r, 0.0, lattice.width, lattice.length)
        return Edge(ends, "near" if near else "far", legs[0 if near else 1])
    return Edge(ends, "angled", float("nan"))


def small_triangles(edges: tuple[Edge, ...], width: float) -> tuple[Edge, ...]:
    """Return the edges that end in small triangles: along a side any triangle, at an end legs under half a
    board's width; edges shorter than a board's diagonal width don't count."""
    limits = {"side": width, "near": width / 2, "far": width / 2, "angled": 0.0}
    return tuple(
        each
        for each in edges
        if each.piece < limits[each.kind] - 1e-9 and np.linalg.norm(np.diff(each.ends, axis=0)) > sqrt(2) * width
    )
