"""Where an obstacle stands, in words that a tape can check: from a wall and one of its corners."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.paper.words.layer_notes import Row
from preview.room.outline import inward
from preview.room.places import ON_WALL, corner_name, offset_from_wall, wall_name
from preview.room.room import Room, RoomObstacle
from preview.scene.job import Unit
from preview.units import format_length
from preview.vectors import following, steps_round

Array = NDArray[np.float64]

PARALLEL = np.radians(0.25)
"""A side turned by less than this from a wall, radians, runs along it: half of what angles are printed to."""

MOST_CORNERS = 6
"""An obstacle of more corners, such as a round column, is told by its size and its middle."""

TOUCHES = 5e-4
"""An obstacle nearer to a wall than this, metres, stands against it: under what a tape reads."""


def obstacle_rows(room: Room, units: Unit) -> list[Row]:
    """Return each obstacle's name, its size and where it stands."""
    return [(each.name, obstacle_text(room, each, units)) for each in room.obstacles]


def obstacle_text(room: Room, obstacle: RoomObstacle, units: Unit) -> str:
    """Return an obstacle's size and place; and what it is where its name doesn't say so.

    A rectangle with a side along a wall is told by that wall, any other shape by its corners, and one of many corners
    by its size and its middle. Distances are from the plaster.
    """
    ring = shapely.get_coordinates(obstacle.polygon.exterior.normalize().simplify(1e-6))[:-1]
    words = _along_wall(room, ring, units)
    if words is None and len(ring) <= MOST_CORNERS:
        words = "its corners " + "; ".join(_place(room, each, units) for each in ring)
    if words is None:
        middle = np.array(obstacle.polygon.centroid.coords[0])
        words = f"{_box(obstacle.polygon, units)}; its middle {_place(room, middle, units)}"
    return words if obstacle.kind in obstacle.name.casefold() else f"{obstacle.kind}, {words}"


def _along_wall(room: Room, ring: Array, units: Unit) -> str | None:
    """Return a rectangle's place on the nearest wall that a side of it runs along; None where it is none, or where no
    wall does."""
    sides = steps_round(ring)
    lengths = np.hypot(*sides.T)
    turns = (sides * following(sides)).sum(axis=1) / (lengths * following(lengths))
    if len(ring) != 4 or np.abs(turns).max() > np.sin(PARALLEL):
        return None
    corners = room.corners
    steps = steps_round(corners)
    spans = np.hypot(*steps.T)
    found = []
    for wall, (a, step, span, into) in enumerate(zip(corners, steps, spans, inward(corners), strict=True)):
        along, clear = (ring - a) @ step / span, (ring - a) @ into
        low, high = float(along.min()), float(along.max())
        level = float(np.ptp(np.sort(clear)[:2])) <= np.sin(PARALLEL) * (high - low)
        if level and clear.min() > -ON_WALL and low > -ON_WALL and high < span + ON_WALL:
            found.append((max(0.0, float(clear.min())), wall, low, high, float(span), float(np.ptp(clear))))
    if not found:
        return None
    # the nearest; of two that it stands against in a corner, that of its longer side
    away, wall, low, high, span, deep = min(
        found, key=lambda each: (each[0] if each[0] >= TOUCHES else 0.0, each[2] - each[3])
    )
    near = low <= span - high
    corner = corner_name(room, wall if near else (wall + 1) % len(corners))
    offset = low if near else span - high
    begins = f"in {corner}" if offset < TOUCHES else f"{format_length(offset, units)} from {corner}"
    stands = "against" if away < TOUCHES else f"{format_length(away, units)} clear of"
    return (
        f"{format_length(high - low, units)} along the wall × {format_length(deep, units)} deep, {stands} "
        f"{wall_name(room, wall + 1)}; it begins {begins}"
    )


def _place(room: Room, point: Array, units: Unit) -> str:
    """Return where a point lies, square to the nearest wall that it is opposite to; in the drawing's coordinates where
    there is none, as in a niche behind something."""
    try:
        found = offset_from_wall(room, point)
    except ValueError:
        return f"at ({format_length(float(point[0]), units)}, {format_length(float(point[1]), units)}) of the scene"
    along = f"{format_length(found.along, units)} from {corner_name(room, found.corner)}"
    if found.square < TOUCHES:
        return f"on wall {found.wall}, {along}"
    return f"{format_length(found.square, units)} from wall {found.wall}, square to it, at {along}"


def _box(shape: Polygon, units: Unit) -> str:
    west, south, east, north = shape.bounds
    return f"{format_length(east - west, units)} × {format_length(north - south, units)} over all"
