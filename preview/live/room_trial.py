"""A room tried while it is typed: drawn as far as it can be, with every slip told at its own field."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from preview.errors import SceneError, UsageError
from preview.live.floor_numbers import plan_told
from preview.live.replies import error_words
from preview.live.room_form import room_edits
from preview.live.scene_version import SceneVersion
from preview.paper.plan.fitted_plan import room_plan
from preview.paper.plan.walk_plan import walk_plan
from preview.paper.words.check_text import room_rows, vent_rows
from preview.paper.words.obstacle_text import obstacle_rows
from preview.room.corners import settle_corners
from preview.room.measured import build_room
from preview.room.outline import taped_walls
from preview.room.room import Room
from preview.scene.edit import Edit
from preview.scene.job import Leg
from preview.scene.taped_wall import Wall
from preview.units import MeasureError, parse_leg

Json = dict[str, Any]
Read = Callable[[Sequence[Edit]], SceneVersion]

MOST_SLIPS = 30
PLAN = (95.0, 110.0)
"""Space for the plan, mm: so little that the numbers of its walls can be read beside the form."""

MAY_BE_EMPTY = ("height", "sill", "beyond")
"""Fields of a thing that may be left out."""

BARE = (Edit("variants", None), Edit("viewpoints", None), Edit("floor.center", None))
"""Without what names parts of the room: these may be missing from a trial."""


@dataclass(frozen=True)
class Trial:
    """`edits` make the room what was sent, None where something in it is wrong; `told` is what a page is told."""

    edits: list[Edit] | None
    told: Json


def try_room(sent: Mapping[str, Any], version: SceneVersion, read: Read) -> Trial:
    """Try what a page sent for the room.

    read: returns the scene with edits, or raises.
    """
    left: Json = {key: copy.deepcopy(value) for key, value in sent.items()}
    numbers = {
        key: list(range(1, len(value) + 1)) if isinstance(value := left.get(key), list) else []
        for key in ("openings", "obstacles", "vents", "diagonals")
    }
    errors: list[Json] = []
    edits, found = None, None
    for _ in range(MOST_SLIPS):
        try:
            edits = room_edits(left, version, lambda made: _walls(made, read))
            found = _built(edits, read)
            break
        except SceneError as error:
            key, more = _without(left, numbers, error.place.key if error.place else "")
            errors.append({"key": key, "message": error_words(error)})
            if not more:
                break
        except UsageError as error:
            errors.append({"key": "", "message": str(error)})
            break
    told: Json = {"errors": errors, "words": errors[0]["message"] if errors else "", "rows": [], "warnings": []}
    if found is not None:
        room, tried = found
        units = tried.jobs[0].units
        rows = [*room_rows(room, units), *obstacle_rows(room, units), *vent_rows(room, units)]
        told["rows"] = [{"label": label, "text": text} for label, text in rows]
        told["warnings"] = list(room.warnings)
        told |= plan_told(room_plan(room, tried.jobs[0], *PLAN))
    else:
        told |= _drawn_open(left, version, errors[-1]["key"])
    return Trial(None if errors else edits, told)


def _walls(edits: Sequence[Edit], read: Read) -> Sequence[Wall]:
    return taped_walls(settle_corners(read([*edits, *BARE]).jobs[0]).corners)


def walls_of(version: SceneVersion) -> Sequence[Wall]:
    """Return the walls of the base's room as it stands, none where it doesn't close."""
    try:
        return taped_walls(settle_corners(version.jobs[0]).corners)
    except SceneError:
        return ()


def _built(edits: Sequence[Edit], read: Read) -> tuple[Room, SceneVersion]:
    version = read([*edits, *BARE])
    try:
        return build_room(version.jobs[0]), version
    except shapely.errors.GEOSException as fault:
        raise UsageError(f"these walls make no room ({fault})") from fault


def _without(left: Json, numbers: Mapping[str, list[int]], key: str) -> tuple[str, bool]:
    """Take out of what was sent what an error is about, so that the rest can be drawn: a field that may be empty, else
    its thing; return the error's key as the page numbers things, and whether anything was taken out."""
    thing = re.match(r"(openings|obstacles|vents|room\.diagonals)\[(\d+)\]", key)
    if thing:
        of, at = thing[1].removeprefix("room."), int(thing[2]) - 1
        if not 0 <= at < len(numbers[of]):
            return key, False
        field, told = key[thing.end() :].lstrip("."), f"{thing[1]}[{numbers[of][at]}]{key[thing.end() :]}"
        sent = left[of][at]
        if field in MAY_BE_EMPTY and isinstance(sent, dict) and sent.get(field):
            sent[field] = ""
        else:
            del left[of][at], numbers[of][at]
        return told, True
    field = key.removeprefix("room.")
    if field in ("height", "baseboard", "wall_thickness", "compass") and left.get(field):
        left[field] = ""
        return key, True
    if field == "diagonals" and left.get("diagonals"):
        left["diagonals"], numbers["diagonals"][:] = [], []
        return key, True
    return key, False


def _drawn_open(sent: Mapping[str, Any], version: SceneVersion, key: str) -> Json:
    """Return the walk as it was taped, where that is all that can be drawn; up to the wall of which `key` tells that it
    can't be read."""
    wrong = re.match(r"room\.walk\[(\d+)\]", key)
    job, walk = version.jobs[0], sent.get("walk")
    legs = []
    for text in walk[: int(wrong[1]) - 1 if wrong else None] if isinstance(walk, list) else []:
        try:
            legs.append(Leg(*parse_leg(str(text), job.units), str(text)))
        except MeasureError:
            break
    return plan_told(walk_plan(legs, job.title, *PLAN)) if legs else {}
