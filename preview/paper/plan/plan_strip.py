"""The strip along the foot of the plan: whose floor it is, the scale, and the numbers it is set out by."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.plan.lettering import fit_text, text_width
from preview.paper.plan.plan_sheet import MARGIN, STRIP, Format, imperial
from preview.paper.plan.svg_sheet import CHALK, INK, SOFT, TINTS, Sheet
from preview.paper.words.layer_notes import Row, edge_rows, first_board_row, setting_out_rows
from preview.paper.words.numbers import edge_line
from preview.room.places import shows_north
from preview.scene.job import Job

Array = NDArray[np.float64]
FOOT = 0.3048
KEY_ROW = 3.0  # mm
FIRST, LOWEST, ROW = 5.4, 29.8, 3.25  # mm under the strip's top: a table's first row, its last if it has many; apart
BAR_UNIT = 6.0  # mm, the unit after a scale bar
NOTE = (
    "Drawn from the measured room. Check every distance on site before cutting. Real wood varies from board to board."
)


def draw_strip(sheet: Sheet, form: Format, floor: LaidFloor, daylight: list[Row]) -> None:
    """Draw the strip: title, scale bar and north on the left, setting out in the middle, pieces on the right."""
    layout, job = floor.layout, floor.job
    top, left, right = sheet.height - MARGIN - STRIP + 5, MARGIN, sheet.width - MARGIN
    sheet.line(np.array([left, top - 3]), np.array([right, top - 3]), stroke=INK, stroke_width=0.35)
    width = right - left
    columns = left, left + 0.36 * width, left + 0.70 * width

    _fitted(sheet, (left, top + 2.6), layout.title, 4.2, 0.34 * width, weight=600)
    _fitted(sheet, (left, top + 7.2), layout.variant, 3.2, 0.34 * width)
    draw_scale_bar(sheet, (left, top + 14.5), job)
    words = f"Scale {form.scale_text} on {form.name}, printed at 100 %"
    words += "" if imperial(job.units) else f" · dimensions in {job.units}"
    _fitted(sheet, (left, top + 21.0), words, 2.3, 0.34 * width, SOFT)
    draw_key(sheet, layout, (left, top + (25.2 if layout.strip_width else 26.0)), 0.34 * width)
    if shows_north(floor.room, job):
        draw_north(sheet, (right - 6, MARGIN + 8), floor.room.north)

    _table(
        sheet, (columns[1], top), "Setting out", setting_out_rows(floor.room, layout, job.units), 0.32 * width, CHALK
    )
    pieces = [first_board_row(layout), *edge_rows(layout, job.units)]
    _table(sheet, (columns[2], top), "Pieces", [*pieces, *daylight], right - columns[2], INK)
    _fitted(sheet, (left, sheet.height - MARGIN + 1.5), NOTE, 2.2, width, fill=SOFT)


def draw_key(sheet: Sheet, layout: Layout, at: tuple[float, float], wide: float = np.inf) -> None:
    """Say what the drawn lines stand for, in rows up to `wide` mm."""
    x, y = at
    for name, style in (
        ("chalk line", {"stroke": CHALK, "stroke_width": 0.35}),
        ("centre line", {"stroke": INK, "stroke_width": 0.2, "stroke_dasharray": "2.2 0.7 0.5 0.7"}),
        (edge_line(layout), border_line_style(layout)),
        *([("feature strip", {"stroke": TINTS["strip"], "stroke_width": 0.5})] if layout.strip_width else []),
    ):
        if x + 6 + text_width(name, 2.2) > at[0] + wide:
            x, y = at[0], y + KEY_ROW
        sheet.line(np.array([x, y - 0.8]), np.array([x + 5, y - 0.8]), **style)
        sheet.text(np.array([x + 6, y]), name, size=2.2, fill=SOFT)
        x += 6 + text_width(name, 2.2) + 1.6


def border_line_style(layout: Layout) -> dict[str, object]:
    """Return how the border line is drawn: along a feature strip finely, so that the strip's own tint is seen."""
    return {"stroke": INK, "stroke_width": 0.1 if layout.strip_width else 0.3}


def draw_scale_bar(sheet: Sheet, at: tuple[float, float], job: Job) -> float:
    """Draw a bar of whole feet or metres, about 50 mm long on paper, and return where it ends, mm from the left."""
    unit, name = (FOOT, "ft") if imperial(job.units) else (1.0, "m")
    count = next((n for n in (1, 2, 4, 5, 10, 20, 50, 100) if n * unit / sheet.scale >= 34), 100)
    steps = count if count <= 5 else 5
    length = count * unit / sheet.scale
    for step in range(steps):
        x = at[0] + length * step / steps
        fill = INK if step % 2 == 0 else "#ffffff"
        sheet.path(
            f"M{x:.3f},{at[1]:.3f}h{length / steps:.3f}v1.3h{-length / steps:.3f}z",
            fill=fill, stroke=INK, stroke_width=0.15,
        )  # fmt: skip
    for step in range(steps + 1):
        label = f"{count * step // steps if count % steps == 0 else count * step / steps:g}"
        place = np.array([at[0] + length * step / steps, at[1] - 0.9])
        sheet.text(place, label, size=2.1, text_anchor="middle" if step else "start")
    sheet.text(place + np.array([1.2 + text_width(label, 2.1) / 2, 0.0]), name, size=2.1)
    return at[0] + length + BAR_UNIT


def draw_north(sheet: Sheet, at: tuple[float, float], north: float) -> None:
    """Draw an arrow to true north, which lies `north` radians clockwise from straight up the plan."""
    tip = np.array([np.sin(north), -np.cos(north)])
    side = np.array([-tip[1], tip[0]])
    center = np.array(at)
    head, tail = center + 5 * tip, center - 5 * tip
    sheet.line(tail, head, stroke_width=0.2)
    corners = [head, head - 3 * tip + 1.1 * side, head - 3 * tip - 1.1 * side]
    sheet.path("M" + "L".join(f"{p[0]:.3f},{p[1]:.3f}" for p in corners) + "Z", fill=INK)
    sheet.text(head + 1.8 * tip, "N", drop=0.35, text_anchor="middle")
    sheet.block(center - 5.5, center + 5.5)


def _table(
    sheet: Sheet, at: tuple[float, float], heading: str, rows: list[tuple[str, str]], width: float, color: str
) -> None:
    x, y = at
    sheet.text(np.array([x, y + 1.6]), heading, size=2.6, fill=color, font_weight="600")
    apart = min(ROW, (LOWEST - FIRST) / max(1, len(rows) - 1))
    size = 2.3 * min(1.0, 0.25 + 0.75 * apart / ROW)  # closer rows take smaller letters, if only a little
    for number, (label, value) in enumerate(rows):
        line = y + FIRST + apart * number
        _fitted(sheet, (x, line), label, size, 0.36 * width, fill=SOFT)
        _fitted(sheet, (x + 0.37 * width, line), value, size, 0.60 * width)


def _fitted(
    sheet: Sheet, at: tuple[float, float], text: str, size: float, width: float, fill: str = INK, weight: int = 400
) -> None:
    """Write `text` no wider than `width` mm: set smaller where it is long, cut with an ellipsis where very long."""
    text, size = fit_text(text, size, width)
    sheet.text(at, text, size, fill=fill, font_weight=weight)
