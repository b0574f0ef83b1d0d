"""A plan to choose by: the floor, what its line is centred on, and the main dimensions; large letters."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.floor.measures import to_walls
from preview.paper.compare.sheet_text import LABEL, wrapped
from preview.paper.compare.view_marks import INKS, POINT, MarkKind, floor_lines
from preview.paper.plan.labels import Spot, spots_round
from preview.paper.plan.lettering import WIDER, text_width
from preview.paper.plan.plan_dimensions import wall_frame
from preview.paper.plan.plan_svg import draw_walls, walls_only
from preview.paper.plan.svg_sheet import INK, SOFT, TINTS, Sheet
from preview.paper.words.numbers import bare_length
from preview.room.main_walls import main_walls
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length
from preview.vectors import axes

Array = NDArray[np.float64]
COURSES = ("#f6ecd9", "#e3cfa9")
NARROWEST = 0.5  # mm of paper; narrower courses run together
BOARDS, MANY = 1.1, 6000  # mm of paper, and how many there are at most, of boards that are drawn one by one
LINE = 0.07  # mm
JOINT = 1e-3  # metres, by which boards are drawn larger, so that a course is one shape
ASIDE = 5.6  # mm round the walls for a dimension line with its number
OFF = 4.6  # mm from the walls to a dimension line, which leaves space for its number
SAME_WIDTH = 0.05  # of a room's width, by which it may be another further on
EDGE = 0.6  # mm where no dimension stands
SLIGHT = 0.2  # of a unit: a wall that faces less than this towards a side has no dimension there
FAR = 9.0  # mm from what it names, further than which a label gets a leader
WITHIN = (0.16, 0.28, 0.4, 0.5, 0.6, 0.72)
"""Shares of the line from its near end at which its distances from both sides may be told, clear of the door it comes
from."""


def choice_plan(floor: LaidFloor, width: float, height: float, opening: str = "", walls: Collection[int] = ()) -> bytes:
    """Return the plan of a floor as a drawing of `width` x `height` mm, as large as it goes in there: with the sight
    line of the way in called `opening`, and the numbers of the `walls` (from 1) that the words beside it name so."""
    room, layout = floor.room, floor.layout
    low, high = room.corners.min(0) - room.wall_thickness, room.corners.max(0) + room.wall_thickness
    main = main_walls(room)
    outward = np.array([wall_frame(room, wall)[2] for wall in main])
    before, after = (np.where((sign * outward > SLIGHT).any(axis=0), ASIDE, EDGE) for sign in (-1, 1))
    span = high - low
    space = np.maximum(np.array([width, height]) - before - after, 5.0)
    scale = float((span / space).max())
    origin = np.array([before[0], after[1] + span[1] / scale])
    sheet = Sheet(width, height, scale, low, origin, boxed=True, ground=False)
    draw_walls(sheet, room, numbered=False)
    _draw_courses(sheet, room, layout)
    for obstacle in room.obstacles:
        sheet.polygons([obstacle.polygon], "", fill="#ffffff", stroke=INK, stroke_width=0.22, fill_rule="evenodd")
    _draw_lines(sheet, room, layout, opening)
    _dimension_walls(sheet, room, main, floor.job.units)
    _dimension_line(sheet, room, layout, floor.job.units)
    _name_things(sheet, room)
    _number_walls(sheet, room, walls)
    return sheet.svg(f"{layout.title} · {layout.variant}", "plan with the middle of the floor")


def _draw_courses(sheet: Sheet, room: Room, layout: Layout) -> None:
    """Draw the floor in even colours, its courses lighter and darker in turn: boards are too small to be drawn."""
    sheet.polygons([room.floor], "floor", fill=TINTS["border"], fill_rule="evenodd")
    sheet.polygons([layout.field], "field", fill=COURSES[0], fill_rule="evenodd")
    if layout.course_width / sheet.scale < NARROWEST:
        return
    pieces = layout.pieces
    boards = np.flatnonzero((pieces.role == Role.BOARD) & (pieces.course % 2 == 1))
    course = shapely.union_all(shapely.buffer(pieces.polygons[boards], JOINT, join_style="mitre"))
    sheet.polygons([course.simplify(JOINT)], "courses", fill=COURSES[1], fill_rule="evenodd")
    if layout.board.width / sheet.scale >= BOARDS and len(pieces) < MANY:
        style = {"stroke": "#8d7550", "stroke_width": LINE, "stroke_linejoin": "round"}
        sheet.polygons(pieces.polygons[pieces.role == Role.BOARD], "boards", fill="none", **style)
    grilles = pieces.polygons[pieces.role == Role.GRILLE]
    sheet.polygons(grilles, "grilles", fill=TINTS["grille"], fill_rule="evenodd")


def _draw_lines(sheet: Sheet, room: Room, layout: Layout, opening: str) -> None:
    found = [each for each in floor_lines(room, layout) if each.opening.name == opening]
    drawn: list[tuple[MarkKind, Array, str | None]] = [("sight", each.sight, None) for each in found[:1]]
    drawn += [("centre", found[0].centre if found else layout.center_line, "2.2 1.1")]
    for kind, ends, dashes in drawn:
        ink, rim, wide = INKS[kind]
        for colour, more, name in ((rim, 0.8, f"{kind}-rim"), (ink, 0.0, kind)):
            style = {"stroke": colour, "stroke_width": round((0.8 * wide + more) * POINT, 3)}
            sheet.strokes(LineString(ends), name, stroke_dasharray=dashes if not more else None, **style)


def _dimension_walls(sheet: Sheet, room: Room, walls: Sequence[int], units: Unit) -> None:
    for wall in walls:
        a, b, out = wall_frame(room, wall)
        edge = sheet.paper(np.array([a, b]) + out * room.wall_thickness) + OFF * out * [1, -1]
        sheet.dimension(edge[0], edge[1], format_length(float(np.hypot(*(b - a))), units), size=LABEL)


def _dimension_line(sheet: Sheet, room: Room, layout: Layout, units: Unit) -> None:
    """Tell how far the centre line lies from the walls on either side, at the first place on it where both numbers have
    space, without their unit if need be; nothing where none has.

    Where the room is wider or narrower than at the first place nothing is told: plans side by side would be read as if
    they told the same.
    """
    along, right = axes(layout.run)
    length = float(np.hypot(*(layout.center_line[1] - layout.center_line[0])))
    wide = None
    for share in WITHIN:
        inset = max(layout.board.width, share * length)
        reaches, _ = to_walls(room, layout.center_line, inset)
        if not np.isfinite(reaches).all():
            continue
        wide = wide or sum(reaches)
        for written in (format_length, bare_length):
            words = [written(each, units) for each in reaches]
            fit = all(text_width(text, LABEL) + 1.6 < at / sheet.scale for text, at in zip(words, reaches, strict=True))
            if not fit or abs(sum(reaches) - wide) > SAME_WIDTH * wide:
                continue
            point = layout.center_line[0] + inset * along
            for text, reach, way in zip(words, reaches, (-right, right), strict=True):
                a, b = sheet.paper(np.array([point, point + reach * way]))
                sheet.dimension(a, b, text, color=INKS["centre"][0], size=LABEL)
            return


def _number_walls(sheet: Sheet, room: Room, walls: Collection[int]) -> None:
    """Number walls (from 1) inside the room."""
    off = walls_only(sheet, room)
    for wall in sorted(walls):
        a, b, out = wall_frame(room, wall - 1)
        inward = -out * [1, -1] * 0.8 * LABEL
        spots = [Spot.of(sheet.paper(a + share * (b - a)) + inward) for share in (0.5, 0.35, 0.65, 0.2, 0.8)]
        anchor = sheet.paper((a + b) / 2)
        sheet.label(str(wall), LABEL, spots, anchor, rank=4, halo=True, off=off, near=FAR, fill=SOFT)


def _name_things(sheet: Sheet, room: Room) -> None:
    """Name the ways in and what the floor stops at; a name that has no space there stands aside, with a leader."""
    off = walls_only(sheet, room)
    most = 0.6 * sheet.width
    kinds = [each.kind for each in room.obstacles]
    for obstacle in (each for each in room.obstacles if each.kind != "cabinet" and kinds.count(each.kind) == 1):
        name, size = _fitted(obstacle.name, most)
        west, south, east, north = obstacle.polygon.bounds
        middle = sheet.paper([(west + east) / 2, (south + north) / 2])
        spots = spots_round(sheet.paper([west, north]), sheet.paper([east, south]), name, size)
        sheet.label(name, size, spots, middle, rank=3, halo=True, off=off, near=FAR)
    for opening in room.openings:
        if opening.passable:
            name, size = _fitted(opening.name, most)
            at, inward = sheet.paper(opening.middle), opening.inward * [1, -1]
            half = np.array([text_width(name, size) / 2, 0.6 * size])
            aside = np.array([-inward[1], inward[0]])
            spots = []
            for further in (0.0, 3.0):
                within = at + inward * (abs(inward) @ half + 0.8 + further)
                spots += [
                    Spot.of(within + sign * shift * (abs(aside) @ half) * aside)
                    for shift in (0.0, 1.1, 0.5, 1.8)
                    for sign in (1, -1)
                ]
            sheet.label(name, size, spots, at, rank=2, halo=True, off=off, near=FAR)


def _fitted(text: str, width: float) -> tuple[str, float]:
    """Return a name, cut where it is longer than `width` mm, at the size of labels."""
    lines = wrapped(text, LABEL, max(width, 10.0) / WIDER, most=1)
    return (lines[0] if lines else ""), LABEL
