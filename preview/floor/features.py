"""What the floor's centre line leads from and to: doorways, windows, hearths and posts whose middles lie near it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, Polygon

from preview.floor.layout import Array, Layout
from preview.floor.sight_lines import WITH_THE_COURSES
from preview.room.rays import first_wall, walls_of
from preview.room.room import Room
from preview.vectors import axes, unit

NEAR = 0.75
"""A feature is near the line if its middle lies within this of it (metres; our own choice): further off nobody takes
the pattern for centred on it, or for meant to be."""


ASKEW = np.radians(1.0)
"""A face that is turned by more than this from square to the line is measured along (by choice): below it, what a tape
reads along the face and across the line differ by less than a sixth of a millimetre a metre."""

FRONT = 0.5
"""An obstacle has a front if one of its edges that face the line is at least this share of its width across the run."""

AGAINST = 0.05
"""An obstacle no further from a wall than this, metres, stands against it: a baseboard may lie between (by choice)."""

End = Literal["near", "between", "far"]
By = Literal["wall", "front", "line"]


@dataclass(frozen=True)
class Feature:
    """A feature of the room beside the centre line.

    `aside` metres, square to the run, from the feature's middle to the line, positive to the right of who looks along
    the run. `end` of the line at which it is. `taped` is the same distance as one measures it who stands before it: of
    a face that is `askew`, along its wall or along its front (`by`), as far as the line meets that. `towards` is the
    number of the wall that one comes to who goes from an opening's middle along its wall to the line; 0 elsewhere.
    """

    name: str
    end: End
    aside: float
    taped: float
    by: By = "line"
    askew: bool = False
    towards: int = 0

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
    obstacles all but cabinets, which stand where there is space for them. An obstacle's middle is that of its front
    edge, where it has one and stands at an end of the line; else that of its reach across the run.
    """
    along, right = axes(layout.run)
    start = layout.center_line[0]
    length = float(np.hypot(*(layout.center_line[1] - start)))
    walls = [walls_of(room)[met.wall - 1] for met in meetings(room, layout)]
    found: list[tuple[float, Feature]] = []
    for opening in room.openings:
        facing, forward = float(opening.inward @ along), float((opening.middle - start) @ along)
        ahead = facing < 0
        if abs(facing) >= np.cos(WITH_THE_COURSES) and ahead == (forward > length / 2):
            wall = room.corners[[opening.wall - 1, opening.wall % len(room.corners)]]
            end: End = "far" if ahead else "near"
            each = _faced(opening.name, end, wall, opening.middle, start, right, "wall")
            if each.by == "wall" or not each.askew:
                each = replace(each, towards=_next_wall(room, opening.wall, (wall[1] - wall[0]) @ right * each.aside))
            found.append((forward, each))
    for obstacle in room.obstacles:
        if obstacle.kind != "cabinet":
            steps = start - shapely.get_coordinates(obstacle.polygon)
            aside, forward = (float(each.min() + each.max()) / 2 for each in (steps @ right, -steps @ along))
            end = _end(obstacle.polygon, forward, length, walls)
            front = None if end == "between" else _front(obstacle.polygon, along if end == "far" else -along, right)
            if front is None:
                found.append((forward, Feature(obstacle.name, end, aside, aside)))
            else:
                middle = front.mean(axis=0)
                found.append((forward, _faced(obstacle.name, end, front, middle, start, right, "front")))
    return tuple(each for _, each in sorted(found, key=lambda pair: pair[0]))


def _end(polygon: Polygon, forward: float, length: float, walls: Sequence[LineString]) -> End:
    """Return at which end of the line an obstacle is, its middle `forward` metres on: at one where it stands against
    the wall there, or lies past the line's end."""
    near, far = (shapely.distance(polygon, each) < AGAINST for each in walls)
    if forward <= 0 or (near and forward < length / 2):
        return "near"
    return "far" if forward >= length or (far and forward > length / 2) else "between"


def _faced(name: str, end: End, face: Array, middle: Array, start: Array, right: Array, by: By) -> Feature:
    """Return a feature whose `middle` (2,) lies on a straight face (2, 2), beside the line through `start` (2,)."""
    aside = float((start - middle) @ right)
    way = (face[1] - face[0]) / np.hypot(*(face[1] - face[0]))
    across = float(way @ right)  # the cosine of the angle between face and right
    askew = abs(across) < np.cos(ASKEW)
    if not askew:
        return Feature(name, end, aside, aside)
    step = aside / across
    place = float((middle - face[0]) @ way) + step
    if not 0 <= place <= np.hypot(*(face[1] - face[0])):
        return Feature(name, end, aside, aside, askew=True)
    return Feature(name, end, aside, abs(step) * (1 if aside > 0 else -1), by, askew=True)


def _front(polygon: Polygon, towards: Array, right: Array) -> Array | None:
    """Return the edge (2, 2) of an obstacle that one meets who goes `towards` (2,) it along the run: of those that face
    the run within `WITH_THE_COURSES` the longest, if it is most of the obstacle's width; None where there is none."""
    corners = shapely.get_coordinates(shapely.orient_polygons(polygon).exterior)
    steps = np.diff(corners, axis=0)
    lengths = np.hypot(*steps.T)
    outward = np.stack([steps[:, 1], -steps[:, 0]], axis=1) / np.maximum(lengths, 1e-12)[:, None]
    faces = outward @ -towards >= np.cos(WITH_THE_COURSES)
    best = int(np.argmax(np.where(faces, lengths, 0.0)))
    if not faces[best] or abs(steps[best] @ right) < FRONT * float(np.ptp(corners @ right)):
        return None
    return corners[[best, best + 1]]


def _next_wall(room: Room, wall: int, onward: float) -> int:
    """Return the wall that a wall (from 1) meets at its last corner, or at its first where `onward` is not above 0."""
    count = len(room.corners)
    return wall % count + 1 if onward > 0 else (wall - 2) % count + 1


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
