"""Dimension lines of the plan: walls and openings outside it, chalk line and start point inside it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Layout
from preview.paper.plan.labels import Spot
from preview.paper.plan.lettering import fit_text, text_width
from preview.paper.plan.svg_sheet import CHALK, INK, SOFT, Sheet, upright
from preview.paper.words.numbers import bare_fine, bare_length
from preview.paper.words.setting_out import directions, set_out, wall_lengths
from preview.room.outline import inward
from preview.room.room import Room, RoomOpening
from preview.scene.job import Unit

Array = NDArray[np.float64]
NEAR, NAMES, FAR = 5.0, 9.2, 13.2  # mm from the outer face: opening chain, opening names, whole wall
CLEAR = 1.2  # mm further out for names where the chain's numbers stand on its outer side
IN_THE_ROOM = 4.0  # mm from a wall, the distances along it to the ends of the chalk line
OTHERS = (0.0, 4.0, -3.0, 8.0)  # mm further out, for lines that would cross others there, as at a bay's inner corners
LONGEST_NAME = 55.0  # mm
SAME = 5e-4  # metres; a wall this near to the one opposite in length and reach is dimensioned once


def draw_wall_dimensions(sheet: Sheet, room: Room, units: Unit) -> None:
    """Dimension each wall along its inside face, its openings jamb by jamb, and name the openings."""
    lengths = wall_lengths(room)
    told: list[tuple[Array, tuple[float, ...]]] = []
    drawn = [house(sheet, room).buffer(-0.5)]
    for wall in np.argsort([-_southwest(room, wall) for wall in range(len(lengths))], kind="stable"):
        a, b, out = wall_frame(room, int(wall))
        along = (b - a) / lengths[wall]
        openings = [each for each in room.openings if each.wall == wall + 1]
        edge = out * room.wall_thickness
        faces = sheet.paper(a + edge), sheet.paper(b + edge)
        further = 0.0
        if openings:
            further = _clearest(sheet, *faces, _down(out), (NEAR, FAR), drawn)
            stops = sorted([0.0, lengths[wall], *(float((p - a) @ along) for o in openings for p in (o.a, o.b))])
            points = [sheet.paper(a + along * stop + edge) + (NEAR + further) * _down(out) for stop in stops]
            for start, end, p, q in zip(stops[:-1], stops[1:], points[:-1], points[1:], strict=True):
                if end - start > SAME:
                    sheet.dimension(p, q, bare_length(end - start, units), size=2.2)
            drawn.append(LineString([points[0], points[-1]]))
            for opening in openings:
                _name_opening(sheet, room, opening, further)
        reach = tuple(np.round(sorted((float(a @ _axis(along)), float(b @ _axis(along)))), 3))
        if any(
            np.allclose(axis, _axis(along), atol=1e-9) and np.allclose(each, reach, atol=SAME) for axis, each in told
        ):
            continue
        told.append((_axis(along), reach))
        distance = FAR + further if openings else NEAR + 2 + _clearest(sheet, *faces, _down(out), (NEAR + 2,), drawn)
        p, q = (face + distance * _down(out) for face in faces)
        for foot, end in zip(faces, (p, q), strict=True):
            sheet.line(foot + 1.0 * _down(out), end + 1.2 * _down(out), stroke=SOFT, stroke_width=0.1)
            drawn.append(LineString([foot + 2.0 * _down(out), end]))
        drawn.append(LineString([p, q]))
        sheet.dimension(p, q, bare_length(float(lengths[wall]), units), size=2.6)


def _clearest(
    sheet: Sheet, a: Array, b: Array, way: Array, distances: Sequence[float], drawn: Sequence[BaseGeometry]
) -> float:
    """Return how much further out than `distances` mm from the face `a` to `b` a wall's dimension lines stay on the
    sheet and cross least."""
    shapes, frame = np.array(drawn, dtype=object), shapely.box(*sheet.frame)

    def faults(further: float) -> tuple[int, int]:
        lines = [LineString([a + (each + further) * way, b + (each + further) * way]) for each in distances]
        outside = sum(not frame.covers(line) for line in lines)
        return outside, sum(int(shapely.intersects(shapes, line).sum()) for line in lines)

    return min(OTHERS, key=faults)


def house(sheet: Sheet, room: Room) -> BaseGeometry:
    """Return the room with its walls, on paper."""
    return sheet.on_paper(room.outline.buffer(room.wall_thickness, join_style="mitre"))


def along_text(along: Array) -> tuple[float, Array]:
    """Return how text along a plan direction is turned, degrees clockwise on paper, and which way on paper is up it."""
    turn = upright(float(np.degrees(np.arctan2(-along[1], along[0]))))
    return turn, np.array([np.sin(np.radians(turn)), -np.cos(np.radians(turn))])


def draw_setting_out(
    sheet: Sheet, room: Room, layout: Layout, units: Unit, start_name: str = "the start", on_the_left: bool = False
) -> None:
    """Draw, in chalk blue, how the ends of the chalk line are found and how far along it the start point lies, which is
    called `start_name`; this one beside the chalk line on the right or on the left."""
    lines = set_out(room, layout)
    _, left = directions(layout)
    for mark in (lines.near, lines.far):
        for each in mark.tapes[: 1 if mark.wall is not None else 2]:
            aside = np.zeros(2)
            if mark.wall is not None:
                aside = -wall_frame(room, mark.wall - 1)[2] * IN_THE_ROOM * sheet.scale
            foot, point = (sheet.paper(end + aside) for end in (room.corners[each.corner], mark.point))
            sheet.dimension(foot, point, bare_fine(each.length, units), color=CHALK)
        sheet.circle(sheet.paper(mark.point), 0.6, fill=CHALK)
    if lines.from_near > SAME:
        way = left if on_the_left else -left
        aside = way * 4.5 * sheet.scale
        words = f"{bare_fine(lines.from_near, units)} to {start_name}"
        foot, point = sheet.paper(lines.near.point + aside), sheet.paper(layout.start_point + aside)
        within = text_width(words, 2.4) < float(np.hypot(*(point - foot))) - 1.0
        sheet.dimension(foot, point, words if within else "", color=CHALK)
        if not within:
            middle, reach = (foot + point) / 2, 1.2 + text_width(words, 2.4) / 2
            spots = [
                Spot.of(middle + _down(sign * way) * (reach + extra), along_text(way)[0])
                for extra in (0.0, 3.0, 6.0)
                for sign in (1, -1)
            ]
            sheet.label(words, 2.4, spots, middle, rank=1, halo=True, fill=CHALK)


def wall_frame(room: Room, wall: int) -> tuple[Array, Array, Array]:
    """Return the ends (2,) of wall `wall`, counted from 0, and the unit vector (2,) out of the room."""
    a, b = room.corners[wall], room.corners[(wall + 1) % len(room.corners)]
    return a, b, -inward(room.corners)[wall]


def _southwest(room: Room, wall: int) -> float:
    """How far a wall faces south or west: where drawings carry their overall dimensions."""
    return float(wall_frame(room, wall)[2] @ np.array([-0.7, -1.0]))


def _down(out: Array) -> Array:
    """A plan direction as a paper direction."""
    return out * np.array([1.0, -1.0])


def _axis(along: Array) -> Array:
    """The direction of a wall without its sense: the same for both ways of walking it."""
    return along if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else -along


def _name_opening(sheet: Sheet, room: Room, opening: RoomOpening, further: float) -> None:
    """Have an opening's name stand outside its wall, along it: between the dimension lines, else beyond them."""
    along = opening.b - opening.a
    along = along / np.hypot(*along)
    way = -_down(opening.inward)
    turn, up = along_text(along)
    left, top, right, bottom = sheet.frame
    name, size = fit_text(opening.name, 2.2, min(LONGEST_NAME, (right - left if abs(turn) < 45 else bottom - top) - 4))
    outside = bool(up @ way > 0.1)
    face = sheet.paper(opening.middle - opening.inward * room.wall_thickness)
    spots = []
    for distance in (NAMES + CLEAR * outside + further, FAR + 5.5 + further, NAMES + 2.0 + further):
        spots += [Spot.of(face + distance * way + shift * _down(along), turn) for shift in (0, 4, -4, 8, -8, 13, -13)]
    near = FAR + further + 8
    sheet.label(name, size, spots, face, rank=2, off=house(sheet, room), near=near, fill=INK, font_style="italic")
