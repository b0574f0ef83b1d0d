"""Names for places in a room, for messages: people find "wall 3" faster than a coordinate."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point

from preview.room.room import Room, RoomObstacle

Array = NDArray[np.float64]


def nearest_wall(corners: Array, point: Point | Sequence[float]) -> tuple[int, float]:
    """Return the wall nearest to a plan point, counted from 1, and its distance in metres."""
    walls = shapely.linestrings(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1))
    distance = shapely.distance(walls, point if isinstance(point, Point) else Point(point))
    nearest = int(distance.argmin())
    return nearest + 1, float(distance[nearest])


def nearest_thing(corners: Array, obstacles: Sequence[RoomObstacle], point: Point | Sequence[float]) -> str:
    """Return the name of the wall or obstacle nearest to a plan point: ``wall 3``, ``hearth``."""
    point = point if isinstance(point, Point) else Point(point)
    wall, best = nearest_wall(corners, point)
    name = f"wall {wall}"
    for each in obstacles:
        distance = each.polygon.distance(point)
        if distance < best:
            name, best = each.name, distance
    return name


def name_edge(room: Room, point: Point | Sequence[float]) -> str:
    """Return the name of what stands nearest to a plan point of `room`: ``wall 3``, ``hearth``."""
    return nearest_thing(room.corners, room.obstacles, point)
