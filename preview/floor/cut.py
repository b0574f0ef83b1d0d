"""Cutting a pattern to a region: whole boards are passed through, the rest is clipped exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Array, Pieces
from preview.floor.patterns.interface import Placement
from preview.room.offset import GRID

NOISE = 1e-11
"""A piece narrower than this, metres, is float rounding along a cut, not wood."""

LOST = 1e-13
"""An overlay whose two parts miss more than this of a board, square metres, has gone wrong."""


def cut_to(placement: Placement, region: BaseGeometry) -> Pieces:
    """Return the boards of `placement` inside `region`, cut where its edge runs through them.

    A board that a notch cuts in two makes two pieces. Courses are counted from 0 at the left.
    """
    blanks = placement.boards(region)
    shapely.prepare(region)
    blanks = blanks.take(shapely.intersects(region, blanks.polygons))
    boards = blanks.polygons
    covered = shapely.covers(region, boards)
    clipped, source = polygon_parts(_clip(boards[~covered], region))
    inside = np.flatnonzero(covered)
    index = np.concatenate([inside, np.flatnonzero(~covered)[source]])
    polygons = np.concatenate([boards[inside], clipped])
    order = np.lexsort((index, *blanks.key[index].T))
    found = blanks.take(index[order])
    full = shapely.area(found.polygons)
    return replace(
        found,
        polygons=polygons[order],
        course=(found.course - (found.course.min() if len(found) else 0)).astype(np.int32),
        whole=shapely.area(polygons[order]) >= full * (1 - 1e-9),
    )


def _clip(boards: NDArray[np.object_], region: BaseGeometry) -> NDArray[np.object_]:
    """Return the parts of boards inside the region.

    The overlay in floating point is quick but now and then loses a part where lines nearly coincide; so what is
    inside and what is outside must together make the board, or the board is cut again on a fine grid, which is
    slow but safe.
    """
    inside, outside = shapely.intersection(boards, region), shapely.difference(boards, region)
    lost = np.abs(shapely.area(inside) + shapely.area(outside) - shapely.area(boards)) > LOST
    inside[lost] = shapely.intersection(boards[lost], region, grid_size=GRID)
    return inside


def polygon_parts(shapes: NDArray[np.object_]) -> tuple[NDArray[np.object_], NDArray[np.int_]]:
    """Return every polygon in `shapes`, anticlockwise, and the index of the shape it came from."""
    parts, source = shapely.get_parts(shapes, return_index=True)
    parts, inner = shapely.get_parts(parts, return_index=True)
    source = source[inner]
    keep = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    keep[keep] = narrowness(parts[keep]) > NOISE
    return shapely.orient_polygons(parts[keep]), source[keep]


def narrowness(polygons: NDArray[np.object_]) -> Array:
    """Return 2 area / perimeter (n,): a convex piece's inscribed circle is this to twice this wide."""
    perimeter = shapely.length(polygons)
    return np.divide(2 * shapely.area(polygons), perimeter, out=np.zeros_like(perimeter), where=perimeter > 0)
