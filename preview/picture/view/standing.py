"""Where a viewpoint of a scene stands and what it looks at, as places of the room; where nobody can stand."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.errors import Place, SceneError
from preview.picture.view.floor_visibility import TOO_TALL_TO_STAND_ON, passage
from preview.room.room import Room
from preview.scene.job import Target, Viewpoint

Array = NDArray[np.float64]

CLOSE = 0.06  # nearer to a wall than this and the picture would look into it, metres


def standing(at: Target | None, room: Room) -> Array:
    """Return where a viewpoint stands, (2,): in a cased opening, just inside a door, before a window."""
    if at is not None and at.kind == "opening" and at.name is not None:
        opening = room.opening(at.name)
        inside = {"cased opening": -opening.depth / 2, "door": 0.1, "window": 0.3}[opening.kind]
        return opening.middle + inside * opening.inward
    return spot(at, room)


def spot(target: Target | None, room: Room) -> Array:
    """Return the place in plan, (2,), of what a viewpoint names."""
    if target is None or target.kind == "center":
        return np.array(room.field.centroid.coords[0])
    if target.kind == "point" and target.point is not None:
        return np.array(target.point[:2], float)
    if target.kind == "opening" and target.name is not None:
        return room.opening(target.name).middle
    named = {each.name: each.polygon for each in (room.obstacles if target.kind == "obstacle" else room.vents)}
    return np.array(named[str(target.name)].centroid.coords[0])


def check_standing(viewpoint: Viewpoint, stand: Array, room: Room, place: Place | None) -> None:
    """Raise SceneError where one can't stand at `stand` (2,) with a viewpoint's eye."""
    fault = fault_of(stand, viewpoint.eye, room)
    if fault:
        raise SceneError(place, f"viewpoint {viewpoint.name!r} {fault}", "move it to where one can stand")


def fault_of(stand: Array, eye: float, room: Room) -> str:
    """Say why one can't stand there, or return an empty text."""
    if not 0 < eye < room.height:
        return "has its eye above the ceiling" if eye > 0 else "has its eye below the floor"
    point = shapely.Point(*stand)
    for obstacle in room.obstacles:
        if obstacle.height > TOO_TALL_TO_STAND_ON and obstacle.polygon.buffer(CLOSE).contains(point):
            return f"stands inside the {obstacle.name}"
    if any(passage(each).contains(point) for each in room.openings if each.passable):
        return ""
    if not room.outline.contains(point):
        near = room.outline.distance(point) <= room.wall_thickness
        return "stands inside a wall" if near else "stands outside the room"
    return "stands inside a wall" if room.outline.exterior.distance(point) < CLOSE else ""
