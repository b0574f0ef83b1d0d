"""The rows of numbers a layer works from, for the text and for the plan alike."""

from __future__ import annotations

from preview.floor.layout import Layout
from preview.paper.numbers import edge_line, side_text, triangle_text, write
from preview.paper.setting_out import set_out
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length

Row = tuple[str, str]


def setting_out_rows(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return stop block, courses, border line, chalk line and start point as short rows."""
    lines = set_out(room, layout)
    rows = [
        (
            "Stop block",
            f"{format_length(layout.board.length, units)}, boards {format_length(layout.board.width, units)} wide",
        ),
        ("Courses", f"{layout.count}, each {format_length(layout.course_width, units)}"),
        (edge_line(layout).capitalize(), f"{format_length(layout.border_line, units)} off the walls"),
    ]
    pairs = [("", lines.left_near, lines.right_near)]
    if not lines.parallel:
        pairs = [(", near", lines.left_near, lines.right_near), (", far", lines.left_far, lines.right_far)]
    for which, left, right in pairs:
        rows += [
            (f"Chalk line{which}", f"{format_length(left.length, units)} from wall {left.wall}"),
            ("", f"{format_length(right.length, units)} from wall {right.wall}"),
        ]
    rows.append(("Start point", f"{format_length(lines.start.length, units)} from wall {lines.start.wall}"))
    return rows


def first_board_row(layout: Layout) -> Row:
    """Return which way the first board leans."""
    return ("First board", layout.first_board)


def edge_rows(layout: Layout, units: Unit) -> list[Row]:
    """Return what the courses end in on each side and at each end, and the boards and their waste."""
    counts = layout.measures
    return [
        ("Last piece left", side_text(layout, "left", units)),
        ("Last piece right", side_text(layout, "right", units)),
        ("Triangles near", triangle_text(layout, "near", units)),
        ("Triangles far", triangle_text(layout, "far", units)),
        ("Boards", f"{counts['whole_boards']:,} whole, {counts['cut_boards']:,} cut, from {counts['blanks']:,}"),
        ("Waste", write(counts["waste"], "share", units)),
    ]
