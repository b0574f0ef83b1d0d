"""How far the floor's centre line lies from the middle of the room and from the sight line through each opening."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians

import numpy as np

from preview.floor.layout import Array, Layout
from preview.floor.measures import to_walls
from preview.room.rays import first_wall
from preview.room.room import Room, RoomOpening
from preview.vectors import axes

WITH_THE_COURSES = radians(30.0)
"""A sight line that is turned by more than this from the run is seen across the courses; no offset is told of it."""


@dataclass(frozen=True)
class SightOffset:
    """Where the centre line lies for someone who looks in through an opening, metres, positive to the right.

    `at_opening` on the inside face of its own wall and `at_far_wall` where the sight line, `reach` metres long, meets
    the first wall opposite; both square to the run. `angle` radians, from the sight line to the run, as lines without
    a sense.
    """

    opening: str
    passable: bool
    angle: float
    at_opening: float
    at_far_wall: float
    reach: float


def sight_offsets(room: Room, layout: Layout) -> tuple[SightOffset, ...]:
    """Return the offset from each opening whose sight line runs with the courses, in the order of the scene."""
    return tuple(
        each
        for opening in room.openings
        if (each := sight_offset(room, opening, layout.center_line[0], layout.run)) is not None
    )


def sight_offset(room: Room, opening: RoomOpening, point: Array, run: float) -> SightOffset | None:
    """Return how a centre line through `point` (2,) along `run` lies from one sight line; None across the courses."""
    angle = (run - np.arctan2(opening.inward[1], opening.inward[0]) + pi / 2) % pi - pi / 2
    if abs(angle) > WITH_THE_COURSES:
        return None
    along, right = axes(run)
    if opening.inward @ along < 0:
        right = -right
    end = sight_end(room, opening)
    here, there = (float((point - place) @ right) for place in (opening.middle, end))
    reach = float(np.hypot(*(end - opening.middle)))
    return SightOffset(opening.name, opening.passable, float(angle), here, there, reach)


def sight_end(room: Room, opening: RoomOpening) -> Array:
    """Return where the sight line through an opening meets the first wall opposite, (2,) metres."""
    start = opening.middle + 1e-6 * opening.inward
    met = first_wall(room, start, opening.inward)
    return opening.middle if met is None else met.place


def middle_offsets(room: Room, layout: Layout) -> tuple[float, float]:
    """Return how far right of the middle between the walls the centre line lies at the near and at the far end, metres.

    Taken square to the run a board's width inside each end of the line; in a room out of square the two differ.
    """
    ends = to_walls(room, layout.center_line, layout.board.width)
    near, far = ((left - right) / 2 for left, right in ends)
    return near, far
