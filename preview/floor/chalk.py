"""The chalk line and the start point: where the first pair of boards goes, in a room of any shape.

The corners at which a pattern can begin follow parallel lines. Any of them, and any corner on it, begins the same
pattern, so the line is chosen for the work: near the centre line, long, clear of what stands in
the room, with floor for the first pair, and for the straightedge that it is laid against, at its beginning.

A line is struck through two marks, each out by what a tape is read to. Turned by that error, a board is out by the
error times its distance from the start over the length of the line: the line's reach. A line whose reach is little
worse than the best one's is good, and of the good ones that nearest the centre line is taken.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Array, ChalkLine
from preview.floor.patterns.interface import SLACK, Placement
from preview.prepared import prepared
from preview.room.obstacles import clear_floor
from preview.room.room import Room

BESIDE = 0.35
"""A line that runs for more than this share of its clear length in the border, or within a board's width of it, is
easily taken for the border line: it is chosen only where there is no other."""

GOOD = 1.2
"""A reach up to this, or up to this times the best one's, is good; and so is a pair of which so much less lies in the
field as most of one does."""

FEW = 8
"""Corners of a line that are tried at once."""


@dataclass(frozen=True, eq=False)
class _LineSpan:
    """A part of a line of corners inside the field: line number `line` (0 through the placement's own origin), from
    `low` to `high` along the run, part of a line on the clear floor from `first` to `last`; metres."""

    line: int
    low: float
    high: float
    first: float
    last: float
    reach: float


def chalk_lines(room: Room, placement: Placement, field: BaseGeometry, gap: float) -> tuple[ChalkLine, ...]:
    """Return a chalk line for each part of the field, the largest part's first; none for a part without a corner of
    the pattern in it.

    Args:
        room: the measured room.
        placement: the pattern.
        field: what the boards cover, grilles left out.
        gap: width of the joints, metres; a chalk line runs along corners of the boards themselves, which may lie
            off the pattern's by part of a joint.
    """
    clear = clear_floor(room)
    parts = sorted(shapely.get_parts(room.field), key=lambda part: -part.area)
    found = [_line_in(part, clear, placement, shapely.intersection(field, part), gap) for part in parts]
    return tuple(each for each in found if each is not None)


def _line_in(
    part: Polygon, clear: BaseGeometry, placement: Placement, field: BaseGeometry, gap: float
) -> ChalkLine | None:
    stretches = _stretches(part, clear, placement)
    if not stretches:
        return None
    best = min(each.reach for each in stretches)
    inner = shapely.buffer(part, -placement.board_width, join_style="mitre")
    open_ = [each for each in stretches if _beside(each, placement, inner) <= BESIDE]
    good = [each for each in open_ if each.reach <= GOOD * max(best, 1.0)]
    order = sorted(good, key=lambda each: (abs(each.line), each.line, each.reach))
    order += sorted((each for each in stretches if each not in good), key=lambda each: each.reach)
    wide = prepared(shapely.buffer(field, SLACK, join_style="mitre"))
    floor = prepared(shapely.buffer(clear, SLACK, join_style="mitre"))
    for room_for in (_pair_and_straightedge, _pair):
        for stretch in order:
            corners = _corners(stretch, placement)
            for start in range(0, len(corners), FEW):
                some = corners[start : start + FEW]
                fits = np.flatnonzero(room_for(placement, some, wide, floor))
                if len(fits):
                    return _chalk(placement, stretch, some[fits[0]], gap, room_for is _pair_and_straightedge, True)
    return _most_of_a_pair(order, placement, part, field, gap)


def _stretches(part: Polygon, clear: BaseGeometry, placement: Placement) -> list[_LineSpan]:
    """Return where the placement's lines run inside one part of the field."""
    along, across = placement.frame()
    points = shapely.get_coordinates(part)
    local = points @ placement.frame().T
    (low_r, low_c), (high_r, high_c) = local.min(axis=0), local.max(axis=0)
    zero, step = float(across @ np.asarray(placement.origin)), placement.lines.apart
    numbers = np.arange(np.ceil((low_c - zero) / step), np.floor((high_c - zero) / step) + 1).astype(int)
    reach = np.array([low_r - 100.0, high_r + 100.0])
    found = []
    for number in numbers.tolist():
        line = shapely.LineString(across * (zero + number * step) + reach[:, None] * along)
        free = _intervals(shapely.intersection(line, clear), along)
        for low, high in _intervals(shapely.intersection(line, part), along):
            around = [each for each in free if each[0] - SLACK <= low and high <= each[1] + SLACK]
            first, last = around[0] if around else (low, high)
            length = last - first
            if length <= SLACK:
                continue
            entry = across * (zero + number * step) + low * along
            far = float(np.hypot(*(points - entry).T).max())
            found.append(_LineSpan(number, low, high, first, last, far / length))
    return found


def _beside(stretch: _LineSpan, placement: Placement, inner: BaseGeometry) -> float:
    """Return which share of a stretch's clear line lies outside `inner`, the field less a board's width at its edge."""
    along, across = placement.frame()
    aside = across * (float(across @ np.asarray(placement.origin)) + stretch.line * placement.lines.apart)
    line = shapely.LineString(aside + np.array([[stretch.first], [stretch.last]]) * along)
    return 1.0 - float(shapely.intersection(line, inner).length) / line.length


def _intervals(crossed: BaseGeometry, along: Array) -> list[tuple[float, float]]:
    """Return the pieces of a line as intervals along it, metres."""
    lines = [each for each in shapely.get_parts(crossed) if each.geom_type == "LineString" and each.length > 0]
    places = [shapely.get_coordinates(each) @ along for each in lines]
    merged: list[tuple[float, float]] = []
    for low, high in sorted((float(each.min()), float(each.max())) for each in places):
        if merged and low - merged[-1][1] < SLACK:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def _corners(stretch: _LineSpan, placement: Placement) -> Array:
    """Return the corners on a stretch, (n, 2), from its near end."""
    along, across = placement.frame()
    places = placement.corners_on(stretch.line, stretch.low, stretch.high)
    side = float(across @ np.asarray(placement.origin)) + stretch.line * placement.lines.apart
    corners: Array = places[:, None] * along + side * across
    return corners


def _pair(placement: Placement, corners: Array, field: BaseGeometry, _floor: BaseGeometry) -> NDArray[np.bool_]:
    pairs = np.array([placement.first_boards(corner) for corner in corners], dtype=object)
    fits: NDArray[np.bool_] = shapely.covers(field, pairs).all(axis=1)
    return fits


def _pair_and_straightedge(
    placement: Placement, corners: Array, field: BaseGeometry, floor: BaseGeometry
) -> NDArray[np.bool_]:
    fits = _pair(placement, corners, field, floor)
    aids = [placement.aids(each) for each in corners[fits]]
    if aids and aids[0]:
        fits[fits] = shapely.covers(floor, np.array(aids, dtype=object)).all(axis=1)
    return fits


def _most_of_a_pair(
    stretches: list[_LineSpan], placement: Placement, part: Polygon, field: BaseGeometry, gap: float
) -> ChalkLine | None:
    """Return, in a part of the field too small for a whole pair, the corner on the best line of which most lies in it,
    or nearly most; None where no board's own corner, which is off the pattern's by part of a joint, lies in it."""
    wide = prepared(shapely.buffer(part, SLACK, join_style="mitre"))
    found: list[tuple[float, _LineSpan, Array]] = []
    for stretch in stretches:
        for corner in _corners(stretch, placement):
            if shapely.covers(wide, shapely.Point(corner + placement.wood_corner(gap))):
                inside = shapely.area(shapely.intersection(placement.first_boards(corner), field)).sum()
                found.append((float(inside), stretch, corner))
    if not found:
        return None
    most = max(inside for inside, _, _ in found)
    line = next(stretch for inside, stretch, _ in found if inside >= most / GOOD)
    _, _, corner = max((each for each in found if each[1] is line), key=lambda each: each[0])
    return _chalk(placement, line, corner, gap, False, False)


def _chalk(
    placement: Placement, stretch: _LineSpan, corner: Array, gap: float, straight: bool, whole: bool
) -> ChalkLine:
    along, across = placement.frame()
    start = corner + placement.wood_corner(gap)
    ends = across * float(across @ start) + np.array([[stretch.low], [stretch.high]]) * along
    return ChalkLine(ends, start, placement.lines.courses * stretch.line, whole, straight)
