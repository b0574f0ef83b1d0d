"""The directions that a room itself has: straight in from its doors, and along its walls."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.room.outline import taped_walls
from preview.scene.job import Opening
from preview.scene.taped_wall import Wall

PARALLEL = math.radians(1.0)
"""Directions within this angle of one another count as one, as in `floor.centering`."""


@dataclass(frozen=True)
class Direction:
    """A direction, `angle` radians anticlockwise from +x, 0 to 2 pi: of the `openings` that one walks straight in by,
    and of the `walls` along it, from 1. `longest` is whether the room's longest wall is among these."""

    angle: float
    walls: tuple[int, ...]
    openings: tuple[str, ...] = ()
    longest: bool = False


def room_directions(corners: NDArray[np.float64], openings: Sequence[Opening]) -> tuple[Direction, ...]:
    """Return the directions of a room: first those in from its doors and cased openings, in their order, then those of
    walls that no door looks along, each once.

    corners: (n, 2), metres, in the order of the walls.
    """
    walls = taped_walls(corners)
    lengths = [math.dist(wall.corner, walls[(n + 1) % len(walls)].corner) for n, wall in enumerate(walls)]
    longest = lengths.index(max(lengths)) + 1
    found: list[tuple[float, list[str]]] = []
    for each in openings:
        if each.kind == "window":
            continue
        angle = _angle(walls[each.wall - 1].inward)
        same = next((names for other, names in found if _between(angle, other, 2 * math.pi) < PARALLEL), None)
        if same is None:
            found.append((angle, [each.name]))
        else:
            same.append(each.name)
    for _, wall in sorted(zip(lengths, walls, strict=True), key=lambda each: -each[0]):
        angle = _angle(wall.along)
        if all(_between(angle, other, math.pi) > PARALLEL for other, _ in found):
            found.append((angle, []))
    return tuple(_direction(angle, tuple(names), walls, longest) for angle, names in found)


def _direction(angle: float, openings: tuple[str, ...], walls: Sequence[Wall], longest: int) -> Direction:
    along = [n for n, wall in enumerate(walls, 1) if _between(angle, _angle(wall.along), math.pi) < PARALLEL]
    return Direction(angle, tuple(along), openings, longest in along)


def same_direction(found: Sequence[Direction], angle: float) -> Direction | None:
    """Return the direction that an angle has, radians, None where the room has no such; the other way along walls is
    one too."""
    for each in found:
        if _between(angle, each.angle, 2 * math.pi) < PARALLEL:
            return each
    other = next((each for each in found if each.walls and _between(angle, each.angle, math.pi) < PARALLEL), None)
    return replace(other, angle=angle % (2 * math.pi), openings=()) if other else None


def _angle(vector: Sequence[float]) -> float:
    return math.atan2(vector[1], vector[0]) % (2 * math.pi)


def _between(a: float, b: float, turn: float) -> float:
    """Return the angle between two directions, of which those a `turn` apart are the same."""
    off = (a - b) % turn
    return min(off, turn - off)
