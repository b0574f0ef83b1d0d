"""Which sides of its board a piece keeps: where it is sawn, and which ends of the board it still has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.distinct import distinct
from preview.floor.blanks import blank_coordinates
from preview.floor.layout import Array, Pieces

ON_SIDE = 1e-6
"""An edge this near to its blank's side, metres, is the blank's own."""

Ends = Literal["near", "far", "both", "none"]
ENDS: tuple[Ends, ...] = ("none", "near", "far", "both")
"""The ends of its blank that a piece keeps, at least in part: 1 for the near end plus 2 for the far one."""


@dataclass(frozen=True, eq=False)
class BlankEdges:
    """m edges of n pieces: `owner` (m,), `middle` (m, 2) plan metres, and the side of the blank that each lies on:
    0 near end, 1 far end, 2 right edge, 3 left edge, -1 where it is sawn."""

    owner: NDArray[np.int_]
    middle: Array
    side: NDArray[np.int_]


def kept_ends(pieces: Pieces) -> NDArray[np.int_]:
    """Return which ends of its blank each of n pieces keeps, (n,), as an index of `ENDS`."""
    edges = blank_edges(pieces)
    keeps = np.zeros(len(pieces), int)
    for side, value in ((0, 1), (1, 2)):
        keeps[distinct(edges.owner[edges.side == side])] += value
    return keeps


def blank_edges(pieces: Pieces) -> BlankEdges:
    """Return every edge of the pieces, with the side of its blank that it lies on."""
    rings, piece = shapely.get_rings(pieces.polygons, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    owner = np.asarray(piece)[ring] if len(ring) else np.zeros(0, int)
    local = blank_coordinates(pieces, points, owner)
    lead = np.maximum(0.0, -pieces.skew * pieces.size[:, 1])
    local[:, 0] -= lead[owner] + pieces.skew[owner] * local[:, 1]  # along the board from its near end, as that is cut
    start = np.flatnonzero(ring[1:] == ring[:-1]) if len(ring) else np.zeros(0, int)
    owner, a, b = owner[start], local[start], local[start + 1]
    long = np.hypot(*(b - a).T) > ON_SIDE
    owner, a, b, start = owner[long], a[long], b[long], start[long]
    side = np.full(len(owner), -1)
    size = pieces.size[owner] - np.stack([np.abs(pieces.skew), 0 * pieces.skew], axis=1)[owner] * pieces.size[owner, 1:]
    for number, (axis, place) in enumerate(
        ((0, 0 * size[:, 0]), (0, size[:, 0]), (1, 0 * size[:, 1]), (1, size[:, 1]))
    ):
        on = (np.abs(a[:, axis] - place) < ON_SIDE) & (np.abs(b[:, axis] - place) < ON_SIDE)
        side[on] = number
    return BlankEdges(owner, (points[start] + points[start + 1]) / 2, side)


def local_polygons(pieces: Pieces) -> NDArray[np.object_]:
    """Return the polygons (n,) in blank coordinates: s along the grain, t across, both from 0."""
    points, owner = shapely.get_coordinates(pieces.polygons, return_index=True)
    return shapely.set_coordinates(pieces.polygons.copy(), blank_coordinates(pieces, points, owner))
