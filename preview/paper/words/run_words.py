"""Which way the courses run, in words, and why."""

from __future__ import annotations

import math

from preview.floor.laid import LaidFloor
from preview.paper.words.numbers import and_list
from preview.room.directions import Direction, room_directions, same_direction
from preview.room.places import the


def run_text(floor: LaidFloor) -> str:
    """Return which way the courses of a floor run, and why where the scene leaves that to the program."""
    found = room_directions(floor.room.corners, floor.job.openings)
    direction = same_direction(found, floor.layout.run)
    where = direction_text(direction) if direction else f"at {angle_text(floor.layout.run)}, anticlockwise from E"
    center = floor.job.floor.center
    if center.kind == "opening":
        return f"{where}: with the sight line that the floor is centred on"
    if floor.job.floor.run is not None:
        return where
    return f"{where}: by itself, {'the first door' if direction and direction.openings else 'for want of a door'}"


def direction_text(direction: Direction) -> str:
    """Return a direction in words: ``straight in from the hall door, along walls 2 and 4``."""
    walls = ""
    if direction.walls:
        walls = (
            f"along {'wall' if len(direction.walls) == 1 else 'walls'} {and_list([str(n) for n in direction.walls])}"
        )
    doors = f"straight in from {and_list([the(each) for each in direction.openings])}" if direction.openings else ""
    return ", ".join(each for each in (doors, walls, "the longest" if direction.longest and not doors else "") if each)


def angle_text(angle: float) -> str:
    """Return an angle, radians, as drawings have it: ``30°``."""
    return f"{round(math.degrees(angle) % 360, 2):g}°"
