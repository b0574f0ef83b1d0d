"""What every course ends in, at each side of the field and at each end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.blanks import extents
from preview.floor.edges import Facing, field_edges
from preview.floor.layout import Array, Layout, Role

TOUCHING = 1e-6
"""A piece whose edge lies within this of the border line, metres, is cut there."""


@dataclass(frozen=True)
class CourseEnd:
    """The cut pieces of one course along the edges of the field that face one way.

    `facing` is the side of the field: left, right, near, far, or angled where an edge runs neither with the courses
    nor square to them. `length` is the least reach of a piece along its board, and `width` the least width of a
    piece, however it is turned; metres.
    """

    course: int
    facing: Facing
    pieces: int
    length: float
    width: float


def course_ends(layout: Layout) -> tuple[CourseEnd, ...]:
    """Return the ends of every course, course by course from the left; a side that no cut piece meets has none."""
    pieces = layout.pieces
    cut = np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole)
    shapes = pieces.polygons[cut]
    if not len(cut):
        return ()
    low, high = extents(shapes, pieces.grain[cut])
    lengths = high[:, 0] - low[:, 0]
    widths = least_widths(shapes)
    along = np.array([np.cos(layout.run), np.sin(layout.run)])
    edges = field_edges(layout.field, np.array([along, [along[1], -along[0]]]))
    lines = shapely.linestrings(np.array([edge.ends for edge in edges]))
    edge, piece = shapely.STRtree(shapes).query(shapely.buffer(lines, TOUCHING, cap_style="flat"))
    shared = shapely.intersection(shapely.boundary(shapes[piece]), shapely.buffer(lines[edge], TOUCHING))
    met = shapely.length(shared) > 10 * TOUCHING
    groups: dict[tuple[int, Facing], set[int]] = {}
    for number, which in zip(piece[met].tolist(), edge[met].tolist(), strict=True):
        groups.setdefault((int(pieces.course[cut[number]]), edges[which].facing), set()).add(number)
    found = []
    for (course, facing), members in sorted(groups.items()):
        own = sorted(members)
        found.append(CourseEnd(course, facing, len(own), float(lengths[own].min()), float(widths[own].min())))
    return tuple(found)


def least_widths(polygons: NDArray[np.object_]) -> Array:
    """Return how wide each polygon (n,) is where it is narrowest over all, metres: the least distance between two
    parallel lines that hold it.

    One of the two lines runs along an edge of the convex hull (H. Freeman and R. Shapira, "Determining the
    minimum-area encasing rectangle for an arbitrary closed curve", CACM 18 (1975), for rectangles; from memory), so
    every edge is tried.
    """
    widths = np.zeros(len(polygons))
    for number, hull in enumerate(shapely.convex_hull(polygons)):
        ring = shapely.get_coordinates(hull)
        steps = np.diff(ring, axis=0)
        longs = np.hypot(*steps.T)
        normal = np.stack([-steps[:, 1], steps[:, 0]], axis=1)[longs > 0] / longs[longs > 0, None]
        reach = normal @ ring.T
        widths[number] = (reach.max(axis=1) - reach.min(axis=1)).min()
    return widths
