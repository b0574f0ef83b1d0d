"""Pieces that are cut one by one to their place, as border, thresholds and grilles are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.layout import Pieces, Role

Array = NDArray[np.float64]


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
    if count:
        points, owner = shapely.get_coordinates(shapes, return_index=True)
        first = np.searchsorted(owner, np.arange(count))
        local = np.stack([(points * along[owner]).sum(axis=1), (points * across[owner]).sum(axis=1)], axis=1)
        low, high = np.minimum.reduceat(local, first), np.maximum.reduceat(local, first)
    else:
        low = high = np.zeros((0, 2))
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
