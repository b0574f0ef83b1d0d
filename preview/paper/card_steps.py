"""The steps of setting out, as the card tells them."""

from __future__ import annotations

from preview.floor.layout import Layout
from preview.paper.fitted_plan import shows_boards
from preview.paper.numbers import edge_line, side_text, triangle_sentence
from preview.paper.plan_svg import shows_numbers
from preview.paper.right_angle import RightAngle
from preview.paper.setting_out import Tape, set_out
from preview.paper.setting_out_text import heading_text
from preview.room.places import wall_name
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length


def card_steps(
    room: Room, layout: Layout, units: Unit, angle: RightAngle | None, ratio: float | None = None
) -> list[list[str]]:
    """Return the steps of setting out, each a name and lines.

    ratio: of the plan that they are printed beside, so that they tell only of what it shows; None where there is none.
    """

    def write(metres: float) -> str:
        return format_length(metres, units)

    lines, board, edge = set_out(room, layout), layout.board, edge_line(layout)
    steps = [
        [
            "Stop block",
            f"{write(board.length)} from the blade: every field board is cut to it, {layout.measures['blanks']:,} "
            f"of them, {write(board.width)} wide, {write(board.thickness)} thick.",
        ],
        [
            f"{edge.capitalize()} and spacer block",
            f"A spacer block {write(layout.border_line)} long, held against the wall, marks the {edge} all round"
            f"{'.' if layout.border_width > 0 else ', where the boards end.'}",
        ],
    ]
    side = "right" if layout.chalk_offset > 0 else "left"
    if lines.parallel:
        chalk = [_between(room, lines.left_near, lines.right_near, units)]
    else:
        near = _between(room, lines.left_near, lines.right_near, units)
        far = _between(room, lines.left_far, lines.right_far, units)
        chalk = [f"{write(lines.near)} past the near {edge}: {near}", f"{write(lines.far)} past it: {far}"]
    chalk.append(f"It lies {write(abs(layout.chalk_offset))} {side} of the floor's centre line.")
    steps.append(["Chalk line", *chalk])
    start = f"{write(lines.start.length)} from {wall_name(room, lines.start.wall)}, along the chalk line."
    steps.append(["Start point S", start])
    if angle is not None:
        p, q = angle.names
        where = f"From S mark {p} {write(angle.four)} along the chalk line, {q} {write(angle.three)} square off to the"
        steps.append(
            ["Right angle", f"{where} {angle.side}. {p} to {q} must be {write(angle.five)}; if not, measure again."]
        )
    steps += [
        [
            "First board (blue on the plan)" if ratio and shows_boards(layout, ratio) else "First board",
            f"{layout.first_board.capitalize()}: from S forward to the left at 45° to the chalk line, its corner on S. "
            "The next leans right and butts against it.",
        ],
        [
            "Courses",
            f"{layout.count} courses, each {write(layout.course_width)} wide, {heading_text(layout)}"
            f"{', numbered on it from the left.' if ratio and shows_numbers(layout, ratio) else '.'}",
        ],
        [
            "Expect at the ends",
            f"Near: {_lowered(triangle_sentence(layout, 'near', units))}",
            f"Far: {_lowered(triangle_sentence(layout, 'far', units))}",
            f"Last piece left {side_text(layout, 'left', units)}, right {side_text(layout, 'right', units)}.",
        ],
    ]
    return steps


def _between(room: Room, left: Tape, right: Tape, units: Unit) -> str:
    first, second = (f"{format_length(each.length, units)} from {wall_name(room, each.wall)}" for each in (left, right))
    return f"{first}, {second}."


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
