"""Where a straight line across a room meets its walls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.room.room import Room
from preview.vectors import following

Array = NDArray[np.float64]

FARTHEST = 1e4  # metres that a ray is drawn, longer than any room
SAME = 1e-9  # metres: of walls that a ray meets at one place the first in the walk counts


@dataclass(frozen=True, eq=False)
class WallHit:
    """A place (2,) on a wall (from 1) that a ray meets `reach` metres from its start."""

    reach: float
    wall: int
    place: Array


def first_wall(room: Room, point: Array, direction: Array) -> WallHit | None:
    """Return what a ray from `point` (2,) along the unit vector `direction` (2,) meets first; None where it meets no
    wall, as one that starts on a wall and leaves the room, or runs along a wall's own face within rounding."""
    ray = shapely.LineString([point, point + FARTHEST * direction])
    best: WallHit | None = None
    for number, hit in enumerate(shapely.intersection(walls_of(room), ray), 1):
        for place in shapely.get_coordinates(hit):
            reach = float((place - point) @ direction)
            if best is None or reach < best.reach - SAME:
                best = WallHit(reach, number, place)
    return best


def walls_of(room: Room) -> NDArray[np.object_]:
    """Return each wall of a room as a line, (n,)."""
    walls: NDArray[np.object_] = shapely.linestrings(np.stack([room.corners, following(room.corners)], axis=1))
    return walls
