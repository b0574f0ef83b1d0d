"""A job written as a scene, so that a room that was generated is read as a user's is, and can be kept as a file."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from decimal import Decimal

from preview.scene.job import Center, Job, WoodChoice


def room_scene(job: Job) -> str:
    """Return the scene of a job: all that its room and floor are, lengths in metres, its materials by name."""
    room, floor = job.room, job.floor
    walls = [f'"{_number((90 - math.degrees(each.bearing)) % 360)} {_number(each.length)} m"' for each in room.walk]
    measured = f"walk = [{', '.join(walls)}]" if walls else f"corners = {_points(room.corners)}"
    lines = [
        f"title = {json.dumps(job.title)}",
        f'units = "{job.units}"',
        "[room]",
        measured,
        *(
            [
                "diagonals = ["
                + ", ".join(
                    f"{{ from = {each.first}, to = {each.last}, length = {_length(each.length)} }}"
                    for each in room.diagonals
                )
                + "]"
            ]
            if room.diagonals
            else []
        ),
        f"height = {_length(room.height)}",
        f"baseboard = {_length(room.baseboard)}",
        f"wall_thickness = {_length(room.wall_thickness)}",
        "[floor]",
        *([f"pattern = {json.dumps(floor.pattern)}"] if floor.pattern else []),
        *(f"{name} = {_own(name, value)}" for name, value in floor.own),
        f"board_width = {_length(floor.board_width)}",
        f"board_length = {_board_length(job)}",
        f"courses = {json.dumps(floor.courses)}",
        *([f"run = {_degrees(floor.run)}"] if floor.run is not None else []),
        f"center = {_center(floor.center)}",
        f"start = {json.dumps(floor.start) if isinstance(floor.start, str) else _length(floor.start)}",
        f"thickness = {_length(floor.thickness)}",
        f"gap = {_length(floor.gap)}",
        "[border]",
        f"width = {_length(job.border.width)}",
        f"overlap = {_length(job.border.overlap)}",
        f"longest = {_length(job.border.longest)}",
        *(
            [
                f"strip = {{ width = {_length(job.border.strip.width)}, "
                f"species = {json.dumps(job.border.strip.wood.species)} }}"
            ]
            if job.border.strip
            else []
        ),
        *_stock(job),
        *_wood("wood", job.wood),
        *_wood("border_wood", job.border_wood),
    ]
    for opening in job.openings:
        upright = [f"sill = {_length(opening.sill)}"] if opening.kind == "window" else []
        lines += _table(
            "openings", opening.name, opening.kind, f"wall = {opening.wall}", f"offset = {_length(opening.offset)}",
            f"width = {_length(opening.width)}", f"height = {_length(opening.height)}", *upright,
        )  # fmt: skip
    for each in job.obstacles:
        lines += _table("obstacles", each.name, each.kind, f"corners = {_points(each.corners)}",
                        f"height = {_length(each.height)}", f"baseboard = {_length(each.baseboard)}")  # fmt: skip
    for vent in job.vents:
        lines += _table("vents", vent.name, "", f"center = {_points([vent.center])[1:-1]}",
                        f"size = {_points([vent.size])[1:-1]}", f"angle = {_degrees(vent.angle)}")  # fmt: skip
    return "\n".join([*lines, ""])


def _table(name: str, called: str, kind: str, *lines: str) -> list[str]:
    kinds = [f"kind = {json.dumps(kind)}"] if kind else []
    return [f"[[{name}]]", f"name = {json.dumps(called)}", *kinds, *lines]


def _stock(job: Job) -> list[str]:
    stock = job.stock
    lines = ["[stock]", f"kerf = {_length(stock.kerf)}", f"trim = {_length(stock.trim)}"]
    if stock.lengths:
        sticks = (f"{{ length = {_length(each.length)}, count = {each.count} }}" for each in stock.lengths)
        lines.append(f"lengths = [{', '.join(sticks)}]")
    if stock.shortest is not None:
        lines.append(f"shortest = {_length(stock.shortest)}")
    if stock.longest is not None:
        lines.append(f"longest = {_length(stock.longest)}")
    return lines


def _wood(name: str, wood: WoodChoice) -> list[str]:
    names = ("species", "cut", "grade", "stain", "finish")
    lines = [f"[{name}]", *(f"{each} = {json.dumps(getattr(wood, each))}" for each in names), f"seed = {wood.seed}"]
    if wood.moisture:
        told = ", ".join(f"{each} = {getattr(wood.moisture, each)}" for each in ("install", "summer", "winter"))
        lines.append(f"moisture = {{ {told} }}")
    return lines


def _board_length(job: Job) -> str:
    choice = job.floor
    if choice.lengths:
        return f"[{', '.join(_length(each) for each in choice.lengths)}]"
    return '"fit"' if choice.board_length is None else _length(choice.board_length)


def _own(name: str, value: float) -> str:
    """Return the value of a key that only one pattern takes."""
    return {"angle": _degrees, "strips": lambda count: f"{round(count)}"}.get(name, _length)(value)


def _center(center: Center) -> str:
    if center.kind == "opening":
        return f"{{ opening = {json.dumps(center.opening)} }}"
    if center.kind == "point" and center.point:
        return f"{{ point = {_points([center.point])[1:-1]} }}"
    return '"room"'


def _points(points: Iterable[Iterable[float]]) -> str:
    return f"[{', '.join('[' + ', '.join(_length(each) for each in point) + ']' for point in points)}]"


def _length(metres: float) -> str:
    return f'"{_number(metres)} m"'


def _degrees(radians: float) -> str:
    return _number(math.degrees(radians))


def _number(value: float) -> str:
    """Return a number to the last bit, without an exponent."""
    return format(Decimal(repr(float(value))), "f")
