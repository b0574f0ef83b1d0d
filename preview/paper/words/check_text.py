"""What was understood of a scene, in the units of its file, so that a slip of the tape or the pen is seen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon

from preview.floor.laid import LaidFloor
from preview.light.sources.lamps import lamps_for, windowless
from preview.light.sources.light_remarks import light_remarks
from preview.paper.words.compare_rows import compared, finish_text, wood_text
from preview.paper.words.layer_notes import Row
from preview.paper.words.light_rows import light_rows
from preview.paper.words.numbers import long_text
from preview.paper.words.obstacle_text import obstacle_rows
from preview.paper.words.paint_words import paint_remarks, paint_rows
from preview.paper.words.rows_text import table
from preview.paper.words.run_words import run_text
from preview.paper.words.setting_out import wall_lengths
from preview.paper.words.tape_rows import tape_rows, wall_note
from preview.paper.words.year import year_rows
from preview.room.room import Room, RoomOpening, RoomVent
from preview.scene.job import Job, Unit
from preview.units import format_area, format_bearing, format_length
from preview.vectors import steps_round

if TYPE_CHECKING:
    from preview.light.result.report import FloorLux


def check_text(floors: Sequence[LaidFloor], lux: FloorLux | None = None, views: Sequence[str] = ()) -> str:
    """Return the room, the floor, the variants and, where given, the light in words, the base scene first; `views` are
    warnings of its viewpoints."""
    base = floors[0]
    job, room, units = base.job, base.room, base.job.units
    sections: list[tuple[str, list[Row]]] = [
        ("Room", room_rows(room, units)),
        ("Openings", [(each.name, _opening(room, each, units)) for each in room.openings]),
        ("Obstacles", obstacle_rows(room, units)),
        ("Vents", vent_rows(room, units)),
        ("Floor", _floor(base, units)),
        ("Through the year", year_rows(base)),
        ("Paint", paint_rows(base.job)),
        ("Light", [*_light(job, room), *(light_rows(lux, units) if lux else [])]),
    ]
    warnings = [
        (each.job.variant, warning) for each in floors for warning in (*each.layout.warnings, *each.remedy.advice)
    ]
    warnings += [
        (each.job.variant, warning)
        for each in floors
        for warning in light_remarks(each.room, each.job.openings, each.job.light)
    ]
    warnings += [(each.job.variant, warning) for each in floors for warning in paint_remarks(each.job, each.room)]
    warnings += [(each.job.variant, warning) for each in floors for warning in views]
    told = list(dict.fromkeys(words for _, words in warnings))
    count = "1 warning" if len(told) == 1 else f"{len(told)} warnings"
    state = f"read and laid; {count} at the end" if told else "read and laid, no warnings"
    lines = [job.title, f"{job.file}: {state}"]
    for heading, rows in sections:
        if rows:
            lines += ["", heading, *table(rows)]
    lines += ["", "Viewpoints", "  " + (", ".join(each.name for each in job.viewpoints) or "the program's own")]
    lines += _variants(floors)
    if told:
        lines += ["", "Warnings"]
        for warning in told:
            whose = [variant for variant, words in warnings if words == warning]
            lines.append(f"  ! {warning}" + ("" if len(whose) == len(floors) else f" ({', '.join(whose)})"))
    return "\n".join(lines) + "\n"


def room_rows(room: Room, units: Unit) -> list[Row]:
    """Return a room's size, its walls one by one, and how well its tapes agree."""
    rows = [("Size", _size(room.outline.bounds, units) + f", {format_length(room.height, units)} high")]
    rows.append(("Area", format_area(room.outline.area, units)))
    lengths = wall_lengths(room)
    steps = steps_round(room.corners)
    for number, (length, step) in enumerate(zip(lengths, steps, strict=True), 1):
        heading = format_bearing(np.radians(round(float(np.degrees(np.arctan2(step[1], step[0]))), 1)))
        heading += "°" if heading[0].isdigit() else ""
        note = wall_note(room, number, units)
        rows.append((f"Wall {number}", f"{heading} {format_length(float(length), units)}{note}"))
    return [*rows, *tape_rows(room, units)]


