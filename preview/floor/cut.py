"""Cutting a pattern to a region: whole boards are passed through, the rest is clipped exactly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Array, Pieces
from preview.floor.patterns.interface import Placement
from preview.prepared import prepared
from preview.room.offset import GRID

NOISE = 1e-11
"""A piece narrower than this, metres, is float rounding along a cut, not wood."""

SPIKE = 1e-6
"""Sine over cosine of an angle at which an outline turns straight back on itself."""

LOST = 1e-13
"""An overlay whose two parts miss more than this of a board, square metres, has gone wrong."""


def cut_to(placement: Placement, region: BaseGeometry) -> Pieces:
    """Return the boards of `placement` inside `region`, cut where its edge runs through them.

    A board that a notch cuts in two makes two pieces, unless the placement keeps it to one side of the notch. A piece
    is whole where it is as large as its blank. Courses are counted from 0 at the left.
    """
    blanks = placement.boards(region)
    region = prepared(region)
    blanks = blanks.take(shapely.intersects(region, blanks.polygons))
    boards = blanks.polygons
    covered = shapely.covers(region, boards)
    clipped, source = polygon_parts(_clip(boards[~covered], region))
    inside = np.flatnonzero(covered)
    index = np.concatenate([inside, np.flatnonzero(~covered)[source]])
    polygons = np.concatenate([boards[inside], clipped])
    order = np.lexsort((index, *blanks.key[index].T))
    found = blanks.take(index[order])
    long, wide = found.size.T
    full = (long - np.abs(found.skew) * wide) * wide
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
    return _without_spikes(shapely.orient_polygons(parts[keep])), source[keep]


def _without_spikes(polygons: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return polygons (n,) without the spikes of no width that an overlay leaves where a cut runs along
    a board's side."""
    rings, owner = shapely.get_rings(polygons, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.append(ring[1:] != ring[:-1], True)
    first = np.insert(last[:-1], 0, True)
    size = np.bincount(ring)
    number = np.arange(len(points))
    before = np.where(first, number + size[ring] - 2, number - 1)  # a ring's last point is its first again
    after = np.where(last, number - size[ring] + 2, number + 1)
    back, forth = points[before] - points, points[after] - points
    cross = np.abs(back[:, 0] * forth[:, 1] - back[:, 1] * forth[:, 0])
    ahead = (back * forth).sum(axis=1)
    short = np.hypot(*forth.T) < NOISE
    spiked = owner[ring[short | ((ahead > 0) & (cross < SPIKE * ahead))]]
    for each in np.flatnonzero(np.bincount(spiked)):
        outline = _trimmed(polygons[each].exterior.coords)
        holes = [_trimmed(hole.coords) for hole in polygons[each].interiors]
        polygons[each] = shapely.orient_polygons(shapely.Polygon(outline, holes))
    return polygons


def _trimmed(coords: Iterable[tuple[float, ...]]) -> list[Array]:
    """Return a ring's corners, open, without those at which it turns straight back."""
    ring = [np.array(each) for each in coords][:-1]
    number = 0
    while number < len(ring) and len(ring) > 3:
        back, forth = ring[number - 1] - ring[number], ring[(number + 1) % len(ring)] - ring[number]
        ahead, cross = float(back @ forth), abs(float(back[0] * forth[1] - back[1] * forth[0]))
        if min(np.hypot(*back), np.hypot(*forth)) < NOISE or (ahead > 0 and cross < SPIKE * ahead):
            del ring[number]
            number = max(0, number - 2)
        else:
            number += 1
    return ring


def narrowness(polygons: NDArray[np.object_]) -> Array:
    """Return 2 area / perimeter (n,): a convex piece's inscribed circle is this to twice this wide."""
    perimeter = shapely.length(polygons)
    return np.divide(2 * shapely.area(polygons), perimeter, out=np.zeros_like(perimeter), where=perimeter > 0)
