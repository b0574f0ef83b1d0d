"""Flush floor grilles, checked against walls, baseboard, obstacles and each other."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from preview.errors import SceneError
from preview.prepared import prepared
from preview.room.obstacles import LEAST_OVERLAP
from preview.room.offset import inset, outset
from preview.room.room import RoomObstacle, RoomVent
from preview.scene.job import Job, Vent
from preview.units import format_length, round_length, system
from preview.vectors import turned


def vent_polygon(vent: Vent) -> Polygon:
    """Return the outer edge of a vent's frame, anticlockwise from its near right corner."""
    half = np.array(vent.size) / 2 * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
    return Polygon(np.array(vent.center) + turned(half, vent.angle))


WAYS = {"east": (1.0, 0.0), "north": (0.0, 1.0), "west": (-1.0, 0.0), "south": (0.0, -1.0)}
"""The ways in which a vent is moved, as the drawing has them: x is east, y north."""

FURTHEST = 0.6
"""A vent that would have to be moved further than this, metres, would leave its duct."""


def _mended(
    job: Job,
    shape: Polygon,
    bare: Polygon | MultiPolygon,
    obstacles: tuple[RoomObstacle, ...],
    others: list[Vent],
    field: Polygon | MultiPolygon,
) -> str:
    """Say how a vent that straddles is mended: by the shortest shift along the drawing's axes that leaves it wholly in
    the border or in the field, clear of baseboards, obstacles and other vents; in steps that lengths are printed in."""
    step = 0.0254 / 16 if system(job.units) == "imperial" else 0.001
    taken = shapely.union_all(
        [*(outset(each.polygon, each.baseboard) for each in obstacles), *(vent_polygon(each) for each in others)]
    )
    free = prepared(shapely.difference(bare, taken))
    for count in range(1, int(FURTHEST / step) + 1):
        far = count * step
        for way, (x, y) in WAYS.items():
            moved = shapely.transform(shape, lambda points, x=x, y=y, far=far: points + far * np.array([x, y]))
            if moved.difference(free).area > LEAST_OVERLAP:
                continue
            within = moved.intersection(field).area
            if within <= LEAST_OVERLAP or within >= shape.area - LEAST_OVERLAP:
                where = "border" if within <= LEAST_OVERLAP else "field"
                length = format_length(round_length(far, job.units), job.units)
                return f"move it {length} {way} on the plan and it lies wholly in the {where}"
    return "give it a narrower grille, or another border width"


def place_vents(
    job: Job, outline: Polygon, obstacles: tuple[RoomObstacle, ...], field: Polygon | MultiPolygon
) -> tuple[tuple[RoomVent, ...], tuple[str, ...]]:
    """Return the vents, and a warning for each that straddles the border line.

    Raises:
        SceneError: a vent in a wall, under a baseboard, under an obstacle or over another vent.
    """
    placed: list[RoomVent] = []
    warnings: list[str] = []
    edge = "border and its feature strip" if job.border.strip else "border"
    bare = inset(outline, job.room.baseboard)
    for number, vent in enumerate(job.vents, 1):
        place = job.place(f"vents[{number}].center")
        shape = vent_polygon(vent)
        called = f"vent {vent.name}"
        if shape.difference(outline).area > LEAST_OVERLAP:
            raise SceneError(place, f"{called} lies in a wall or outside the room", "move it onto the floor")
        for obstacle in obstacles:
            if shape.intersection(obstacle.polygon).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} lies under {obstacle.name}", "move it onto the floor")
            if shape.intersection(outset(obstacle.polygon, obstacle.baseboard)).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} lies under the baseboard of {obstacle.name}", "move it clear of it")
        if shape.difference(bare).area > LEAST_OVERLAP:
            raise SceneError(place, f"{called} lies under the baseboard", "move it clear of the wall")
        for other in placed:
            if shape.intersection(other.polygon).area > LEAST_OVERLAP:
                raise SceneError(place, f"{called} overlaps vent {other.name}", "move one of them")
        within = shape.intersection(field).area
        if LEAST_OVERLAP < within < shape.area - LEAST_OVERLAP and job.border.width > 0:
            warnings.append(
                f"{called} straddles the border line: it is cut partly into the {edge}, partly into the field; "
                f"{_mended(job, shape, bare, obstacles, [*job.vents[: number - 1], *job.vents[number:]], field)}"
            )
        placed.append(RoomVent(vent.name, shape, np.array(vent.center), vent.size, vent.angle))
    return tuple(placed), tuple(warnings)