def _opening(room: Room, opening: RoomOpening, units: Unit) -> str:
    a, b = room.corners[opening.wall - 1], room.corners[opening.wall % len(room.corners)]
    aside = float((opening.middle - (a + b) / 2) @ (b - a) / np.hypot(*(b - a)))
    nearer = opening.wall % len(room.corners) + 1 if aside > 0 else opening.wall
    words = format_length(abs(aside), units)
    where = "in the middle" if words == format_length(0, units) else f"{words} off the middle, towards corner {nearer}"
    wide = format_length(float(np.hypot(*(opening.b - opening.a))), units)
    return f"{opening.kind}, {wide} wide, wall {opening.wall}, {where}"


def vent_rows(room: Room, units: Unit) -> list[Row]:
    """Return each vent's name, its size and where its middle lies."""
    return [(each.name, _vent(each, units)) for each in room.vents]


def _vent(vent: RoomVent, units: Unit) -> str:
    """The frame's size and where its middle lies."""
    return f"{' × '.join(format_length(side, units) for side in vent.size)}, its middle at {_at(vent.center, units)}"


def _at(point: Sequence[float] | NDArray[np.float64], units: Unit) -> str:
    return f"({format_length(float(point[0]), units)}, {format_length(float(point[1]), units)})"


def _floor(floor: LaidFloor, units: Unit) -> list[Row]:
    job, layout = floor.job, floor.layout
    west, south, east, north = layout.field.bounds
    parts = len(layout.field.geoms) if isinstance(layout.field, MultiPolygon) else 1
    within = f", in {parts} parts" if parts > 1 else ""
    border = f"{format_length(layout.border_width, units)} wide, {wood_text(job.border_wood)}"
    strip = job.border.strip
    board = layout.board
    asked = "mixed" if board.mixed else "fitted" if job.floor.board_length is None else "as given"
    if len(job.floor.lengths) > 1 and not board.mixed:
        asked = f"the best of the {len(job.floor.lengths)} lengths to choose from"
    return [
        (
            "Field",
            _size((west, south, east, north), units) + f", {format_area(layout.measures['field_area'], units)}{within}",
        ),
        ("Border", border if layout.border_width else "none"),
        *([("Feature strip", f"{format_length(strip.width, units)} wide, {wood_text(strip.wood)}")] if strip else []),
        ("Border line", f"{format_length(layout.border_line, units)} from the walls"),
        ("Boards", f"{format_length(board.width, units)} × {long_text(board, units, format_length)} ({asked})"),
        ("Courses", f"{layout.count}"),
        ("Centred on", _center(job)),
        ("Courses run", run_text(floor)),
        ("Wood", f"{wood_text(job.wood)}, {job.wood.grade}, {finish_text(job.wood.finish, job.materials)}"),
    ]


def _center(job: Job) -> str:
    center = job.floor.center
    if center.kind == "opening":
        return f"the sight line through the {center.opening}"
    if center.kind == "point" and center.point is not None:
        return "the point " + ", ".join(format_length(each, job.units) for each in center.point)
    return "the field"


def _light(job: Job, room: Room) -> list[Row]:
    lamps = lamps_for(room, job.light)
    lit = [("Lamps", f"even light from the ceiling, {lamps:,.0f} lux on it")] if lamps else []
    if windowless(room):
        return [("Sky", "not seen, as there is no window"), *lit]
    sun = job.light.sun
    words = f"{job.light.sky} sky"
    if sun is not None:
        words += f", sun of {sun.time.isoformat(sep=' ', timespec='minutes')} at {sun.latitude:g}, {sun.longitude:g}"
    return [("Sky", words), *lit]


def _variants(floors: Sequence[LaidFloor]) -> list[str]:
    """Say what sets each variant apart from the base scene."""
    lines = ["", "Variants", f"  {floors[0].job.variant} (the scene itself)"]
    differing = [line for line in compared(floors) if line.differs]
    for number, floor in enumerate(floors[1:], 1):
        lines.append(f"  {floor.job.variant}")
        changed = [line for line in differing if line.values[number] != line.values[0]]
        lines += (
            [
                f"    {row[2:]}"
                for row in table((each.label, f"{each.values[number]}, not {each.values[0]}") for each in changed)
            ]
            if changed
            else []
        )
    return lines


def _size(bounds: tuple[float, float, float, float], units: Unit) -> str:
    west, south, east, north = bounds
    return f"{format_length(east - west, units)} × {format_length(north - south, units)}"
