"""The dimensioned plan: every piece at a true scale, with the lines and distances the floor is set out by."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.paper.plan.labels import Spot, spots_round
from preview.paper.plan.lettering import fit_text, text_width
from preview.paper.plan.plan_dimensions import LONGEST_NAME, draw_setting_out, draw_wall_dimensions, house, wall_frame
from preview.paper.plan.plan_sheet import MARGIN, STRIP, Format, choose_format
from preview.paper.plan.plan_strip import border_line_style, draw_strip
from preview.paper.plan.right_angle import name_on_plan
from preview.paper.plan.svg_sheet import CHALK, INK, SOFT, TINTS, Sheet
from preview.paper.words.light_rows import light_rows
from preview.paper.words.setting_out import directions
from preview.room.room import Room, RoomObstacle, RoomOpening

if TYPE_CHECKING:
    from preview.light.result.report import FloorLux

Array = NDArray[np.float64]
ASIDE = 18.0  # mm of paper round the walls for dimensions

SMALLEST = 1.9  # mm, the number of a wall, which the words name it by, however thin the wall is drawn
PIER = 0.6  # mm of wall on either side of its number
LINE = 0.09  # mm, the thickest line between boards


def plan_svg(floor: LaidFloor, lux: FloorLux | None = None) -> bytes:
    """Return the plan of `layout` in `room` as an SVG document, in the units of `job`.

    One millimetre of the sheet is one millimetre when it is printed at full size; the scale is stated on it.
    `lux`, where given, is told beside the plan.
    """
    room, layout, job = floor.room, floor.layout, floor.job
    low, high = room.corners.min(0) - room.wall_thickness, room.corners.max(0) + room.wall_thickness
    form = choose_format(float(high[0] - low[0]), float(high[1] - low[1]), job.units, ASIDE)
    sheet = _lay_out(form, low, high)
    sheet.frame = (MARGIN / 2, MARGIN / 2, form.width - MARGIN / 2, form.height - MARGIN - STRIP)
    draw_walls(sheet, room)
    draw_pieces(sheet, layout)
    draw_obstacles(sheet, room)
    draw_lines(sheet, layout)
    draw_course_numbers(sheet, layout)
    name_vents(sheet, room, 2.2)
    draw_wall_dimensions(sheet, room, job.units)
    draw_setting_out(sheet, room, layout, job.units)
    draw_strip(sheet, form, floor, light_rows(lux, job.units) if lux else [])
    return sheet.svg(
        f"{layout.title} · {layout.variant}",
        f"{layout.facts.name.capitalize()} floor plan at {form.scale_text} on {form.name}, "
        f"{len(layout.pieces)} pieces.",
    )


def _lay_out(form: Format, low: Array, high: Array) -> Sheet:
    """Place the plan in the middle of what the strip along the foot leaves of the sheet."""
    scale = form.ratio / 1000
    size = (high - low) / scale
    room_for_plan = np.array([form.width - 2 * MARGIN, form.height - 2 * MARGIN - STRIP])
    origin = MARGIN + (room_for_plan - size) / 2 + np.array([0.0, size[1]])
    return Sheet(form.width, form.height, scale, low, origin)


def draw_walls(sheet: Sheet, room: Room, numbered: bool = True, smallest: float = SMALLEST) -> None:
    """Draw the walls as a grey band, broken by openings, and numbered in letters of `smallest` mm or more; a window
    shows two lines of glass."""
    walls = room.outline.buffer(room.wall_thickness, join_style="mitre").difference(room.outline)
    passages = [_through(opening) for opening in room.openings]
    for passage in passages:
        walls = walls.difference(passage)
    shapes = [each.polygon for each in room.obstacles] + [each.polygon for each in room.vents]
    sheet.lines += [sheet.on_paper(each).boundary for each in shapes]
    sheet.polygons([walls], "walls", fill="#d9d5ce", stroke=INK, stroke_width=0.3, fill_rule="evenodd")
    for opening in room.openings:
        out = -opening.inward * opening.depth
        shares = (0.4, 0.6) if opening.kind == "window" else (1.0,) if opening.kind == "door" else ()
        for share in shares:
            sheet.line(sheet.paper(opening.a + share * out), sheet.paper(opening.b + share * out), stroke_width=0.15)
    for wall in range(len(room.corners) if numbered else 0):
        _number_wall(sheet, room, wall, smallest)


def _through(opening: RoomOpening) -> Polygon:
    """The passage through the wall, a hair deeper than the wall on both sides."""
    out = -opening.inward * opening.depth
    return Polygon([opening.a - 0.001 * out, opening.b - 0.001 * out, opening.b + 1.001 * out, opening.a + 1.001 * out])


def _number_wall(sheet: Sheet, room: Room, wall: int, smallest: float) -> None:
    """Have the wall's number stand in its thickness, in the middle of its longest stretch without an opening, or where
    none is as long as the number in that of its widest opening: on a pier it would run over the pier's outline, and no
    one could tell which of the walls that meet there it is of."""
    a, b, out = wall_frame(room, wall)
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    spans = sorted(
        sorted((float((o.a - a) @ along), float((o.b - a) @ along))) for o in room.openings if o.wall == wall + 1
    )
    stops = [0.0, *(stop for span in spans for stop in span), length]
    gaps = list(zip(stops[::2], stops[1::2], strict=True))
    band = 0.75 * room.wall_thickness / sheet.scale
    size = max(smallest, min(2.3, band))
    need = (text_width(str(wall + 1), size) + 2 * PIER) * sheet.scale
    gaps.sort(key=lambda gap: gap[0] - gap[1])
    wide = [gap for gap in gaps if gap[1] - gap[0] >= need]
    spans.sort(key=lambda span: span[0] - span[1])
    stretches = wide or [(span[0], span[1]) for span in spans] or gaps
    core = a + out * room.wall_thickness / 2
    places = [core + along * (low + share * (high - low)) for low, high in stretches for share in (0.5, 0.3, 0.7, 0.15)]
    spots = [Spot.of(sheet.paper(each)) for each in places]
    halo = band < smallest or not wide
    sheet.label(str(wall + 1), size, spots, sheet.paper(places[0]), rank=1, halo=halo, fill=INK)


def draw_pieces(sheet: Sheet, layout: Layout) -> None:
    """Draw every piece: boards in two tints by their hand, then border, feature strip, thresholds and grilles."""
    pieces = layout.pieces
    is_board = pieces.role == Role.BOARD
    groups = (
        ("boards-left", is_board & (pieces.hand <= 0), "left"),
        ("boards-right", is_board & (pieces.hand > 0), "right"),
        ("border", pieces.role == Role.BORDER, "border"),
        *([("feature-strip", pieces.role == Role.STRIP, "strip")] if layout.strip_width else []),
        ("thresholds", pieces.role == Role.THRESHOLD, "threshold"),
        ("grilles", pieces.role == Role.GRILLE, "grille"),
    )
    line = min(LINE, 0.08 * layout.board.width / sheet.scale)
    for name, chosen, tint in groups:
        outline = {"stroke": "#6b5b45", "stroke_width": round(line, 3), "stroke_linejoin": "round"}
        sheet.polygons(pieces.polygons[chosen], name, fill=TINTS[tint], fill_rule="evenodd", **outline)
    sheet.polygons(layout.slots, "grille-slots", fill="#5a5148", stroke="none")


def draw_obstacles(sheet: Sheet, room: Room) -> None:
    """Draw what the floor stops at, crossed through and named."""
    for obstacle in room.obstacles:
        sheet.polygons([obstacle.polygon], "", fill="#ffffff", stroke=INK, stroke_width=0.22, fill_rule="evenodd")
        corners = np.asarray(obstacle.polygon.exterior.coords)[:-1]
        if len(corners) == 4:
            for diagonal in (corners[::2], corners[1::2]):
                sheet.strokes(LineString(diagonal), "", stroke="#b9b2a7", stroke_width=0.13)
        _name_obstacle(sheet, room, obstacle)


def _name_obstacle(sheet: Sheet, room: Room, obstacle: RoomObstacle) -> None:
    """Have the name stand inside, level or upright, where it fits, else beside it."""
    west, south, east, north = obstacle.polygon.bounds
    point = obstacle.polygon.representative_point()
    middle = sheet.paper([point.x, point.y])
    name, size = fit_text(obstacle.name, 2.6, LONGEST_NAME)
    room_for = text_width(name, size) + 0.5
    spots = [Spot.of(middle)] if room_for < (east - west) / sheet.scale else []
    spots += [Spot.of(middle, -90.0)] if room_for < (north - south) / sheet.scale and not spots else []
    if not spots:
        size = min(size, 2.0)
        spots = spots_round(sheet.paper([west, north]), sheet.paper([east, south]), name, size)
    sheet.label(name, size, spots, middle, rank=2, halo=True, off=walls_only(sheet, room))


def walls_only(sheet: Sheet, room: Room) -> BaseGeometry:
    """Return the walls on paper, over which nothing inside the room is named."""
    return house(sheet, room).difference(sheet.on_paper(room.outline))


def name_vents(sheet: Sheet, room: Room, size: float, weight: int = 400) -> None:
    """Have the names of the grilles stand beside them."""
    off = walls_only(sheet, room)
    for vent in room.vents:
        west, south, east, north = vent.polygon.bounds
        name, fitted = fit_text(name_on_plan(vent), size, LONGEST_NAME)
        spots = spots_round(sheet.paper([west, north]), sheet.paper([east, south]), name, fitted)
        sheet.label(name, fitted, spots, sheet.paper(vent.center), rank=1, halo=True, off=off, font_weight=weight)


def draw_lines(sheet: Sheet, layout: Layout) -> None:
    """Draw the border line, the centre line (dash and dot), the chalk line and the start point."""
    draw_border_line(sheet, layout)
    styles = (
        ("centre-line", layout.center_line, {"stroke": INK, "stroke_width": 0.2, "stroke_dasharray": "4 0.9 0.7 0.9"}),
        ("chalk-line", layout.chalk_line, {"stroke": CHALK, "stroke_width": 0.35}),
    )
    for name, ends, style in styles:
        sheet.strokes(LineString(ends).intersection(layout.field), name, **style)
    for number, line in enumerate(layout.lines):
        if number:
            sheet.strokes(LineString(line.ends), f"chalk-line-{number + 1}", stroke=CHALK, stroke_width=0.35)
        start = sheet.paper(line.start)
        sheet.circle(start, 1.0, fill="#ffffff", stroke=CHALK, stroke_width=0.35)
        sheet.circle(start, 0.3, fill=CHALK)


def draw_border_line(sheet: Sheet, layout: Layout) -> None:
    """Draw the line at which the field ends."""
    sheet.polygons([layout.field], "border-line", fill="none", **border_line_style(layout))


def shows_numbers(layout: Layout, ratio: float) -> bool:
    """Whether courses are numbered on a plan at 1:`ratio`: where they are wide enough for two figures."""
    return 1000 * layout.course_width / ratio >= 3.2


def draw_course_numbers(sheet: Sheet, layout: Layout) -> None:
    """Number the courses from the left, each where it ends at the far side of the field."""
    pieces = layout.pieces
    along, left = directions(layout)
    boards = np.flatnonzero(pieces.role == Role.BOARD)
    if len(boards) == 0 or not shows_numbers(layout, 1000 * sheet.scale):
        return
    aside = np.array([[p.centroid.x, p.centroid.y] for p in pieces.polygons[boards]]) @ left
    reach = np.asarray(layout.field.envelope.exterior.coords) @ along
    for course in np.unique(pieces.course[boards]):
        own = aside[pieces.course[boards] == course]
        middle = left * (own.min() + own.max()) / 2
        lane = LineString([middle + along * reach.min(), middle + along * reach.max()]).intersection(layout.field)
        if lane.is_empty:
            continue
        far = (shapely.get_coordinates(lane) @ along).max()
        end = sheet.paper(middle + along * far)
        spots = [Spot.of(end - (4.6 + back) * along * [1, -1]) for back in np.arange(0, 60, 2.5)]
        inside = [spot for spot in spots if lane.distance(Point(*_plan(sheet, spot))) < 1e-6] or spots[:1]
        sheet.label(str(int(course) + 1), 2.0, inside, end, rank=4, needed=False, halo=True, fill=SOFT)


def _plan(sheet: Sheet, spot: Spot) -> Array:
    """Return a paper place as a plan place."""
    return sheet.corner + (np.array([spot.x, spot.y]) - sheet.origin) * [1, -1] * sheet.scale
