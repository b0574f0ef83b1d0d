"""The walls as one simple polygon: checked, whichever way round they were measured."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.errors import SceneError
from preview.scene.job import Job
from preview.scene.taped_wall import Wall
from preview.vectors import following, left_of, steps_round

Array = NDArray[np.float64]

SHORTEST_WALL = 1e-3
"""Corners closer than this (metres) are one corner measured twice."""


def check_outline(job: Job, corners: Array) -> Polygon:
    """Return the room's outline, anticlockwise, from its corners (n, 2) in metres.

    Raises:
        SceneError: fewer than three corners, a wall without length, a wall that doubles back on the
            one before it, or two walls that cross or touch.
    """
    place = job.place("room.walk" if job.room.walk else "room.corners")
    count = len(corners)
    if count < 3:
        raise SceneError(place, f"{count} corners", "a room has at least three")
    after = following(corners)
    lengths = np.hypot(*(after - corners).T)
    for wall in np.flatnonzero(lengths < SHORTEST_WALL)[:1] + 1:
        end = wall % count + 1
        raise SceneError(
            place, f"wall {wall} has no length: corners {wall} and {end} are one point", "leave one of them out"
        )
    along = (after - corners) / lengths[:, None]
    turned_back = (along * np.roll(along, 1, axis=0)).sum(axis=1) < -1 + 1e-9
    for wall in np.flatnonzero(turned_back)[:1] + 1:
        before = (wall - 2) % count + 1
        raise SceneError(place, f"wall {wall} runs back over wall {before}", f"check corner {wall}")
    crossing = _crossing(corners, after)
    if crossing:
        first, second = crossing
        raise SceneError(
            place,
            f"wall {first} and wall {second} cross or touch",
            "give the corners in the order in which one meets them walking round the room",
        )
    return shapely.orient_polygons(Polygon(corners))


def inward(corners: Array) -> Array:
    """Return each wall's unit normal into the room, (n, 2), for corners (n, 2) either way round."""
    step = steps_round(corners)
    along = step / np.maximum(np.hypot(*step.T), SHORTEST_WALL**2)[:, None]
    return np.sign(signed_area(corners)) * left_of(along)


def taped_walls(corners: Array) -> tuple[Wall, ...]:
    """Return the walls of a room with corners (n, 2), as what stands along them is taped."""
    steps = steps_round(corners)
    along = steps / np.maximum(np.hypot(*steps.T), 1e-9)[:, None]
    rows = zip(corners.tolist(), along.tolist(), inward(corners).tolist(), strict=True)
    return tuple(Wall((cx, cy), (ax, ay), (ix, iy)) for (cx, cy), (ax, ay), (ix, iy) in rows)


def signed_area(corners: Array) -> float:
    """Return the area within corners (n, 2) by the shoelace formula, square metres, above zero if anticlockwise."""
    x, y = (corners - corners[0]).T
    return float((x * following(y) - following(x) * y).sum() / 2)


def _crossing(start: Array, end: Array) -> tuple[int, int] | None:
    """Return the first two walls, counted from 1, that meet though they are no neighbours."""
    walls = shapely.linestrings(np.stack([start, end], axis=1))
    first, second = shapely.STRtree(walls).query(walls, predicate="intersects")
    gap = (second - first) % len(walls)
    meets = (first < second) & (gap != 1) & (gap != len(walls) - 1)
    if not meets.any():
        return None
    pairs = sorted(zip(first[meets] + 1, second[meets] + 1, strict=True))
    return int(pairs[0][0]), int(pairs[0][1])
