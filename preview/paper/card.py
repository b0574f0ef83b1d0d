"""The layer's card: one page from which somebody who never saw the program lays the floor."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Literal

import numpy as np

from preview.floor.layout import Layout, Role
from preview.paper.cutting_list import Cut, cutting_list, end_angles
from preview.paper.fitted_plan import FittedPlan, layer_plan, shows_boards
from preview.paper.layer_notes import Row
from preview.paper.layout_text import CAUTIONS, grille_row, heading_text
from preview.paper.numbers import edge_line, side_text, total_length, triangle_sentence
from preview.paper.plan_sheet import imperial
from preview.paper.plan_svg import shows_numbers
from preview.paper.right_angle import RightAngle, right_angle
from preview.paper.setting_out import Tape, set_out, wall_name
from preview.paper.typesetting import typeset
from preview.paper.year import year_step
from preview.room.room import Room
from preview.scene.job import Job, Unit
from preview.units import format_length, round_length

MOST_CUTS = 13  # lines of one list on the card; more are cut from the full list that `lay` prints
MOST_GRILLES = 8
PLAN_BESIDE = (134.0, 165.0)  # mm, the plan with the steps beside it
PLAN_ABOVE = (189.0, 135.0)  # mm, the plan with everything under it


def layer_card(room: Room, layout: Layout, job: Job, form: Literal["pdf", "svg"] = "pdf") -> bytes:
    """Return the card as a PDF or an SVG of one page, Letter where the scene is in feet or inches, else A4."""
    angle = right_angle(layout, job.units)
    beside, plan = _plan(room, layout, job, angle)
    units = job.units
    data = {
        "title": layout.title,
        "variant": layout.variant,
        "paper": "us-letter" if imperial(units) else "a4",
        "sheet": f"plan at {plan.scale_text}, printed at 100 %" + ("" if imperial(units) else f", in {units}"),
        "beside": beside,
        "plan": {
            "width": plan.width,
            "height": plan.height,
            "words": f"Plan of {layout.title} with chalk line, start point, first board and piece outlines",
        },
        "steps": [*card_steps(room, layout, units, angle, plan.ratio), *filter(None, [year_step(room, layout, job)])],
        "columns": _columns(room, layout, units),
        "warnings": [f"{each[:1].upper()}{each[1:]}" for each in layout.warnings],
        "cautions": CAUTIONS,
    }
    return typeset("card.typ", data, {"plan.svg": plan.svg}, form)


def _plan(room: Room, layout: Layout, job: Job, angle: RightAngle | None) -> tuple[bool, FittedPlan]:
    """Return the plan at the finer scale of two places for it, and whether the steps stand beside it."""
    above, beside = (layer_plan(room, layout, job, angle, *space) for space in (PLAN_ABOVE, PLAN_BESIDE))
    return (True, beside) if beside.ratio <= above.ratio else (False, above)


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
        where = f"From S mark A {write(angle.four)} along the chalk line, B {write(angle.three)} square off to the"
        steps.append(
            ["Right angle", f"{where} {angle.side}. A to B must be {write(angle.five)}; if not, measure again."]
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


def _columns(room: Room, layout: Layout, units: Unit) -> list[list[dict[str, object]]]:
    """Return the cutting lists and the grilles in three columns; a part without a line is left out."""
    counts = layout.measures
    whole = f"{counts['whole_boards']:,} laid whole; {counts['cut_boards']:,} pieces cut from the rest:"
    boards = _part("Field boards", whole, _lines(cut_boards(layout, units), units))
    strips = []
    for heading, role in (("Border", Role.BORDER), ("Thresholds", Role.THRESHOLD)):
        cuts = cutting_list(layout, role, units)
        strips.append(_part(heading, _strip_note(layout, role, cuts, units), _lines(cuts, units)))
    lettered = [grille_row(room, layout, vent, units) for vent in room.vents[:MOST_GRILLES]]
    if len(room.vents) > MOST_GRILLES:
        lettered.append(("", f"{len(room.vents) - MOST_GRILLES} more, on the plan"))
    grilles = _part("Grilles", "Lettered alike on the frames and on the plan.", lettered)
    return [[part for part in column if part["rows"]] for column in ([boards], strips, [grilles])]


def _part(heading: str, note: str, rows: Sequence[Row]) -> dict[str, object]:
    """Return a list under its heading."""
    return {"heading": heading, "note": note, "rows": rows}


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _strip_note(layout: Layout, role: Role, cuts: Sequence[Cut], units: Unit) -> str:
    """Say how wide strips are, how long all of them together, and, where there are mitres, how those are measured."""
    chosen = layout.pieces.role == role
    if not chosen.any():
        return ""
    note = f"{format_length(float(np.median(layout.pieces.size[chosen, 1])), units)} wide"
    if chosen.sum() > 1:
        note += f", {total_length(float(layout.pieces.size[chosen, 0].sum()), units)} in all before waste"
    return note + ("; mitres to their long points." if any(each.mitred for each in cuts) else ".")


def cut_boards(layout: Layout, units: Unit) -> list[Cut]:
    """Return the field boards that are cut, by what is left of them: length over all along the grain, and ends."""
    pieces = layout.pieces
    found: Counter[tuple[float, tuple[float, float] | None]] = Counter()
    for number in np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole):
        polygon, grain = pieces.polygons[number], float(pieces.grain[number])
        reach = np.asarray(polygon.exterior.coords) @ np.array([np.cos(grain), np.sin(grain)])
        length, ends = float(np.ptp(reach)), end_angles(polygon, grain)
        if ends == (0.0, 0.0) and length > layout.board.length - 1e-4:
            ends = None  # cut all the same, so notched or ripped
        found[round_length(length, units), ends] += 1
    cuts = [Cut(length, ends, count) for (length, ends), count in found.items()]
    return sorted(cuts, key=lambda each: (-each.length, each.ends or (90.0, 90.0)))


def _lines(cuts: Sequence[Cut], units: Unit) -> list[Row]:
    """Return a cutting list's lines, the last of a long list saying how many pieces are not on it."""
    shown = (
        list(cuts)
        if len(cuts) <= MOST_CUTS
        else sorted(sorted(cuts, key=lambda each: -each.count)[: MOST_CUTS - 1], key=lambda each: -each.length)
    )
    rows = [(f"{cut.count} of {format_length(cut.length, units)}", cut.ends_text()) for cut in shown]
    if left := sum(cut.count for cut in cuts) - sum(cut.count for cut in shown):
        rows.append((f"{left} more", "of other lengths, measured in place"))
    return rows
