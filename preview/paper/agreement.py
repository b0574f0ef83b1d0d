"""What a customer agrees to with a signature, in plain words and in the units of the scene."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from preview.floor.layout import Layout
from preview.paper.compare_rows import compared, wood_text
from preview.paper.layer_notes import Row
from preview.paper.line_words import Floor, line_words, the
from preview.paper.numbers import triangle_sentence
from preview.paper.setting_out import chalk_in_field, directions, looking, tape
from preview.paper.year import year_words
from preview.room.places import wall_name
from preview.room.room import Room
from preview.scene.job import Job
from preview.units import format_area, format_length

VARIES = (
    "Real wood varies from board to board in colour, grain and figure, and changes with light and age. The pictures "
    "are computed from the measured room and show boards of this kind, not these very boards; screens and paper vary "
    "too. Please choose the wood and the finish from samples."
)


def agreed_rows(room: Room, layout: Layout, job: Job) -> list[Row]:
    """Return the points that are settled by signing: centre line, boards, ends, border, grilles, wood."""
    units, board = job.units, layout.board
    size = f"{format_length(board.width, units)} wide, {format_length(board.length, units)} long"
    seen = f" as one looks {looking(layout)}"
    rows = [
        ("Centre line", " ".join([f"The pattern is centred on {_center(job)}.", *line_words(room, layout, units)])),
        ("Boards", f"{size}: {layout.count} courses, each {format_length(layout.course_width, units)} wide."),
    ]
    ends: tuple[Literal["near", "far"], ...] = ("near", "far")
    rows += [(f"Ends at {_end(room, layout, end)}", triangle_sentence(layout, end, units)) for end in ends]
    left, right = (_side(layout, job, side) for side in ("left", "right"))
    rows.append(("Sides", f"Both sides end in {left}." if left == right else f"Left: {left}. Right: {right},{seen}."))
    if layout.border_width > 0:
        width = format_length(layout.border_width, units)
        rows.append(("Border", f"{width} of {wood_text(job.border_wood)}, mitred at the corners."))
    else:
        rows.append(("Border", "None: the pattern runs to the walls."))
    if room.vents:
        names = ", ".join(vent.name for vent in room.vents)
        count = "1 flush wooden grille" if len(room.vents) == 1 else f"{len(room.vents)} flush wooden grilles"
        rows.append(("Grilles", f"{count}: {names}, where the plan shows {'it' if len(room.vents) == 1 else 'them'}."))
    if words := year_words(room, layout, job):
        rows.append(("Through the year", words))
    return rows


def floor_rows(layout: Layout, job: Job) -> list[Row]:
    """Return what the floor is made of."""
    units, board = job.units, layout.board
    sizes = " × ".join(format_length(each, units) for each in (board.width, board.length, board.thickness))
    border = "none"
    if layout.border_width > 0:
        border = f"{format_length(layout.border_width, units)}, {wood_text(job.border_wood)}"
    return [
        ("Wood", wood_text(job.wood)),
        ("Grade", job.wood.grade),
        ("Finish", job.wood.finish),
        ("Boards", f"{sizes} (width, length, thickness)"),
        ("Border", border),
        ("Courses", f"{layout.count}, each {format_length(layout.course_width, units)} wide"),
        ("Floor", f"{format_area(layout.measures['floor_area'], units)} in all"),
    ]


def differences(floors: Sequence[Floor]) -> list[tuple[str, list[Row]]]:
    """Return each variant after the first by name, with the rows in which it differs from the first."""
    lines = compared(floors)
    return [
        (job.variant, [(line.label, line.values[n]) for line in lines if line.values[n] != line.values[0]])
        for n, (job, _, _) in enumerate(floors)
        if n > 0
    ]


def _center(job: Job) -> str:
    center = job.floor.center
    if center.kind == "opening":
        return the(str(center.opening))
    return "the room" if center.kind == "room" else "a point that was agreed on"


def _end(room: Room, layout: Layout, end: str) -> str:
    """Return the wall at an end of the courses."""
    along, _ = directions(layout)
    near, far = chalk_in_field(layout)
    met = tape(room, near, -along) if end == "near" else tape(room, far, along)
    return wall_name(room, met.wall)


def _side(layout: Layout, job: Job, side: str) -> str:
    length = layout.measures[f"last_piece_{side}"]
    words = format_length(length, job.units)
    if length <= layout.board.width + layout.board.gap:
        return f"triangles with legs of {words}"
    if length < layout.board.length - 1e-6:
        return f"boards cut to {words}"
    return f"full boards of {words}"
