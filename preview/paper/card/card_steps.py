"""The steps of setting out, as the card tells them."""

from __future__ import annotations

from preview.floor.laid import LaidFloor
from preview.floor.layout import ChalkLine, Layout
from preview.paper.plan.fitted_plan import shows_boards
from preview.paper.plan.plan_svg import shows_numbers
from preview.paper.plan.right_angle import RightAngle
from preview.paper.words.border_line_text import border_rows, edge_text, gap_text, strip_rows
from preview.paper.words.ends_text import ends_sentences
from preview.paper.words.numbers import edge_line, long_text
from preview.paper.words.setting_out import set_out
from preview.paper.words.setting_out_text import (
    chalk_text,
    corners_text,
    facing_text,
    heading_text,
    joint_text,
    mark_text,
    measured_from,
    other_line_text,
    saw_text,
    wood_row,
)
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_count, format_exact, format_fine, format_length

MOST_WALLS = 12
"""Sentences on what the courses end in at walls."""


def card_steps(floor: LaidFloor, angle: RightAngle | None, ratio: float | None = None) -> list[list[str]]:
    """Return the steps of setting out, each a name and lines.

    ratio: of the plan that they are printed beside, so that they tell only of what it shows; None where there is none.
    """
    room, layout = floor.room, floor.layout
    units, board, edge = floor.job.units, layout.board, edge_line(layout)
    cut_to = f"{format_exact(board.length, units)} from the blade: every field board is cut to it"
    how = f" {saw_text(layout)}"
    if board.mixed:
        cut_to, how = f"{long_text(board, units)} long", f" {layout.facts.stop_block.capitalize()}. "
    steps = [
        [
            "Before you measure",
            f"Distances are from {measured_from(room, layout, units)}. Corners are {corners_text(room)}.",
            f"Left and right: {facing_text(room, layout)}.",
        ],
        [
            "Boards" if board.mixed else "Stop block",
            f"{cut_to}, {layout.measures['blanks']:,} of them, {format_exact(board.width, units)} wide, "
            f"{format_exact(board.thickness, units)} thick.{how}Joints: {joint_text(layout, units)}.",
            f"Expansion gap: {gap_text(floor)}.",
            f"Wood: {wood_row(layout, floor.job)}.",
        ],
        [
            f"{edge.capitalize()} and spacer block",
            f"{edge_text(floor)}: a spacer block that long, held against them, marks the {edge}"
            f"{'.' if layout.border_width > 0 else ', where the boards end.'}",
            *(f"{label.strip().capitalize()}: {words}." for label, words in border_rows(room, layout, units)),
            *(f"{label}: {words}." for label, words in strip_rows(floor)),
        ],
    ]
    for number, each in enumerate(layout.lines, 1):
        steps += _line_steps(room, layout, each, number, units)
    if angle is not None:
        p, q = angle.names
        four, three, five = (format_length(each, units) for each in (angle.four, angle.three, angle.five))
        steps.append(
            [
                "Right angle",
                f"From S mark {p} {four} along the chalk line. {q} is where {three} from S and {five} from {p} cross, "
                f"on the {angle.side}. S to {q} is then square to the chalk line: check the rows by it.",
            ]
        )
    blue = "First boards (the first is blue on the plan)" if ratio and shows_boards(layout, ratio) else "First boards"
    steps += [
        [blue, *(f"{label + ': ' if label else ''}{words}." for label, words in layout.facts.first_boards)],
        [
            "Courses",
            f"{format_count(layout.count, 'course')}, each {format_fine(layout.course_width, units)} wide, "
            f"{heading_text(layout)}"
            f"{', numbered on it from the left as in step 1.' if ratio and shows_numbers(layout, ratio) else '.'}",
        ],
        [
            "Expect at the ends",
            *ends_sentences(layout, MOST_WALLS),
        ],
    ]
    return steps


def _line_steps(room: Room, layout: Layout, line: ChalkLine, number: int, units: Unit) -> list[list[str]]:
    """Return how a chalk line is struck and its start is found."""
    found = set_out(room, layout, line)
    name, start = ("Chalk line", "Start point S") if number == 1 else (f"Chalk line {number}", f"Start point S{number}")
    where = chalk_text(room, layout, units) if number == 1 else other_line_text(room, layout, line, units)
    return [
        [
            name,
            f"Near end: {mark_text(room, found.near, found.length, units)}.",
            f"Far end: {mark_text(room, found.far, found.length, units)}.",
            f"It lies {where}.",
        ],
        [
            start,
            f"On the line, {format_fine(found.from_near, units)} from its near end, "
            f"{format_fine(found.from_far, units)} from its far end.",
        ],
    ]
