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
        hand=np.full(count, -1, dtype=np.int8),
        skew=np.zeros(count),
    )


def blank_lengths(boards: Pieces) -> Array:
    """Return how long each board that pieces are cut from is along its blank, with its joint, (m,) metres: a board cut
    in two counts once."""
    lengths: Array = boards.size[np.unique(boards.key, axis=0, return_index=True)[1], 0]
    return lengths


def board_outlines(pieces: Pieces, inset: float = 0.0) -> Array:
    """Return the corners (n, 4, 2) of the uncut boards that pieces are of, anticlockwise from the right corner of the
    near end, every edge moved inwards by `inset` metres: half a joint leaves the wood."""
    along = np.stack([np.cos(pieces.grain), np.sin(pieces.grain)], axis=1)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    (length, width), skew = pieces.size.T, pieces.skew
    lead = np.maximum(0.0, -skew * width)
    ends = inset * np.sqrt(1 + skew**2)
    reach = length - np.abs(skew) * width
    corners = []
    for t, s in ((inset, ends), (inset, reach - ends), (width - inset, reach - ends), (width - inset, ends)):
        corners.append(pieces.origin + (lead + skew * t + s)[:, None] * along + np.reshape(t, (-1, 1)) * across)
    return np.stack(corners, axis=1)


def board_extents(polygons: NDArray[np.object_], pieces: Pieces) -> tuple[Array, Array]:
    """Return the least and the greatest place along and across its board of each of n `polygons`, (n, 2) each, metres:
    along it from its near end, skewed as its ends are, so that a whole board reaches its length."""
    low, high = extents(polygons, pieces.grain)
    if not pieces.skew.any():
        return low, high
    points, owner = shapely.get_coordinates(polygons, return_index=True)
    local = blank_coordinates(pieces, points, owner)
    s = local[:, 0] - pieces.skew[owner] * local[:, 1]
    first = np.searchsorted(owner, np.arange(len(polygons)))
    low[:, 0], high[:, 0] = np.minimum.reduceat(s, first), np.maximum.reduceat(s, first)
    return low, high


def blank_coordinates(pieces: Pieces, points: Array, owner: NDArray[np.int_]) -> Array:
    """Return plan points (m, 2) as seen in the blanks of the pieces that own them: along and across the grain, (m, 2)
    metres from the blank's origin."""
    cos, sin = np.cos(pieces.grain)[owner], np.sin(pieces.grain)[owner]
    x, y = (points - pieces.origin[owner]).T
    return np.stack([x * cos + y * sin, y * cos - x * sin], axis=1)
