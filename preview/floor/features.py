"""What the floor's centre line leads from and to: doorways, windows, hearths and posts whose middles lie near it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from preview.floor.layout import Array, Layout
from preview.floor.sight_lines import WITH_THE_COURSES
from preview.room.rays import first_wall, walls_of
from preview.room.room import Room
from preview.vectors import axes, unit

NEAR = 0.75
"""A feature is near the line if its middle lies within this of it (metres; our own choice): further off nobody takes
the pattern for centred on it, or for meant to be."""


End = Literal["near", "between", "far"]


@dataclass(frozen=True)
class Feature:
    """A feature of the room beside the centre line.

    `aside` metres, square to the run, from the feature's middle to the line, positive to the right of who looks along
    the run. `end` of the line at which it is.
    """

    name: str
    end: End
    aside: float

    @property
    def near(self) -> bool:
        """Whether it is near enough to the line to be named with it."""
        return abs(self.aside) <= NEAR


@dataclass(frozen=True)
class Meeting:
    """Where the centre line, drawn on past the field, meets a wall (from 1): `start` and `stop` metres along the
    wall from its first and its last corner."""

    wall: int
    start: float
    stop: float


def features(room: Room, layout: Layout) -> tuple[Feature, ...]:
    """Return what the centre line can be held against, from the near end of the line to its far end.

    Of the openings, those whose sight lines run with the courses and that face the line from one of its ends; of the
    obstacles all but cabinets, which stand where there is space for them. An obstacle's middle is that of its reach
    across the run.
    """
    along, right = axes(layout.run)
    start = layout.center_line[0]
    length = float(np.hypot(*(layout.center_line[1] - start)))
    found: list[tuple[float, Feature]] = []
    for opening in room.openings:
        facing = float(opening.inward @ along)
        aside, forward = float((start - opening.middle) @ right), float((opening.middle - start) @ along)
        ahead = facing < 0
        if abs(facing) >= np.cos(WITH_THE_COURSES) and ahead == (forward > length / 2):
            found.append((forward, Feature(opening.name, "far" if ahead else "near", aside)))
    for obstacle in room.obstacles:
        if obstacle.kind != "cabinet":
            steps = start - shapely.get_coordinates(obstacle.polygon)
            aside, forward = (float(each.min() + each.max()) / 2 for each in (steps @ right, -steps @ along))
            end: End = "near" if forward <= 0 else "far" if forward >= length else "between"
            found.append((forward, Feature(obstacle.name, end, aside)))
    return tuple(each for _, each in sorted(found, key=lambda pair: pair[0]))


def meetings(room: Room, layout: Layout) -> tuple[Meeting, Meeting]:
    """Return where the centre line meets the wall behind its near end and the one beyond its far end."""
    along = unit(layout.run)
    near, far = layout.center_line
    return _met(room, near, -along), _met(room, far, along)


def _met(room: Room, point: Array, direction: Array) -> Meeting:
    """Return where the ray from `point` (2,) along `direction` (2,) leaves the room first."""
    met = first_wall(room, point, direction)
    if met is None:  # a line along a wall's own face, within rounding: the wall it lies on
        number, place = int(shapely.distance(walls_of(room), shapely.Point(point)).argmin()) + 1, point
    else:
        number, place = met.wall, met.place
    ends = room.corners[number - 1], room.corners[number % len(room.corners)]
    start, stop = (float(np.hypot(*(place - end))) for end in ends)
    return Meeting(number, start, stop)
