"""What is seen of the next room through an opening, in plan."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.wall_axes import WallFace, wall_face
from preview.room.room import Room, RoomOpening

Array = NDArray[np.float64]

SIDE = 0.6
"""How much wider than the opening, at each side, the next room is shown; metres."""


def opening_face(opening: RoomOpening) -> WallFace:
    """Return the axes of the opening: x from one jamb to the other, z into the room."""
    made = wall_face(opening.a, opening.b)
    return made if made.inward @ opening.inward > 0 else wall_face(opening.b, opening.a)


def head(opening: RoomOpening) -> float:
    """Height of the opening's head over the floor; its own height counts from its sill."""
    return opening.sill + opening.height


def stands_open(opening: RoomOpening) -> bool:
    """Whether one sees through to the next room: a door is drawn open where the scene shows what lies beyond."""
    return opening.kind == "cased opening" or (opening.kind == "door" and opening.beyond > 0)


def next_room(opening: RoomOpening, room: Room) -> Polygon | None:
    """Return the plan of what is shown of the next room, from the wall's outer face; None where nothing is.

    It is narrowed and shortened where it would run into the measured room itself.
    """
    if not stands_open(opening) or opening.beyond <= 0:
        return None
    wall, depth = opening_face(opening), opening.depth

    def strip(near: float, far: float, back: float) -> Polygon:
        return Polygon([wall.plan(near, -depth), wall.plan(near, back), wall.plan(far, back), wall.plan(far, -depth)])

    def met(area: Polygon) -> Array | None:
        """Where the room is met, in the wall's axes (k, 2) of (x, z)."""
        shared = area.intersection(room.outline)
        if shared.area < 1e-6:
            return None
        offset = shapely.get_coordinates(shared) - wall.start
        return np.column_stack([offset @ wall.along, offset @ wall.inward])

    back = -depth - opening.beyond
    across, clearance = wall.length, room.wall_thickness / 2
    if (hit := met(strip(0, across, back))) is not None:
        back = hit[:, 1].max() + clearance
    if back > -depth - 0.3:
        return None
    near, far = -SIDE, across + SIDE
    if (hit := met(strip(near, 0, back))) is not None:
        near = min(0.0, hit[:, 0].max() + clearance)
    if (hit := met(strip(across, far, back))) is not None:
        far = max(across, hit[:, 0].min() - clearance)
    return strip(near, far, back)
