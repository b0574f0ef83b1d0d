"""What was taped from the corner where a wall ends, as it would have been from the corner where it begins."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from preview.errors import Place, SceneError
from preview.scene.job import Job
from preview.scene.taped_wall import Wall
from preview.units import MeasureError, format_length, parse_length


def wall_length(walls: Sequence[Wall], number: int) -> float:
    """Return how long a wall is, by its number from 1, metres."""
    return math.dist(walls[number - 1].corner, walls[number % len(walls)].corner)


def is_from_end(thing: Mapping[str, Any]) -> bool:
    """Whether a thing of the form was taped from the corner where its wall ends."""
    return _tape(thing).get("from_end") is True


def from_beginning(thing: Mapping[str, Any], walls: Sequence[Wall], key: str, job: Job) -> Mapping[str, Any]:
    """Return a thing of the form as taped from the corner where its wall begins.

    Its new `offset` is a text, to what lengths are printed to: 1/16 in or 1 mm. A thing without a wall or without
    lengths that can be read is returned as it is, to be refused by who reads it.

    Raises:
        SceneError: its wall is not that long; its key is the offset's.
    """
    if not is_from_end(thing):
        return thing
    tape = _tape(thing)
    try:
        number = int(str(tape.get("wall", "")))
        offset, width = (parse_length(str(tape.get(each, "0")), job.units) for each in ("offset", "width"))
    except (ValueError, MeasureError):
        return thing
    if not 1 <= number <= len(walls):
        return thing
    long = wall_length(walls, number)
    if long - offset - width < -1e-6:
        found = f"{format_length(offset + width, job.units)} from the wall's far corner"
        raise SceneError(Place(job.file, f"{key}.offset"), found, f"the wall is {format_length(long, job.units)} long")
    turned = {**tape, "offset": format_length(max(long - offset - width, 0.0), job.units), "from_end": False}
    return {**thing, "taped": turned} if tape is not thing else turned


def _tape(thing: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the part of a thing that says where it was taped."""
    taped = thing.get("taped")
    return taped if isinstance(taped, Mapping) else thing
