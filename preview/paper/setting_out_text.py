"""Setting out in words: the lines, the start and the first board, for the layer's text."""

from __future__ import annotations

import numpy as np

from preview.floor.layout import Layout
from preview.paper.layer_notes import Row
from preview.paper.line_words import line_words
from preview.paper.numbers import center_text, edge_line
from preview.paper.setting_out import Tape, directions, set_out, tape
from preview.room.places import wall_name
from preview.room.room import Room, RoomVent
from preview.scene.job import Unit
from preview.units import format_length


def setting_out_text(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return every line and point that is put on the floor, in the order of the work."""
    lines, board = set_out(room, layout), layout.board
    left_right = "right" if layout.chalk_offset > 0 else "left"
    rows = [
        ("Stop block", f"{format_length(board.length, units)}  (every field board is cut to this)"),
        ("Board", " × ".join(format_length(each, units) for each in (board.length, board.width, board.thickness))),
        ("Courses", f"{layout.count}, each {format_length(layout.course_width, units)} wide, {heading_text(layout)}"),
        (edge_line(layout).capitalize(), f"{format_length(layout.border_line, units)} from the walls"),
        ("Centre line", center_text(room, layout, units)),
        *(("", words) for words in line_words(room, layout, units)),
        ("Chalk line", f"{format_length(abs(layout.chalk_offset), units)} {left_right} of the centre line"),
    ]
    if lines.parallel:
        rows += [("", _from(room, each, units)) for each in (lines.left_near, lines.right_near)]
    else:
        pairs = (lines.near, (lines.left_near, lines.right_near)), (lines.far, (lines.left_far, lines.right_far))
        for place, pair in pairs:
            words = " and ".join(_from(room, each, units) for each in pair)
            rows.append(("", f"{format_length(place, units)} past the near {edge_line(layout)}: {words}"))
    corner = layout.start_point - layout.chalk_line[0]
    inside = format_length(float(corner @ directions(layout)[0]), units)
    rows += [
        ("Start point", f"on the chalk line, {_from(room, lines.start, units)}, {inside} past the {edge_line(layout)}"),
        ("First board", f"{layout.first_board}, its corner on the start point"),
    ]
    return rows


def grille_row(room: Room, layout: Layout, vent: RoomVent, units: Unit) -> Row:
    """Return a grille: its name, its frame, and where its middle lies."""
    along, left = directions(layout)
    nearest = [
        min((tape(room, vent.center, sign * axis) for sign in (1, -1)), key=lambda each: each.length)
        for axis in (left, along)
    ]
    size = " × ".join(format_length(each, units) for each in vent.size)
    return (vent.name, f"frame {size}; its middle {' and '.join(_from(room, each, units) for each in nearest)}")


def _from(room: Room, each: Tape, units: Unit) -> str:
    return f"{format_length(each.length, units)} from {wall_name(room, each.wall)}"


def heading_text(layout: Layout) -> str:
    """Say which way the courses run on the plan, as someone who holds the plan upright sees it."""
    ways = (
        "to the right",
        "up and right",
        "up",
        "up and left",
        "to the left",
        "down and left",
        "down",
        "down and right",
    )
    return f"running {ways[round(np.degrees(layout.run) / 45) % 8]} on the plan"
