"""The layout as text: what whoever lays the floor reads at the saw and on the floor."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from preview.floor.joints import spline_length
from preview.floor.layout import Layout, Role
from preview.floor.packing import boxes, cutting
from preview.paper.compare_words import sight_words
from preview.paper.cutting_list import cutting_list
from preview.paper.layer_notes import Row
from preview.paper.numbers import center_text, edge_line, side_text, total_length, triangle_text, write
from preview.paper.setting_out import Tape, directions, set_out, tape, wall_name
from preview.paper.year import year_rows
from preview.room.room import Room, RoomVent
from preview.scene.job import Job, Unit
from preview.units import format_area, format_length

CAUTIONS = (
    "Saw with the guard on and the stop block fixed; keep hands clear of the blade. Wear eye, ear and dust protection.",
    "Wood dust and adhesive fumes harm lungs and can catch fire: extract them, ventilate, keep flames and sparks away.",
    "Bring the wood to the moisture of the lived-in room, and check the subfloor's, before a board is fixed.",
    "Leave the gaps at walls, and the clearances at hearths, stoves and flues, that local codes and makers ask for.",
    "Keep vents open to their ducts, and have gas, electric and duct work done by those licensed for it.",
    "Local codes, the makers' instructions and licensed practice come before anything printed here.",
)


def layout_text(room: Room, layout: Layout, job: Job, box: float | None = None) -> str:
    """Return the layout in plain words and in the units of `job`, ending in the usual cautions.

    box: what a box of boards covers, square metres; where it is given, the boxes are counted.
    """
    units = job.units
    sections = (
        ("Setting out", _setting_out(room, layout, units)),
        ("Where the courses end", _ends(layout, units)),
        ("Boards", _boards(layout, units, box)),
        ("Border", _strips(layout, Role.BORDER, "border_pieces", units)),
        ("Thresholds", _strips(layout, Role.THRESHOLD, "threshold_pieces", units)),
        ("Through the year", year_rows(room, layout, job)),
        ("Grilles", [grille_row(room, layout, vent, units) for vent in room.vents]),
    )
    lines = [layout.title, layout.variant]
    for heading, rows in sections:
        if rows:
            lines += ["", heading, *table(rows)]
    if layout.warnings:
        lines += ["", "Look out", *(f"  ! {warning}" for warning in layout.warnings)]
    return "\n".join([*lines, "", "Before you cut", *(f"  · {each}" for each in CAUTIONS)]) + "\n"


def table(rows: Iterable[Row]) -> list[str]:
    """Return rows of a label and a value as indented lines, the values under one another."""
    rows = list(rows)
    width = max(len(label) for label, _ in rows) + 2
    return [f"  {label:<{width}}{value}".rstrip() for label, value in rows]


def _setting_out(room: Room, layout: Layout, units: Unit) -> list[Row]:
    lines, board = set_out(room, layout), layout.board
    left_right = "right" if layout.chalk_offset > 0 else "left"
    rows = [
        ("Stop block", f"{format_length(board.length, units)}  (every field board is cut to this)"),
        ("Board", " × ".join(format_length(each, units) for each in (board.length, board.width, board.thickness))),
        ("Courses", f"{layout.count}, each {format_length(layout.course_width, units)} wide, {heading_text(layout)}"),
        (edge_line(layout).capitalize(), f"{format_length(layout.border_line, units)} from the walls"),
        ("Centre line", center_text(layout, units)),
        *(("", words) for words in sight_words(room, layout, units)),
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


def _ends(layout: Layout, units: Unit) -> list[Row]:
    return [
        ("Last piece, left", side_text(layout, "left", units)),
        ("Last piece, right", side_text(layout, "right", units)),
        ("Triangles, near end", triangle_text(layout, "near", units)),
        ("Triangles, far end", triangle_text(layout, "far", units)),
    ]


def _boards(layout: Layout, units: Unit, box: float | None) -> list[Row]:
    counts, board = layout.measures, layout.board
    need = cutting(layout.pieces, board.length)
    pitch = (board.width + board.gap, board.length + board.gap)
    waste = 1 - counts["field_area"] / (need.reused * pitch[0] * pitch[1]) if need.reused else 0.0
    boxed = []
    if box is not None:
        count = [boxes(each, board.width, board.length, box) for each in (need.apart, need.reused)]
        boxed = [("Boxes", f"{count[0]:,} of {format_area(box, units)}; {count[1]:,} where offcuts are used again")]
    return [
        ("Field", format_area(counts["field_area"], units)),
        ("Pieces", f"{counts['whole_boards']:,} whole, {counts['cut_boards']:,} cut"),
        ("Boards to cut", f"{need.apart:,} at the stop block; {need.reused:,} where offcuts are used again"),
        ("Waste", f"{write(counts['waste'], 'share', units)}; {write(waste, 'share', units)} with offcuts used again"),
        *boxed,
        (
            "Splines",
            f"{total_length(spline_length(layout), units)} before waste, where the boards are grooved all round",
        ),
        *([("Slivers", f"{_pieces(counts['slivers'])} under 3 mm")] if counts["slivers"] else []),
    ]


def _strips(layout: Layout, role: Role, count: str, units: Unit) -> list[Row]:
    lines = cutting_list(layout, role, units)
    if not lines:
        return []
    strips = layout.pieces.role == role
    length, width = float(layout.pieces.size[strips, 0].sum()), float(np.median(layout.pieces.size[strips, 1]))
    words = _pieces(layout.measures[count])
    total = f"{words} {format_length(width, units)} wide"
    if strips.sum() > 1:
        total += f", {total_length(length, units)} in all before waste"
    if any(line.mitred for line in lines):
        total += "; mitred pieces are measured to their long points"
    return [
        ("In all", total),
        *((f"{line.count} of {format_length(line.length, units)}", line.ends_text()) for line in lines),
    ]


def _pieces(count: float) -> str:
    return f"{count:,} piece" if count == 1 else f"{count:,} pieces"


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
