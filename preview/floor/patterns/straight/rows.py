"""Straight rows placed in the plan.

In run axes (r along, c across to the right) row k lies from c = c0 + k W to c0 + (k + 1) W, W a board's width with its
joint; c0 is the chalk line of the first row, which is row 0. Each row has joints of its own, so that the
rows alone repeat, and mirrored in a seam or in the middle of a row they are themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.edges import Edge
from preview.floor.layout import Array, Pieces, Role
from preview.floor.patterns.fit import Reach, last_piece
from preview.floor.patterns.interface import SLACK, CornerLines
from preview.floor.patterns.straight.row_joints import DRAWN, SPARE, Rule, Span, draw_row
from preview.floor.patterns.straight.supply import Supply
from preview.room.offset import SPECK
from preview.scene.job import Unit
from preview.units import format_exact
from preview.vectors import axes

Ints = NDArray[np.int64]

ON_A_SEAM = 5e-4
"""A centre line this near to a seam, or to the middle of a row, metres, is on it: half the width of a chalk line."""

NARROW = 0.05
"""A row ripped to half a board or to this, metres, whichever is less, is a narrow one (common practice, no published
source)."""

JUST_INSIDE = 1e-4
"""How far inside a row's long edges its ends are looked for, metres."""


def row_reach(width: float, gap: float) -> Reach:
    """Return what rows reach, for boards `width` wide with their joint of `gap`, metres.

    Derivation. Rows are W wide whatever the boards' length, so n rows reach D <= n W: in (1) of
    `preview.floor.patterns.fit` the length that repeats across the run is W itself, k = 1 and e = 0, and a last row is
    ripped to p = D - (n - 1) W.
    """
    return Reach(1.0, 0.0, min(width / 2, NARROW + gap), width, 1.0, 1.0, 1.0, gap, "width")


