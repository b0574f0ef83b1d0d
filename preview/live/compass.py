"""Where north is, as one finds it out: by what a compass reads along the first wall."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from preview.errors import Place, SceneError
from preview.scene.job import Job
from preview.scene.taped_wall import Wall
from preview.units import MeasureError, parse_bearing

FULL = 360.0


def told_compass(document: Mapping[str, Any], job: Job, walls: Sequence[Wall]) -> str:
    """Return what a compass reads along wall 1, degrees; nothing where the scene doesn't say where north is."""
    if "north" not in document or not walls:
        return ""
    return f"{round((_bearing(walls[0]) - math.degrees(job.north)) % FULL, 1) % FULL:g}"


def north_of(sent: object, walls: Sequence[Wall], job: Job) -> float | int | None:
    """Return where north is, degrees clockwise from up on the plan, from what a compass reads along wall 1; None for
    nothing. Letters such as NW are taken too.

    Raises:
        SceneError: it is no direction.
    """
    text = str(sent).strip()[:100]
    if not text or not walls:
        return None
    try:
        reading = 90.0 - math.degrees(parse_bearing(text))
    except MeasureError as error:
        remedy = "write what the compass reads, 0 to 360, or letters such as NW"
        raise SceneError(Place(job.file, "compass"), error.found, remedy) from None
    found = round((_bearing(walls[0]) - reading) % FULL, 1) % FULL
    return int(found) if found.is_integer() else found


def _bearing(wall: Wall) -> float:
    """Return which way a wall goes on the plan, degrees clockwise from up."""
    return 90.0 - math.degrees(math.atan2(wall.along[1], wall.along[0]))
