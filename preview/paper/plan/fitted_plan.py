"""A plan that fits a given space on a page: vector, at a usual scale, with its scale bar."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.plan.labels import spots_at
from preview.paper.plan.plan_dimensions import draw_setting_out, draw_wall_dimensions
from preview.paper.plan.plan_sheet import IMPERIAL, METRIC, imperial
from preview.paper.plan.plan_strip import draw_key, draw_north, draw_scale_bar
from preview.paper.plan.plan_svg import (
    draw_border_line,
    draw_course_numbers,
    draw_lines,
    draw_obstacles,
    draw_pieces,
    draw_walls,
    name_vents,
    walls_only,
)
from preview.paper.plan.right_angle import RightAngle
from preview.paper.plan.svg_sheet import CHALK, SOFT, TINTS, Sheet
from preview.paper.plan.thing_dimensions import draw_thing_dimensions
from preview.room.places import shows_north
from preview.room.room import Room
from preview.scene.job import Job

Array = NDArray[np.float64]
ASIDE = 16.5  # mm round the walls for dimensions
KEY_WIDE, KEY_LOW, KEY_HIGH = 56.0, 3.2, 9.6  # mm, the key, its place over the foot, and over a long scale bar
KEY_WIDE_WITH_STRIP = 76.0
FOOT_STRIP = 11.0  # mm under the plan for scale bar and key
BIG_NUMBER = 3.0  # mm, of a wall, where things are measured by its number


# On a page the sheet can't be changed for a larger one, so the scales between count too (on architects' scale rules;
# common practice, no published source).
BETWEEN_IMPERIAL = ((64, "3/16\" = 1'"), (128, "3/32\" = 1'"))
BETWEEN_METRIC = ((75, "1:75"), (125, "1:125"), (250, "1:250"), (300, "1:300"), (400, "1:400"))
NARROWEST = 0.6  # mm of paper; boards drawn narrower than this run together, so the field is then shown as one


@dataclass(frozen=True)
class FittedPlan:
    """A plan as an SVG document, `width` x `height` mm, at 1:`ratio`, written `scale_text`.

    `origin` (x, y) mm is where the plan point `corner` (x, y) metres lies, from the top left; y runs down.
    """

    svg: bytes
    width: float
    height: float
    ratio: float
    scale_text: str
    corner: tuple[float, float]
    origin: tuple[float, float]


def customer_plan(floor: LaidFloor, width: float, height: float) -> FittedPlan:
    """Return what the customer agrees to, drawn: pieces, centre line, and the room's dimensions.

    Args:
        room, layout, job: the floor.
        width, height: the space there is, mm; the plan takes all of the width and what it needs of the height.
    """
    room, layout, job = floor.room, floor.layout, floor.job
    sheet, ratio, scale_text = _fitted(room, job, width, height)
    _draw_floor(sheet, room, layout)
    draw_border_line(sheet, layout)
    centre = {"stroke": CHALK, "stroke_width": 0.4, "stroke_dasharray": "4 0.9 0.7 0.9"}
    sheet.strokes(LineString(layout.center_line).intersection(layout.field), "centre-line", **centre)
    draw_wall_dimensions(sheet, room, job.units)
    draw_thing_dimensions(sheet, room, job.units)
    ended = _draw_foot(sheet, room, job)
    at = np.array([sheet.width - 34.0, sheet.height - 3.2])
    at -= [0.0, 0.0 if ended < at[0] - 9.0 else 6.4]
    sheet.line(at - [8, 0.8], at - [1, 0.8], **centre)
    sheet.text(at, "centre line of the floor", 2.3, fill=SOFT)
    return _finished(sheet, layout, ratio, scale_text)


def fitted_size(room: Room, job: Job, width: float, height: float) -> tuple[float, float]:
    """Return how many mm of the height a plan in this space needs, and the ratio of its scale, without drawing it."""
    sheet, ratio, _ = _fitted(room, job, width, height)
    return sheet.height, ratio


def layer_plan(floor: LaidFloor, angle: RightAngle | None, width: float, height: float) -> FittedPlan:
    """Return the plan marked for whoever lays the floor: chalk line, start point S, first board, and the triangle
    S-P-Q that proves the right angle; the rest as in `customer_plan`."""
    room, layout, job = floor.room, floor.layout, floor.job
    sheet, ratio, scale_text = _fitted(room, job, width, height)
    _draw_floor(sheet, room, layout)
    first = layout.first[:1]
    if first and shows_boards(layout, ratio):
        style = {"fill": CHALK, "fill_opacity": 0.45, "stroke": CHALK, "stroke_width": 0.25}
        sheet.polygons([layout.pieces.polygons[first[0]]], "first-board", **style)
    draw_lines(sheet, layout)
    draw_course_numbers(sheet, layout)
    draw_wall_dimensions(sheet, room, job.units)
    draw_setting_out(sheet, room, layout, job.units, "S", on_the_left=angle is not None and angle.side == "right")
    marks = [("S", layout.start_point)]
    if angle is not None:
        corners = [layout.start_point, angle.along, angle.across]
        style = {"fill": "none", "stroke": CHALK, "stroke_width": 0.25, "stroke_dasharray": "1.2 0.8"}
        sheet.polygons([Polygon(corners)], "right-angle", **style)
        marks += list(zip(angle.names, (angle.along, angle.across), strict=True))
        for _, point in marks[1:]:
            sheet.circle(sheet.paper(point), 0.6, fill=CHALK)
    walls = walls_only(sheet, room)
    for name, point in marks:
        at = sheet.paper(point)
        sheet.label(name, 3.4, spots_at(at, name, 3.4), at, halo=True, off=walls, fill=CHALK, font_weight=600)
    ended = _draw_foot(sheet, room, job)
    key = sheet.width - (KEY_WIDE_WITH_STRIP if layout.strip_width else KEY_WIDE)
    draw_key(sheet, layout, (key, sheet.height - (KEY_LOW if ended < key else KEY_HIGH)))
    return _finished(sheet, layout, ratio, scale_text)


def room_plan(room: Room, job: Job, width: float, height: float) -> FittedPlan:
    """Return the room as it was measured, without a floor: walls with their numbers and lengths, openings, obstacles,
    grilles. Space and result are those of `customer_plan`."""
    sheet, ratio, scale_text = _fitted(room, job, width, height)
    draw_walls(sheet, room, smallest=BIG_NUMBER)
    draw_obstacles(sheet, room)
    outline = {"fill": "none", "stroke": "#6b5b45", "stroke_width": 0.2}
    sheet.polygons([vent.polygon for vent in room.vents], "grilles", **outline)
    name_vents(sheet, room, 2.6, 600)
    draw_wall_dimensions(sheet, room, job.units)
    draw_thing_dimensions(sheet, room, job.units)
    _draw_foot(sheet, room, job)
    return _fitted_plan(sheet, job.title, f"The room as measured, scale {scale_text}.", ratio, scale_text)


def shows_boards(layout: Layout, ratio: float) -> bool:
    """Whether a plan at 1:`ratio` shows single boards, or the field as one."""
    return 1000 * layout.board.width / ratio >= NARROWEST


def _fitted(room: Room, job: Job, width: float, height: float) -> tuple[Sheet, float, str]:
    """Return a sheet at the finest usual scale that fits the space, or at a scale of its own where none does."""
    low, high = room.corners.min(0) - room.wall_thickness, room.corners.max(0) + room.wall_thickness
    span = (high - low) * 1000
    space = np.array([width - 2 * ASIDE, height - 2 * ASIDE - FOOT_STRIP])
    scales = sorted(IMPERIAL + BETWEEN_IMPERIAL if imperial(job.units) else METRIC + BETWEEN_METRIC)
    ratio, text = next(
        ((float(each), words) for each, words in scales if (span / each <= space).all()),
        (0.0, ""),
    )
    if not ratio:
        ratio = float(np.ceil((span / space).max() / 100) * 100)
        text = f"1:{ratio:g}"
    size = span / ratio
    tall = float(size[1]) + 2 * ASIDE + FOOT_STRIP
    origin = np.array([(width - size[0]) / 2, ASIDE + size[1]])
    return Sheet(width, tall, ratio / 1000, low, origin, boxed=True), ratio, text


def _draw_floor(sheet: Sheet, room: Room, layout: Layout) -> None:
    draw_walls(sheet, room)
    if not shows_boards(layout, 1000 * sheet.scale):
        sheet.polygons([room.floor], "border", fill=TINTS["border"], fill_rule="evenodd")
        if layout.strip_width:
            sheet.polygons([room.inside_border], "feature-strip", fill=TINTS["strip"], fill_rule="evenodd")
        sheet.polygons([layout.field], "field", fill=TINTS["left"], fill_rule="evenodd")
    else:
        draw_pieces(sheet, layout)
    draw_obstacles(sheet, room)
    name_vents(sheet, room, 2.6, 600)


def _draw_foot(sheet: Sheet, room: Room, job: Job) -> float:
    """Draw scale bar and north, and return where the bar ends, mm from the left."""
    ended = draw_scale_bar(sheet, (2.0, sheet.height - 4.6), job)
    if shows_north(room, job):
        draw_north(sheet, (sheet.width - 9, 9.5), room.north)
    return ended


def _finished(sheet: Sheet, layout: Layout, ratio: float, scale_text: str) -> FittedPlan:
    words = f"{layout.facts.name.capitalize()} floor plan, scale {scale_text}, {len(layout.pieces)} pieces."
    return _fitted_plan(sheet, f"{layout.title} · {layout.variant}", words, ratio, scale_text)


def _fitted_plan(sheet: Sheet, title: str, words: str, ratio: float, scale_text: str) -> FittedPlan:
    svg = sheet.svg(title, words)
    corner = float(sheet.corner[0]), float(sheet.corner[1])
    origin = float(sheet.origin[0]), float(sheet.origin[1])
    return FittedPlan(svg, sheet.width, sheet.height, ratio, scale_text, corner, origin)
