"""From what was measured to the room as exact plan geometry."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from preview.errors import SceneError
from preview.room.corners import settle_corners
from preview.room.obstacles import behind, place_obstacles
from preview.room.offset import inset, outset, parts, subtract
from preview.room.openings import place_openings
from preview.room.outline import check_outline
from preview.room.places import nearest_thing
from preview.room.room import Room, RoomObstacle
from preview.room.tape_words import outside
from preview.room.vents import place_vents
from preview.scene.job import Job
from preview.units import format_length

LEAST_RECESS = 1e-3
"""All-border recesses smaller than this (square metres, about an inch and a quarter square) go unmentioned."""


def build_room(job: Job) -> Room:
    """Return the measured room of a job.

    The floor's outer edge lies under the baseboard by the border's overlap, never further in than the wall:
    ``baseboard - min(overlap, baseboard)`` from the wall, straight on across doors and cased openings. The field
    begins a border's width further in, so that the border line is ``width + baseboard - overlap`` from the wall:
    4 + 1 - 1/4 = 4 3/4 in (common practice, no published source). A feature strip runs round the field inside the
    border and moves the border line in by its own width.

    Raises:
        SceneError: whatever in the scene can't be as measured, with its place; see the other files of this folder.
    """
    settled = settle_corners(job)
    corners = settled.corners
    outline = check_outline(job, corners)
    openings = place_openings(job, corners, settled.slack)
    obstacles, cut_off = place_obstacles(job, outline, openings)
    overlap = min(job.border.overlap, job.room.baseboard)
    floor = _floor(job, outline, obstacles)
    inside = inset(floor, job.border.width)
    if not parts(inside):
        raise _no_field(job, "border.width", f"a border {format_length(job.border.width, job.units)} wide", floor)
    field = inset(inside, job.border.strip_width)
    if not parts(field):
        strip = f"a feature strip {format_length(job.border.strip_width, job.units)} wide"
        raise _no_field(job, "border.strip.width", strip, inside)
    vents, straddling = place_vents(job, outline, obstacles, field)
    return Room(
        title=job.title,
        corners=corners,
        outline=outline,
        height=job.room.height,
        baseboard=job.room.baseboard,
        wall_thickness=job.room.wall_thickness,
        north=job.north,
        openings=openings,
        obstacles=obstacles,
        vents=vents,
        floor=floor,
        inside_border=inside,
        field=field,
        edge=job.room.baseboard - overlap,
        strip_line=job.border.width + job.room.baseboard - overlap,
        border_line=job.border.depth + job.room.baseboard - overlap,
        misclosure=settled.misclosure,
        warnings=(
            *settled.warnings,
            *outside(job.room.diagonals, corners),
            *cut_off,
            *straddling,
            *_all_border(job, corners, obstacles, floor, field),
        ),
        adjustment=settled.adjustment,
    )


def _floor(job: Job, outline: Polygon, obstacles: tuple[RoomObstacle, ...]) -> Polygon | MultiPolygon:
    """Return what wood covers, thresholds left out."""
    floor = inset(outline, job.room.baseboard - min(job.border.overlap, job.room.baseboard))
    stops = [outset(each.polygon, each.baseboard - min(job.border.overlap, each.baseboard)) for each in obstacles]
    floor = subtract(floor, [*stops, *behind(obstacles, outline)])
    if not parts(floor):
        raise SceneError(job.place("room"), "baseboard and obstacles leave no floor", "check their sizes and the units")
    return floor


def _no_field(job: Job, key: str, found: str, floor: Polygon | MultiPolygon) -> SceneError:
    """Return an error about what is too wide for the `floor` that it was to run round."""
    widest = max(shapely.maximum_inscribed_circle(each).length for each in parts(floor))
    return SceneError(
        job.place(key), f"{found} leaves no field", f"give a width under {format_length(widest, job.units)}"
    )


def _all_border(
    job: Job,
    corners: np.ndarray,
    obstacles: tuple[RoomObstacle, ...],
    floor: Polygon | MultiPolygon,
    field: Polygon | MultiPolygon,
) -> list[str]:
    """Return a warning for each part of the floor that is too narrow for a field between its borders."""
    strips = ", with their feature strips," if job.border.strip else ""
    return [
        f"the floor at {nearest_thing(corners, obstacles, each.representative_point())} is narrower than two borders"
        f"{strips} and becomes all border; a narrower border would leave a field there"
        for each in _narrow(floor, field, job.border.depth)
    ]


def border_only(room: Room) -> list[Polygon]:
    """Return the parts of the floor that are too narrow for a field between their borders."""
    return _narrow(room.floor, room.field, room.border_line - room.edge)


def _narrow(floor: Polygon | MultiPolygon, field: Polygon | MultiPolygon, border: float) -> list[Polygon]:
    """Return what the field does not give back when it is moved out again by the border's width and the feature
    strip's together, metres."""
    if border <= 0:
        return []
    return [each for each in parts(subtract(floor, [outset(field, border)])) if each.area > LEAST_RECESS]
