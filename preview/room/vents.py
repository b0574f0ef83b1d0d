"""Flush floor grilles, checked against walls, baseboard, obstacles and each other."""

from __future__ import annotations

import numpy as np
from shapely import MultiPolygon, Polygon

from preview.errors import SceneError
from preview.room.obstacles import LEAST_OVERLAP
from preview.room.offset import inset, outset
from preview.room.room import RoomObstacle, RoomVent
from preview.scene.job import Job, Vent


def vent_polygon(vent: Vent) -> Polygon:
    """Return the outer edge of a vent's frame, anticlockwise from its near right corner."""
    half = np.array(vent.size) / 2 * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
    cos, sin = np.cos(vent.angle), np.sin(vent.angle)
    if vent.angle == 0:
        cos, sin = 1.0, 0.0
    return Polygon(np.array(vent.center) + half @ np.array([[cos, sin], [-sin, cos]]))


def place_vents(
    job: Job, outline: Polygon, obstacles: tuple[RoomObstacle, ...], field: Polygon | MultiPolygon
) -> tuple[tuple[RoomVent, ...], tuple[str, ...]]:
    """Return the vents, and a warning for each that straddles the border line.

    Raises:
        SceneError: a vent in a wall, under a baseboard, under an obstacle or over another vent.
    """
    placed: list[RoomVent] = []
    warnings: list[str] = []
    bare = inset(outline, job.room.baseboard)
    for number, vent in enumerate(job.vents, 1):
        place = job.place(f"vents[{number}].center")
        shape = vent_polygon(vent)
        called = f"vent {vent.name}"
        if shape.difference(outline).area > LEAST_OVERLAP:
            raise SceneError(place, f"{called} lies in a wall or outside the room", "move it onto the floor")
        for obstacle in obstacles:
            if shape.intersection(obstacle.polygon).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} lies under {obstacle.name}", "move it onto the floor")
            if shape.intersection(outset(obstacle.polygon, obstacle.baseboard)).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} lies under the baseboard of {obstacle.name}", "move it clear of it")
        if shape.difference(bare).area > LEAST_OVERLAP:
            raise SceneError(place, f"{called} lies under the baseboard", "move it clear of the wall")
        for other in placed:
            if shape.intersection(other.polygon).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} overlaps vent {other.name}", "move one of them")
        within = shape.intersection(field).area
        if LEAST_OVERLAP < within < shape.area - LEAST_OVERLAP and job.border.width > 0:
            warnings.append(
                f"{called} straddles the border line: it is cut partly into the border, partly into the field"
            )
        placed.append(RoomVent(vent.name, shape, np.array(vent.center), vent.size, vent.angle))
    return tuple(placed), tuple(warnings)