@dataclass(frozen=True, eq=False)
class Rows:
    """Placed rows: `origin` a point of the first row's chalk line, `run` radians; `width` and `length` are a board's
    with its joint, the longest and the `shortest` one's; `gap` the joint, metres. Of n boards `row` (n,) counts from
    the first row, positive to the right, `place` (n,) along the row, and `ends` (n, 2) are the places along the run
    where a board begins and ends, of which the row has room for `inside` (n, 2): the rest is sawn off, and may lie
    where the row goes on past what stands in it. `remarks` are warnings."""

    origin: tuple[float, float]
    run: float
    width: float
    length: float
    shortest: float
    gap: float
    row: Ints
    place: Ints
    ends: Array
    inside: Array
    remarks: tuple[str, ...] = ()

    @property
    def board_width(self) -> float:
        """A board's width with its joint."""
        return self.width

    @property
    def reach(self) -> Reach:
        """What its rows reach across the run."""
        return row_reach(self.width, self.gap)

    @property
    def course_width(self) -> float:
        """Width of a row."""
        return self.width

    @property
    def lines(self) -> CornerLines:
        """Every seam; corners follow one another along it as its row's joints do."""
        return CornerLines(self.width, 1, self.length)

    def corners_on(self, line: int, low: float, high: float) -> Array:
        """Return where the boards right of a seam begin; where none does between `low` and `high`, `low` itself."""
        begun = np.sort(self.ends[self.row == line, 0])
        inside = begun[(begun >= low - SLACK) & (begun < high - SLACK)]
        if not len(inside):
            inside = np.array([low]) if len(begun) else begun
        return np.clip(inside, low, high)

    def frame(self) -> Array:
        """Return unit vectors along the run and across it to the right, rows of (2, 2)."""
        return axes(self.run)

    def boards(self, region: BaseGeometry) -> Pieces:
        """Return all boards, uncut; key: place along the row, row."""
        count = len(self.row)
        corners = self._corners(np.arange(count), self.ends)
        return Pieces(
            polygons=shapely.polygons(self._corners(np.arange(count), self.inside)),
            role=np.full(count, Role.BOARD, np.int8),
            course=self.row.astype(np.int32),
            grain=np.full(count, self.run),
            origin=corners[:, 0],
            size=np.stack([self.ends[:, 1] - self.ends[:, 0], np.full(count, self.width)], axis=1),
            whole=np.ones(count, bool),
            key=np.stack([self.place, self.row], axis=-1).astype(np.int32),
            hand=np.zeros(count, np.int8),
            skew=np.zeros(count),
        )

    def first_boards(self, corner: Array) -> tuple[Polygon, ...]:
        """Return the board right of the seam on which `corner` lies that begins there, or nearest to there."""
        along, across = self.frame()
        row = round(float(across @ (corner - np.asarray(self.origin))) / self.width)
        own = np.flatnonzero(self.row == row)
        nearest = own[np.abs(self.ends[own, 0] - along @ corner).argmin()]
        return (Polygon(self._corners(np.array([nearest]), self.ends)[0]),)

    def aids(self, corner: Array) -> tuple[Polygon, ...]:
        """Return nothing: a batten along the chalk line holds the first row."""
        return ()

    def wood_corner(self, gap: float) -> Array:
        """Return the way from a corner to that of the wood: half a joint in, along and across."""
        way: Array = gap / 2 * self.frame().sum(axis=0)
        return way

    def last_piece(self, edge: Edge, center: float, phase: float) -> float:
        """Return the width of the last row at a side, metres; NaN at an end, where the rule of the joints sees to the
        pieces, and at an angled edge."""
        if edge.facing not in ("left", "right"):
            return float("nan")
        half = edge.place - center if edge.facing == "right" else center - edge.place
        return last_piece(half, self.reach, self.width, phase)

    def is_small(self, edge: Edge, piece: float, *, obstacle: bool = False) -> bool:
        """Return whether the rows at a side end in a narrow one; round an obstacle only one half as narrow counts."""
        limit = self.reach.least / 2 if obstacle else self.reach.least
        return not isnan(piece) and edge.length > self.width and piece < limit - 1e-9

    def mirrors_in(self, place: float) -> bool:
        """Return whether the line at `place` lies on a seam or in the middle of a row, joints left out of account."""
        aside = 2 * (float(self.frame()[1] @ self.origin) - place) / self.width
        return abs(aside - round(aside)) * self.width / 2 < ON_A_SEAM

    def _corners(self, which: Ints, ends: Array) -> Array:
        """Return corners (n, 4, 2) of boards with `ends`, anticlockwise from the right of the near end."""
        along, across = self.frame()
        zero = float(across @ np.asarray(self.origin))
        (low, high), row = ends[which].T, self.row[which]
        left, right = zero + row * self.width, zero + (row + 1) * self.width
        places = np.stack([[low, right], [high, right], [high, left], [low, left]]).transpose(2, 0, 1)
        corners: Array = places @ np.array([along, across])
        return corners


