"""Where the layer's lines lie, as distances a tape can measure before any of them exists."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import ChalkLine, Layout
from preview.room.obstacles import clear_floor
from preview.room.offset import GRID
from preview.room.outline import inward
from preview.room.places import ON_WALL
from preview.room.rays import walls_of
from preview.room.room import Room, RoomVent
from preview.vectors import left_of, steps_round, unit

Array = NDArray[np.float64]

OFF_WALL = 0.005
"""A tape held along a wall is taken to run this far from it, metres, when it is asked what stands in its way."""


TRUE = 0.25
"""A grille turned by less than this from the wall, or from square to it, degrees, is set true to it."""

TAPED_OVER = 0.1
"""A tape is held over what is lower than this, metres, as a hearth's slab is."""


@dataclass(frozen=True, eq=False)
class Tape:
    """A tape from a corner of the room: `corner` counted from 0, and `length` metres from it."""

    corner: int
    length: float


@dataclass(frozen=True, eq=False)
class Mark:
    """A mark on the floor and how it is found: `point` (2,) metres.

    On wall `wall` (counted from 1) where it lies on one: then one or two tapes run along the wall, from those of its
    corners that nothing stands before, the nearer first. Else `wall` is None, and two tapes cross at the mark; a third,
    where there is one, checks them.
    """

    point: Array
    wall: int | None
    tapes: tuple[Tape, ...]


@dataclass(frozen=True, eq=False)
class SettingOut:
    """A chalk line, struck between two marks, and the start point on it.

    `length` is that of the whole line. `from_near`, `from_far` are the start's distances from the marks along it,
    `inside` that from where the line enters the field; metres.
    """

    near: Mark
    far: Mark
    length: float
    from_near: float
    from_far: float
    inside: float


def set_out(room: Room, layout: Layout, line: ChalkLine | None = None) -> SettingOut:
    """Return how a chalk line of `layout`, its first where none is given, and its start are found on the floor."""
    line = line or layout.lines[0]
    along, _ = directions(layout)
    clear = clear_floor(room)
    near, far = (_end(room, clear, line, way) for way in (-along, along))
    return SettingOut(
        near,
        far,
        float((far.point - near.point) @ along),
        float((line.start - near.point) @ along),
        float((far.point - line.start) @ along),
        float((line.start - line.ends[0]) @ along),
    )


def _end(room: Room, clear: BaseGeometry, line: ChalkLine, way: Array) -> Mark:
    """Return the mark at which a line ends that runs `way` (2,) from its start: on the wall that it meets, or, where
    something stands before the wall, at the end of the field."""
    ray = LineString([line.start, line.start + 1e3 * way])
    reached = [
        shapely.get_coordinates(each)
        for each in shapely.get_parts(shapely.intersection(ray, clear))
        if each.distance(shapely.Point(line.start)) < ON_WALL
    ]
    end = line.start
    if reached:
        points = np.concatenate(reached)
        end = points[np.argmax((points - line.start) @ way)]
    walls = shapely.distance(walls_of(room), shapely.Point(end))
    for wall in np.flatnonzero(walls < ON_WALL):
        if mark := _on_wall(room, clear, end, int(wall)):
            return mark
    inside = line.ends[np.argmax(line.ends @ way)]
    return _crossed(room, clear, inside)


def _on_wall(room: Room, clear: BaseGeometry, point: Array, wall: int) -> Mark | None:
    """Return a mark on wall `wall` (from 0), taped along it from its corners; None where things stand on both sides."""
    corners = (wall, (wall + 1) % len(room.corners))
    within = OFF_WALL * inward(room.corners)[wall]
    tapes = []
    for corner in corners:
        beside = LineString([room.corners[corner] + within, point + within])
        if shapely.difference(beside, clear).length < 3 * OFF_WALL:  # in a narrow corner its end is in the other wall
            tapes.append(Tape(corner, float(np.hypot(*(point - room.corners[corner])))))
    return Mark(point, wall + 1, tuple(sorted(tapes, key=lambda each: each.length))) if tapes else None


def _crossed(room: Room, clear: BaseGeometry, point: Array) -> Mark:
    """Return a mark where two tapes from corners cross: of those that see it, the two that place it best.

    Each tape is out by what it is read to; the mark then is out by what the inverse of their directions makes of that
    (the design matrix of a distance intersection), of which the pair with the least is taken.
    """
    low = [each.polygon for each in room.obstacles if each.height < TAPED_OVER]
    clear = shapely.union_all([clear, *low], grid_size=GRID)
    offsets = point - room.corners
    lengths = np.hypot(*offsets.T)
    wide = shapely.buffer(clear, ON_WALL, join_style="mitre")
    seen = [
        number
        for number in range(len(room.corners))
        if lengths[number] > OFF_WALL and wide.covers(LineString([room.corners[number], point]))
    ]
    if len(seen) < 2:
        seen = [number for number in range(len(room.corners)) if lengths[number] > OFF_WALL]
    units = offsets / np.maximum(lengths, OFF_WALL)[:, None]

    def spread(pair: tuple[int, int]) -> float:
        sine = abs(float(units[pair[0]][0] * units[pair[1]][1] - units[pair[0]][1] * units[pair[1]][0]))
        return 1.0 / max(sine, 1e-9)

    best = min(combinations(seen, 2), key=lambda pair: (round(spread(pair), 2), lengths[list(pair)].sum()))
    rest = [each for each in seen if each not in best]
    check = min(rest, key=lambda each: min(spread((each, other)) for other in best), default=None)
    chosen = (*best, *([check] if check is not None else []))
    return Mark(point, None, tuple(Tape(each, float(lengths[each])) for each in chosen))


def vent_turn(room: Room, vent: RoomVent, wall: int) -> float:
    """Return by how much the length of a grille, its first side, is turned from wall `wall` (from 1): degrees
    anticlockwise on the plan, above -90 and up to 90."""
    a, b = room.corners[wall - 1], room.corners[wall % len(room.corners)]
    turn = np.degrees(vent.angle) - np.degrees(np.arctan2(*(b - a)[::-1]))
    turn = -((-float(turn) + 90) % 180 - 90)
    square = round(turn / 90) * 90.0
    if abs(turn - square) < TRUE:
        return abs(square)
    return round(turn, 1)


def directions(layout: Layout) -> tuple[Array, Array]:
    """Return unit vectors (2,) along the run and to the left of it."""
    along = unit(layout.run)
    return along, left_of(along)


def wall_lengths(room: Room) -> Array:
    """Return the length of each wall, (n,) metres."""
    return np.linalg.norm(steps_round(room.corners), axis=1)
