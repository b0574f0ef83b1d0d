"""Cutting the lattice to a region: whole boards are passed through, the rest is clipped exactly."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.floor.lattice import Lattice, Places, covering, rectangles
from preview.floor.layout import Array, Pieces, Role
from preview.room.offset import GRID

NOISE = 1e-11
"""A piece narrower than this, metres, is float rounding along a cut, not wood."""

LOST = 1e-13
"""An overlay whose two parts miss more than this of a board, square metres, has gone wrong."""


def cut_to(lattice: Lattice, region: BaseGeometry) -> Pieces:
    """Return the boards of `lattice` inside `region`, cut where its edge runs through them.

    A board that a notch cuts in two makes two pieces. Courses are counted from 0 at the left.
    """
    places = covering(lattice, region)
    boards = shapely.polygons(rectangles(lattice, places))
    shapely.prepare(region)
    met = shapely.intersects(region, boards)
    places, boards = places.take(met), boards[met]
    covered = shapely.covers(region, boards)
    clipped, source = polygon_parts(_clip(boards[~covered], region))
    inside = np.flatnonzero(covered)
    index = np.concatenate([inside, np.flatnonzero(~covered)[source]])
    polygons = np.concatenate([boards[inside], clipped])
    order = np.lexsort((index, places.pair[index], 2 * places.cell[index] + places.lean[index]))
    return _pieces(lattice, places.take(index[order]), polygons[order])


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


def _pieces(lattice: Lattice, places: Places, polygons: NDArray[np.object_]) -> Pieces:
    count = len(polygons)
    course = 2 * places.cell + places.lean
    full = lattice.width * lattice.length
    return Pieces(
        polygons=polygons,
        role=np.full(count, Role.BOARD, np.int8),
        course=(course - (course.min() if count else 0)).astype(np.int32),
        grain=lattice.run + np.where(places.lean == 1, -np.pi / 4, np.pi / 4),
        origin=lattice.corners(places.pair, places.cell),
        size=np.tile([lattice.length, lattice.width], (count, 1)),
        whole=shapely.area(polygons) >= full * (1 - 1e-9),
        key=np.stack([places.pair, course], axis=-1).astype(np.int32),
    )
