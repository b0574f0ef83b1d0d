"""What holds of a measure that nobody took, for the fields of the room's form."""

from __future__ import annotations

from typing import Any, get_args

from preview.scene.check import OBSTACLE_HEIGHT, OPENING_HEIGHT, WINDOW
from preview.scene.job import Job, ObstacleKind, OpeningKind
from preview.scene.schema import OPENING, ROOM
from preview.units import format_length, parse_length, system

Json = dict[str, Any]


def usual_sizes(job: Job) -> Json:
    """Return in the scene's units what holds where a field is left empty: of the room by its keys, of openings and
    obstacles by their kinds."""
    units = system(job.units)

    def said(metres: float) -> str:
        return format_length(metres, job.units)

    def left_out(pair: Any) -> str:  # noqa: ANN401 (what a schema has where a key is left out)
        return said(parse_length(pair[units == "metric"], job.units))

    sill, tall = WINDOW[units]
    beyond = left_out(OPENING["beyond"].default)
    found: Json = {key: left_out(ROOM[key].default) for key in ("height", "wall_thickness")}
    found["baseboard"] = said(0.0)
    for kind in get_args(OpeningKind):
        window = kind == "window"
        found[kind] = {"height": said(tall if window else OPENING_HEIGHT[units])}
        found[kind] |= {"sill": said(sill)} if window else {"beyond": beyond}
    for kind in get_args(ObstacleKind):
        found[kind] = {"height": said(OBSTACLE_HEIGHT.get(kind, job.room.height))}
    return found
