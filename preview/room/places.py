"""Names for places in a room, for messages: people find "wall 3" faster than a coordinate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point

from preview.room.outline import inward
from preview.room.room import Room, RoomObstacle
from preview.scene.job import Job
from preview.vectors import following, steps_round

Array = NDArray[np.float64]

ON_WALL = 1e-6
"""A place this near to a wall, metres, is on it."""

POINTS = ("east", "north", "west", "south")
"""Points of the compass, anticlockwise from east."""

TRUE = np.radians(22.5)
"""A wall within half an eighth of a turn of a point of the compass faces it. Where true north is further than this from
the drawing's up, its letters (`E` to the right) and the compass would contradict each other, and none is named."""


@dataclass(frozen=True, eq=False)
class Offset:
    """A point found from a wall: `square` metres from wall `wall` (counted from 1), square to it, at `along` metres
    from corner `corner` (counted from 0) along the wall."""

    wall: int
    square: float
    corner: int
    along: float


def nearest_wall(corners: Array, point: Point | Sequence[float]) -> tuple[int, float]:
    """Return the wall nearest to a plan point, counted from 1, and its distance in metres."""
    walls = shapely.linestrings(np.stack([corners, following(corners)], axis=1))
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


def edge_on_paper(room: Room, point: Point | Sequence[float]) -> str:
    """Return the same as papers call it: ``the east wall (wall 2)``, ``wall 3``, ``hearth``."""
    wall = nearest_wall(room.corners, point)[0]
    name = name_edge(room, point)
    return side_name(room, wall) if name == f"wall {wall}" else name


def wall_name(room: Room, wall: int) -> str:
    """Return what a wall (counted from 1) is called: its number, and what stands in it, several of a kind by count."""
    found = [
        ([each.name for each in room.openings if each.wall == wall and each.passable is passable], kind)
        for passable, kind in ((True, "openings"), (False, "windows"))
    ]
    things = [f"the {names[0]}" if len(names) == 1 else f"{len(names)} {kind}" for names, kind in found if names]
    return f"wall {wall}" + (f" (with {' and '.join(things)})" if things else "")


def side_name(room: Room, wall: int) -> str:
    """Return what a wall (counted from 1) is called by who stands in the room: ``the east wall (wall 2)`` where walls
    are named by the compass, else ``wall 2``."""
    return f"the {POINTS[_points(room)[wall - 1]]} wall (wall {wall})" if by_compass(room) else f"wall {wall}"


def by_compass(room: Room) -> bool:
    """Return whether walls are named by the compass: in a room of four walls, each of which faces one of its points.
    In every other room all go by their numbers, for two ways of naming on one paper are read as two rooms."""
    north = abs((room.north + np.pi) % (2 * np.pi) - np.pi)
    return bool(north <= TRUE) and sorted(_points(room)) == [0, 1, 2, 3]


def shows_north(room: Room, job: Job) -> bool:
    """Return whether plans say where north is: where the scene does, or where walls are named by the compass."""
    return "north" in job.lines or by_compass(room)


def side_towards(room: Room, direction: Array) -> str:
    """Return the name of the wall that one faces who looks along `direction` (2,)."""
    return side_name(room, wall_towards(room, direction))


def wall_towards(room: Room, direction: Array) -> int:
    """Return the wall (counted from 1) that one faces who looks along `direction` (2,): the longest of those whose
    outward normal is nearest to it, within a degree."""
    outward = -inward(room.corners)
    turn = np.arccos(np.clip(outward @ (direction / np.hypot(*direction)), -1, 1))
    nearest = turn <= turn.min() + np.radians(1.0)
    lengths = np.hypot(*steps_round(room.corners).T)
    return int(np.argmax(np.where(nearest, lengths, -1.0))) + 1


def _points(room: Room) -> NDArray[np.int_]:
    """Return for each wall (n,) the point of the compass that it lies towards, an index of `POINTS`; -1 for one that is
    further than `TRUE` from all of them."""
    outward = -inward(room.corners)
    turn = (np.arctan2(outward[:, 1], outward[:, 0]) + room.north) / (np.pi / 2)
    nearest = np.round(turn)
    return np.where(np.abs(turn - nearest) * np.pi / 2 <= TRUE, nearest.astype(int) % 4, -1)


def the(name: str) -> str:
    """Return a name with its article: one with a capital is taken for a proper one, one with a comma gets quotes."""
    named = f"“{name}”" if "," in name else name
    return named if name[:1].isupper() else f"the {named}"


def corner_name(room: Room, corner: int) -> str:
    """Return what a corner (counted from 0) is called: by the two walls that meet there, as ``corner 4/1``."""
    count = len(room.corners)
    return f"corner {(corner - 1) % count + 1}/{corner + 1}"


def offset_from_wall(room: Room, point: Array) -> Offset:
    """Return how `point` (2,) is found square from the nearest wall that it stands opposite to.

    Raises:
        ValueError: no wall stands opposite to the point.
    """
    best: Offset | None = None
    for wall in range(len(room.corners)):
        a, b = room.corners[wall], room.corners[(wall + 1) % len(room.corners)]
        length = float(np.hypot(*(b - a)))
        step = (b - a) / length
        along = float((point - a) @ step)
        foot = a + along * step
        if not 0 <= along <= length:
            continue
        square = float(np.hypot(*(point - foot)))
        if best is not None and square >= best.square:
            continue
        if shapely.difference(LineString([foot, point]), shapely.buffer(room.outline, ON_WALL)).length > ON_WALL:
            continue
        near = along <= length / 2
        corner = wall if near else (wall + 1) % len(room.corners)
        best = Offset(wall + 1, square, corner, along if near else length - along)
    if best is None:
        raise ValueError("no wall stands opposite to the point")
    return best
