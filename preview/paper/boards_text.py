"""Boards, border and thresholds in words: what is cut, and how much wood it takes."""

from __future__ import annotations

import numpy as np

from preview.floor.joints import spline_length
from preview.floor.layout import Layout, Role
from preview.floor.packing import boxes, cutting
from preview.paper.cutting_list import cutting_list
from preview.paper.layer_notes import Row
from preview.paper.numbers import total_length, write
from preview.scene.job import Unit
from preview.units import format_area, format_length


def boards_text(layout: Layout, units: Unit, box: float | None) -> list[Row]:
    """Return the field's boards: counts, waste and boxes."""
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


def strips_text(layout: Layout, role: Role, count: str, units: Unit) -> list[Row]:
    """Return the pieces of the border, or those in doorways, and their cutting list."""
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
