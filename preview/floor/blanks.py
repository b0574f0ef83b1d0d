"""Pieces that are cut one by one to their place, as border, thresholds and grilles are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.layout import Pieces, Role

Array = NDArray[np.float64]


def extents(polygons: NDArray[np.object_], grain: Array) -> tuple[Array, Array]:
    """Return the least and the greatest coordinate along and across the grain of n polygons, (n, 2) each, metres.

    Measured from the plan's origin; `grain` (n,) radians.
    """
    if not len(polygons):
        return np.zeros((0, 2)), np.zeros((0, 2))
    points, owner = shapely.get_coordinates(polygons, return_index=True)
    cos, sin = np.cos(grain)[owner], np.sin(grain)[owner]
    local = np.stack([points[:, 0] * cos + points[:, 1] * sin, points[:, 1] * cos - points[:, 0] * sin], axis=1)
    first = np.searchsorted(owner, np.arange(len(polygons)))
    return np.minimum.reduceat(local, first), np.maximum.reduceat(local, first)


def cut_pieces(polygons: Sequence[Polygon], role: Role, grain: Array, key: Array) -> Pieces:
    """Return n pieces of one role, each with the smallest blank along its grain that holds it.

    Args:
        polygons: n polygons, metres.
        role: what they are.
        grain: (n,) radians anticlockwise from +x.
        key: (n, 2) what names each piece.
    """
    count = len(polygons)
    shapes = np.empty(count, dtype=object)
    shapes[:] = polygons
    shapes = shapely.orient_polygons(shapes)
    grain = np.asarray(grain, dtype=float).reshape(count)
    along = np.stack([np.cos(grain), np.sin(grain)], axis=1)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    low, high = extents(shapes, grain)
    return Pieces(
        polygons=shapes,
        role=np.full(count, role, dtype=np.int8),
        course=np.full(count, -1, dtype=np.int32),
        grain=grain,
        origin=low[:, :1] * along + low[:, 1:] * across,
        size=high - low,
        whole=np.zeros(count, dtype=bool),
        key=np.asarray(key, dtype=np.int32).reshape(count, 2),
    )
