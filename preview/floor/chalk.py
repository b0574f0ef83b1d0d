"""The chalk line and the start point: where the first pair of boards goes, in a room of any shape.

Shared corners of the lattice follow parallel lines, sqrt2 L apart: every second seam. Any of them, and any corner on
it, begins the same pattern, so the line is chosen for the work: near the centre line, long, clear of what stands in
the room, with floor for the first pair, and for the straightedge that it is laid against, at its beginning.

A line is struck through two marks, each out by what a tape is read to. Turned by that error, a board is out by the
error times its distance from the start over the length of the line: the line's reach. A line whose reach is little
worse than the best one's is good, and of the good ones that nearest the centre line is taken.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.lattice import Lattice
from preview.floor.layout import Array, ChalkLine
from preview.room.room import Room

BESIDE = 0.35
"""A line that runs for more than this share of its clear length in the border, or within a board's width of it, is
easily taken for the border line: it is chosen only where there is no other."""

GOOD = 1.2
"""A reach up to this, or up to this times the best one's, is good."""

SLACK = 1e-6
"""What lies within this of an edge, metres, lies on it."""

FEW = 24
"""Corners of a line that are tried at once."""


@dataclass(frozen=True, eq=False)
class _LineSpan:
    """A part of a lattice line inside the field: line number `line` (two courses apart, 0 the lattice's own), from
    `low` to `high` along the run, part of a line on the clear floor from `first` to `last`; metres."""

    line: int
    low: float
    high: float
    first: float
    last: float
    reach: float


def chalk_lines(room: Room, lattice: Lattice, field: BaseGeometry, gap: float) -> tuple[ChalkLine, ...]:
    """Return a chalk line for each part of the field, the largest part's first; none for a part without a corner of
    the pattern in it.

    Args:
        room: the measured room.
        lattice: the boards.
        field: what the boards cover, grilles left out.
        gap: width of the joints, metres; a chalk line runs along the corners of the left-leaning boards themselves,
            half a joint from the lattice's.
    """
    clear = shapely.difference(room.outline, shapely.union_all([each.polygon for each in room.obstacles]))
    parts = sorted(shapely.get_parts(room.field), key=lambda part: -part.area)
    found = [_line_in(part, clear, lattice, shapely.intersection(field, part), gap) for part in parts]
    return tuple(each for each in found if each is not None)


def first_pair(lattice: Lattice, corner: Array) -> tuple[Polygon, Polygon]:
    """Return the boards, with their joints, that share `corner` (2,): the left-leaning one first."""
    x, y = lattice.axes()
    width, length = lattice.width, lattice.length
    left, right = _box(corner, x, y, -width, 0, 0, length), _box(corner, x, y, 0, length, 0, width)
    return left, right


def straightedge(lattice: Lattice, corner: Array) -> Polygon:
    """Return the strip, as wide as a board, against which the first board's end and the second's side are laid: its
    edge runs through `corner` (2,), square to the first board."""
    x, y = lattice.axes()
    return _box(corner, x, y, -lattice.width, lattice.length, -lattice.width, 0)


def backing_block(lattice: Lattice, corner: Array) -> Polygon:
    """Return the block that keeps the first board from sliding: along its outer side, at its near end."""
    x, y = lattice.axes()
    return _box(corner, x, y, -2 * lattice.width, -lattice.width, 0, min(2 * lattice.width, lattice.length))


def _line_in(part: Polygon, clear: BaseGeometry, lattice: Lattice, field: BaseGeometry, gap: float) -> ChalkLine | None:
    stretches = _stretches(part, clear, lattice)
    if not stretches:
        return None
    best = min(each.reach for each in stretches)
    inner = shapely.buffer(part, -lattice.width, join_style="mitre")
    open_ = [each for each in stretches if _beside(each, lattice, inner) <= BESIDE]
    good = [each for each in open_ if each.reach <= GOOD * max(best, 1.0)]
    order = sorted(good, key=lambda each: (abs(each.line), each.line, each.reach))
    order += sorted((each for each in stretches if each not in good), key=lambda each: each.reach)
    wide = shapely.buffer(field, SLACK, join_style="mitre")
    floor = shapely.buffer(clear, SLACK, join_style="mitre")
    for each in (wide, floor):
        shapely.prepare(each)
    for room_for in (_pair_and_straightedge, _pair):
        for stretch in order:
            corners = _corners(stretch, lattice)
            for start in range(0, len(corners), FEW):
                some = corners[start : start + FEW]
                fits = np.flatnonzero(room_for(lattice, some, wide, floor))
                if len(fits):
                    return _chalk(lattice, stretch, some[fits[0]], gap, room_for is _pair_and_straightedge, True)
    return _most_of_a_pair(order, lattice, field, gap)