def lay_rows(
    origin: tuple[float, float],
    run: float,
    width: float,
    gap: float,
    field: BaseGeometry,
    supply: Supply,
    stagger: float,
    end: float,
    seed: int,
    first: float | None,
    strict: bool,
    units: Unit,
) -> Rows:
    """Return rows over a field, from the first one outwards, each with joints drawn at random.

    Args:
        origin: a point of the first row's chalk line.
        run: direction of the rows, radians.
        width: a board's with its joint of `gap`, metres.
        field: what they cover.
        supply: the boards.
        stagger: least distance between joints of neighbouring rows, metres.
        end: the shortest piece at the end of a row, metres.
        seed: another number draws other joints.
        first: how far from the near end of the first row its first joint lies, metres; None for anywhere.
        strict: whether that holds even where pieces come out too short.
        units: of what is remarked.
    """
    frame = axes(run)
    local = shapely.transform(field, lambda points: (points - origin) @ frame.T)
    _, low, _, high = local.bounds
    least, most = int(np.floor(low / width + SLACK)), int(np.ceil(high / width - SLACK))
    zero = float(frame[0] @ np.asarray(origin))
    joints: dict[int, Array] = {}
    row, place, ends, inside, crowded, spare = [], [], [], [], 0, SPARE
    rightward, leftward = range(max(0, least), most), range(min(-1, most - 1), least - 1, -1)
    for way, numbers in ((1, rightward), (-1, leftward)):
        for number in numbers:
            rng = np.random.default_rng([seed, number % 2**32])
            empty = np.zeros(0)
            rule = Rule(stagger, end, joints.get(number - way, empty), joints.get(number - 2 * way, empty))
            laid, faults = [], 0.0
            for order, span in enumerate(row_spans(local, number * width, width, end)):
                wished = first if number == 0 and order == 0 else None
                boards, wrong, drawn = draw_row(span, supply, rule, rng, wished, strict, min(DRAWN, spare))
                spare = max(0, spare - drawn + len(boards))
                laid.append(boards)
                inside.append(np.clip(boards, span.near, span.far) + zero)
                faults += wrong
            if not laid:
                continue
            joints[number] = np.sort(np.concatenate([each[1:, 0] for each in laid]))
            crowded += faults >= 1
            ends.append(np.concatenate(laid) + zero)
            row.append(np.full(len(ends[-1]), number))
            place.append(np.arange(len(ends[-1])))
    return Rows(
        origin,
        run,
        width,
        supply.longest,
        supply.shortest,
        gap,
        row=np.concatenate([np.zeros(0, int), *row]),
        place=np.concatenate([np.zeros(0, int), *place]),
        ends=np.concatenate([np.zeros((0, 2)), *ends]),
        inside=np.concatenate([np.zeros((0, 2)), *inside]),
        remarks=_crowded(crowded, stagger, end, strict, units),
    )


def row_spans(field: BaseGeometry, low: float, width: float, end: float) -> Sequence[Span]:
    """Return where the row from `low` to `low + width` across the run lies in a field that is given in run axes; an end
    that is askew by more than `end`, metres, over the row's width is a step of the wall, or nearly along the row: there
    the outermost place counts alone."""
    left, _, right, _ = field.bounds
    strip = shapely.intersection(field, shapely.box(left - 1, low, right + 1, low + width))
    parts = [each for each in shapely.get_parts(strip) if each.geom_type == "Polygon" and each.area > SPECK]
    merged: list[list[Polygon]] = []
    for part in sorted(parts, key=lambda each: float(each.bounds[0])):
        if merged and part.bounds[0] < max(each.bounds[2] for each in merged[-1]) - SLACK:
            merged[-1].append(part)
        else:
            merged.append([part])
    return [_span(shapely.union_all(each), low, width, end) for each in merged]


def _span(part: BaseGeometry, low: float, width: float, end: float) -> Span:
    near, _, far, _ = part.bounds
    inside = []
    for across in (low + JUST_INSIDE, low + width - JUST_INSIDE):
        line = shapely.intersection(part, shapely.LineString([(near - 1, across), (far + 1, across)]))
        if not line.is_empty:
            inside.append((line.bounds[0], line.bounds[2]))
    first, last = (max(each[0] for each in inside), min(each[1] for each in inside)) if inside else (near, far)
    return Span(near, far, first if first - near < end else near, last if far - last < end else far)


def _crowded(rows: int, stagger: float, end: float, strict: bool, units: Unit) -> tuple[str, ...]:
    if not rows:
        return ()
    return (
        f"in {rows:,} row{'s' if rows > 1 else ''} an end joint lies nearer than {format_exact(stagger, units)} to one "
        f"of the next row, or a piece under {format_exact(end, units)} at the end: mix more lengths, or give a smaller "
        f"floor.stagger{' or another floor.start' if strict else ''}",
    )
