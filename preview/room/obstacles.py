"""What the floor stops at: hearths, columns, islands, cabinets; cut to the room and checked."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from preview.errors import SceneError
from preview.room.offset import edges, parts, subtract, tidy
from preview.room.room import Room, RoomObstacle, RoomOpening
from preview.scene.job import Job, Unit
from preview.units import format_length

MOST_CLIPPED = 0.0254
"""An obstacle may stick out through a wall by an inch of measuring error (metres; our own choice)."""

LEAST_SLIT = 3e-3
"""A slit narrower than this (metres) between an obstacle and a wall takes no wood: the obstacle touches the wall."""

PASSAGE = 0.3
"""What stands nearer than this behind a doorway stands in it: nobody steps in between (metres; our own choice)."""

LEAST_COVERED = 0.01
"""Less of a doorway's width than this (metres) is not in the way."""

LEAST_OVERLAP = 1e-6
"""Two things overlap if they share more than this, a square millimetre (square metres)."""


def place_obstacles(
    job: Job, outline: Polygon, openings: tuple[RoomOpening, ...]
) -> tuple[tuple[RoomObstacle, ...], tuple[str, ...]]:
    """Return the obstacles cut to `outline`, and warnings.

    Raises:
        SceneError: an obstacle with fewer than three corners or edges that cross, outside the room, through a wall
            by more than an inch, or over another.
    """
    placed: list[RoomObstacle] = []
    warnings: list[str] = []
    for number, obstacle in enumerate(job.obstacles, 1):
        place = job.place(f"obstacles[{number}].corners")
        shape = Polygon(obstacle.corners) if len(obstacle.corners) > 2 else Polygon()
        if shape.area < LEAST_OVERLAP or not shape.is_valid:
            raise SceneError(
                place,
                f"the corners of {obstacle.name} enclose nothing, or its edges cross",
                "give at least three corners in order round it",
            )
        inside = tidy(shape.intersection(outline))
        if inside.area < LEAST_OVERLAP:
            raise SceneError(
                place, f"{obstacle.name} lies outside the room", "move it inside the walls, or leave it out"
            )
        out = sticking_out(shape, outline)
        if out > MOST_CLIPPED or not isinstance(inside, Polygon):
            raise SceneError(
                place,
                f"{obstacle.name} sticks out through a wall by {format_length(out, job.units)}",
                f"up to {format_length(MOST_CLIPPED, job.units)} is cut off at the wall; check its corners",
            )
        if format_length(out, job.units) != format_length(0.0, job.units):
            warnings.append(
                f"{obstacle.name} stuck out through a wall by {format_length(out, job.units)} and is cut off there"
            )
        for other in placed:
            if other.polygon.intersection(inside).area > LEAST_OVERLAP:
                raise SceneError(place, f"{obstacle.name} overlaps {other.name}", "move one of them")
        warnings += [words for opening in openings if (words := _in_the_way(obstacle.name, inside, opening, job.units))]
        placed.append(RoomObstacle(obstacle.name, obstacle.kind, inside, obstacle.height, obstacle.baseboard))
    return tuple(placed), tuple(warnings)


def clear_floor(room: Room) -> Polygon | MultiPolygon:
    """Return what of the room a string or a tape can cross on the floor: the room less what stands in it."""
    return subtract(room.outline, [each.polygon for each in room.obstacles])


def _in_the_way(name: str, shape: Polygon, opening: RoomOpening, units: Unit) -> str:
    """Say how much of a doorway an obstacle covers, and whether it hides the sight line; nothing where it is clear."""
    if not opening.passable:
        return ""
    into = PASSAGE * opening.inward
    blocked = shape.intersection(Polygon([opening.a, opening.b, opening.b + into, opening.a + into]))
    if blocked.is_empty:
        return ""
    width = float(np.hypot(*(opening.b - opening.a)))
    places = (shapely.get_coordinates(blocked) - opening.a) @ ((opening.b - opening.a) / width)
    low, high = float(places.min()), float(places.max())
    if high - low < LEAST_COVERED:
        return ""
    whole = width - (high - low) < LEAST_COVERED
    much = "all" if whole else format_length(high - low, units)
    said = f"{name} stands across {much} of {opening.name}, which is {format_length(width, units)} wide"
    if low < width / 2 < high:
        hidden = "threshold and sight line are" if whole else "the sight line through its middle is"
        said += f": {hidden} hidden there"
    return f"{said}; check where both stand"


def behind(obstacles: Sequence[RoomObstacle], outline: Polygon) -> list[Polygon]:
    """Return the slits between obstacles and the walls they stand against: too thin for wood, so not floor.

    An edge whose ends and middle are nearer than `LEAST_SLIT` to a wall is taken to touch it; one that runs across the
    room from wall to wall does not.
    """
    slits: list[Polygon] = []
    for each in obstacles:
        sides = edges(each.polygon, outward=True)
        middle = (sides.start + sides.start[sides.after]) / 2
        near, between = (
            shapely.distance(shapely.points(each), outline.exterior) < LEAST_SLIT for each in (sides.start, middle)
        )
        slits += list(sides.strips(2 * LEAST_SLIT, square=True)[near & near[sides.after] & between])
    return slits


def sticking_out(shape: Polygon, outline: Polygon) -> float:
    """Return how far `shape` reaches out of `outline`, metres: its own corners beyond the walls, or the room's
    corners that it swallows, whichever lies deeper.
    """
    outside = parts(shape.difference(outline))
    if not outside:
        return 0.0
    corners = shapely.points(shapely.get_coordinates(outside))
    swallowed = [point for point in shapely.points(shapely.get_coordinates(outline)) if shape.contains(point)]
    deepest = float(shapely.distance(corners, outline).max())
    return max([deepest, *(float(shape.exterior.distance(point)) for point in swallowed)])
