"""The rows of numbers a layer works from, for the text and for the plan alike."""

from __future__ import annotations

from textwrap import wrap

from preview.floor.layout import Layout
from preview.paper.words.ends_text import ends_rows
from preview.paper.words.numbers import edge_line, long_text, write
from preview.paper.words.setting_out import set_out
from preview.room.places import corner_name
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_exact, format_fine

Row = tuple[str, str]

WIDE = 96  # letters in a line of a long text


def setting_out_rows(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return stop block, courses, border line, chalk line and start point as short rows."""
    lines = set_out(room, layout)
    board = layout.board
    rows = [
        (
            "Lengths" if board.mixed else "Stop block",
            f"{long_text(board, units)}, boards {format_exact(board.width, units)} wide",
        ),
        *([("Saw", layout.facts.saw)] if layout.facts.saw else []),
        ("Courses", f"{layout.count}, each {format_fine(layout.course_width, units)}"),
        (edge_line(layout).capitalize(), f"{format_exact(layout.border_line, units)} off the walls"),
        *([("Strip line", f"{format_exact(room.strip_line, units)} off the walls")] if layout.strip_width else []),
    ]
    if board.gap > 0:
        rows.insert(1, ("Joint", format_exact(board.gap, units)))
    for which, mark in (("near", lines.near), ("far", lines.far)):
        tapes = [f"{format_fine(each.length, units)} from {corner_name(room, each.corner)}" for each in mark.tapes[:2]]
        on = f"wall {mark.wall}, " if mark.wall is not None else ""
        rows.append((f"Chalk line, {which} end", f"{on}{tapes[0]}"))
        if mark.wall is None:
            rows.append(("", f"and {tapes[1]}"))
    rows.append(("Start point S", f"{format_fine(lines.from_near, units)} from the near end"))
    return rows


def first_board_row(layout: Layout) -> Row:
    """Return which way the first board leans."""
    return ("First board", layout.facts.first_board)


def edge_rows(layout: Layout, units: Unit) -> list[Row]:
    """Return what the courses end in on each side and at each end, and the boards and their waste."""
    counts = layout.measures
    return [
        *ends_rows(layout),
        ("Boards", f"{counts['whole_boards']:,} whole, {counts['cut_boards']:,} cut, from {counts['blanks']:,}"),
        ("Waste", f"{write(counts['waste'], 'share', units)}, no offcut used again"),
    ]


def wrapped(label: str, text: str) -> list[Row]:
    """Return a long text as rows, the label before the first."""
    lines = wrap(text, WIDE, break_long_words=False, break_on_hyphens=False)
    return [(label if number == 0 else "", line) for number, line in enumerate(lines)]
