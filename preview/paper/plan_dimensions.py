"""Dimension lines of the plan: walls and openings outside it, chalk line and start point inside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.floor.layout import Layout
from preview.paper.drawing import CHALK, INK, SOFT, Sheet, text_width, upright
from preview.paper.numbers import bare_fine, bare_length
from preview.paper.setting_out import directions, set_out, wall_lengths
from preview.room.room import Room
from preview.scene.job import Unit

Array = NDArray[np.float64]
NEAR, NAMES, FAR = 5.0, 9.2, 14.0  # mm from the outer face: opening chain, opening names, whole wall
CLEAR = 1.2  # mm further out for names where the chain's numbers stand on its outer side
IN_THE_ROOM = 4.0  # mm from a wall, the distances along it to the ends of the chalk line
SAME = 5e-4  # metres; a wall this near to the one opposite in length and reach is dimensioned once


def draw_wall_dimensions(sheet: Sheet, room: Room, units: Unit) -> None:
    """Dimension each wall along its inside face, its openings jamb by jamb, and name the openings."""
    lengths = wall_lengths(room)
    told: list[tuple[Array, tuple[float, ...]]] = []
    for wall in np.argsort([-_southwest(room, wall) for wall in range(len(lengths))], kind="stable"):
        a, b, out = wall_frame(room, int(wall))
        along = (b - a) / lengths[wall]
        openings = [each for each in room.openings if each.wall == wall + 1]
        edge = out * room.wall_thickness
        if openings:
            stops = sorted([0.0, lengths[wall], *(float((p - a) @ along) for o in openings for p in (o.a, o.b))])
            points = [sheet.paper(a + along * stop + edge) + NEAR * _down(out) for stop in stops]
            for start, end, p, q in zip(stops[:-1], stops[1:], points[:-1], points[1:], strict=True):
                if end - start > SAME:
                    sheet.dimension(p, q, bare_length(end - start, units), size=2.2)
            outside = along_text(along)[1] @ _down(out) > 0.1
            for opening in openings:
                at = sheet.paper(opening.middle + edge) + (NAMES + CLEAR * bool(outside)) * _down(out)
                _along_wall(sheet, at, along, opening.name)
        reach = tuple(np.round(sorted((float(a @ _axis(along)), float(b @ _axis(along)))), 3))
        if any(
            np.allclose(axis, _axis(along), atol=1e-9) and np.allclose(each, reach, atol=SAME) for axis, each in told
        ):
            continue
        told.append((_axis(along), reach))
        shift = edge / sheet.scale * [1, -1] + (FAR if openings else NEAR + 2) * _down(out)
        p, q = sheet.paper(a) + shift, sheet.paper(b) + shift
        for foot, end in ((sheet.paper(a), p), (sheet.paper(b), q)):
            gap = edge / sheet.scale * [1, -1] + 1.0 * _down(out)
            sheet.line(foot + gap, end + 1.2 * _down(out), stroke=SOFT, stroke_width=0.1)
        sheet.dimension(p, q, bare_length(float(lengths[wall]), units), size=2.6)


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
            turn, _ = along_text(way)
            at = (foot + point) / 2 + _down(way) * (1.2 + text_width(words, 2.4) / 2)
            sheet.text(at, words, 2.4, turn=turn, drop=0.35, halo=True, fill=CHALK, text_anchor="middle")


def wall_frame(room: Room, wall: int) -> tuple[Array, Array, Array]:
    """Return the ends (2,) of wall `wall`, counted from 0, and the unit vector (2,) out of the room."""
    a, b = room.corners[wall], room.corners[(wall + 1) % len(room.corners)]
    along = (b - a) / np.hypot(*(b - a))
    out = np.array([along[1], -along[0]]) * (1 if room.outline.exterior.is_ccw else -1)
    return a, b, out


def _southwest(room: Room, wall: int) -> float:
    """How far a wall faces south or west: where drawings carry their overall dimensions."""
    return float(wall_frame(room, wall)[2] @ np.array([-0.7, -1.0]))


def _down(out: Array) -> Array:
    """A plan direction as a paper direction."""
    return out * np.array([1.0, -1.0])


def _axis(along: Array) -> Array:
    """The direction of a wall without its sense: the same for both ways of walking it."""
    return along if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else -along


def _along_wall(sheet: Sheet, at: Array, along: Array, text: str, size: float = 2.2) -> None:
    turn, _ = along_text(along)
    long, tall = text_width(text, size) / 2 + 2, size
    keep = np.array([long, tall] if abs(turn) < 45 else [tall, long])
    at = np.clip(at, keep, np.array([sheet.width, sheet.height]) - keep)
    sheet.text(at, text, size, turn=turn, drop=0.35, fill=INK, font_style="italic", text_anchor="middle")