def _stretches(part: Polygon, clear: BaseGeometry, lattice: Lattice) -> list[_LineSpan]:
    """Return where the lattice's lines run inside one part of the field."""
    along, across = lattice.frame()
    points = shapely.get_coordinates(part)
    local = points @ lattice.frame().T
    (low_r, low_c), (high_r, high_c) = local.min(axis=0), local.max(axis=0)
    zero, step = float(across @ np.asarray(lattice.origin)), sqrt(2) * lattice.length
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


def _beside(stretch: _LineSpan, lattice: Lattice, inner: BaseGeometry) -> float:
    """Return which share of a stretch's clear line lies outside `inner`, the field less a board's width at its edge."""
    along, across = lattice.frame()
    aside = across * (float(across @ np.asarray(lattice.origin)) + stretch.line * sqrt(2) * lattice.length)
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


def _corners(stretch: _LineSpan, lattice: Lattice) -> Array:
    """Return the shared corners on a stretch, (n, 2), from its near end."""
    along, across = lattice.frame()
    zero = float(along @ np.asarray(lattice.origin))
    step = sqrt(2) * lattice.width
    first, last = np.ceil((stretch.low - zero - SLACK) / step), np.floor((stretch.high - zero + SLACK) / step)
    places = np.clip(zero + step * np.arange(first, last + 1), stretch.low, stretch.high)
    side = float(across @ np.asarray(lattice.origin)) + stretch.line * sqrt(2) * lattice.length
    corners: Array = places[:, None] * along + side * across
    return corners


def _pair(lattice: Lattice, corners: Array, field: BaseGeometry, _floor: BaseGeometry) -> NDArray[np.bool_]:
    pairs = np.array([first_pair(lattice, corner) for corner in corners], dtype=object).reshape(-1, 2)
    fits: NDArray[np.bool_] = shapely.covers(field, pairs).all(axis=1)
    return fits


def _pair_and_straightedge(
    lattice: Lattice, corners: Array, field: BaseGeometry, floor: BaseGeometry
) -> NDArray[np.bool_]:
    fits = _pair(lattice, corners, field, floor)
    helps = [(straightedge(lattice, each), backing_block(lattice, each)) for each in corners[fits]]
    if helps:
        fits[fits] = shapely.covers(floor, np.array(helps, dtype=object)).all(axis=1)
    return fits


def _most_of_a_pair(stretches: list[_LineSpan], lattice: Lattice, field: BaseGeometry, gap: float) -> ChalkLine | None:
    """Return the corner in a field too small for a whole pair of which most lies in it."""
    best: tuple[float, _LineSpan, Array] | None = None
    for stretch in stretches:
        for corner in _corners(stretch, lattice):
            inside = float(shapely.area(shapely.intersection(first_pair(lattice, corner), field)).sum())
            if best is None or inside > best[0] + SLACK**2:
                best = (inside, stretch, corner)
    return None if best is None else _chalk(lattice, best[1], best[2], gap, False, False)


def _chalk(lattice: Lattice, stretch: _LineSpan, corner: Array, gap: float, straight: bool, whole: bool) -> ChalkLine:
    along, across = lattice.frame()
    aside = across * (float(across @ corner) - gap / sqrt(2))
    ends = aside + np.array([[stretch.low], [stretch.high]]) * along
    return ChalkLine(ends, corner - gap / sqrt(2) * across, 2 * stretch.line, whole, straight)


def _box(corner: Array, x: Array, y: Array, left: float, right: float, low: float, high: float) -> Polygon:
    """Return a rectangle in board axes from `corner`, anticlockwise."""
    return Polygon([corner + a * x + b * y for a, b in ((left, low), (right, low), (right, high), (left, high))])
