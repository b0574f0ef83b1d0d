"""Chevron columns placed in the plan.

Every board is a parallelogram: two long edges of length L, W apart, at an angle a to the run, and two ends that lie
along it. In run axes (r along, c across to the right) a column is C = L sin a wide, and its boards rise by H = L cos a
from the seam on one side to that on the other, one every P = W / sin a. Columns lean left and right in turn, so that
their boards meet end to end on every seam; every second seam has its points towards the near end, and these are where
boards begin.
Mirrored in a seam the pattern is itself (plane group pmg with its mirrors on the seams).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, isnan, sin, tan

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.edges import Edge
from preview.floor.layout import Array, Pieces, Role
from preview.floor.patterns.fit import Reach, last_piece
from preview.floor.patterns.interface import CornerLines
from preview.vectors import axes

ON_A_SEAM = 5e-4
"""A centre line this near to a seam, metres, is on it: half the width of a chalk line."""

SHORTEST, BEST, LONGEST = 3.0, 6.0, 9.0
"""Board length over width: the usual range and the one aimed at (common practice, no published source)."""


def column_reach(width: float, angle: float, gap: float = 0.0) -> Reach:
    """Return what chevron columns reach, for boards `width` wide with their joint of `gap`, metres.

    Derivation. Seams are straight and L sin a apart, so n columns reach D <= n L sin a: in (1) of
    `preview.floor.patterns.fit`, k = 1 / sin a and e = 0. Cut along the run, the last column's boards keep the mitre
    and measure p = D / sin a - (n - 1) L along either long edge. Pieces whose long edge is not above a board's width
    are small (common practice, no published source). A joint of g between mitred ends takes g / sin a along a board.
    """
    return Reach(1 / sin(angle), 0.0, width, width, SHORTEST, BEST, LONGEST, gap / sin(angle))


@dataclass(frozen=True)
class Columns:
    """Placed columns: `origin` a point of the near ends of two boards, `run` radians; `width` and `length` are a
    board's with its joint, along its long edge, metres; `angle` radians between long edges and the run; `gap` the
    joint, metres."""

    origin: tuple[float, float]
    run: float
    width: float
    length: float
    angle: float
    gap: float = 0.0

    @property
    def board_width(self) -> float:
        """A board's width with its joint."""
        return self.width

    @property
    def reach(self) -> Reach:
        """What its courses reach across the run."""
        return column_reach(self.width, self.angle, self.gap)

    @property
    def course_width(self) -> float:
        """Width of a column."""
        return self.length * sin(self.angle)

    @property
    def step(self) -> float:
        """Between the points of one seam."""
        return self.width / sin(self.angle)

    @property
    def rise(self) -> float:
        """How far a board's far end lies on along the run."""
        return self.length * cos(self.angle)

    @property
    def lines(self) -> CornerLines:
        """Every second seam, on which boards begin."""
        return CornerLines(2 * self.course_width, 2, self.step)

    def frame(self) -> Array:
        """Return unit vectors along the run and across it to the right, rows of (2, 2)."""
        return axes(self.run)

    @property
    def shortest(self) -> float:
        """All boards are of one length."""
        return self.length

    @property
    def remarks(self) -> tuple[str, ...]:
        """None."""
        return ()

    def corners_on(self, line: int, low: float, high: float) -> Array:
        """Return the places along the run of the corners on a line: the same on each."""
        return self.lines.places(float(self.frame()[0] @ self.origin), low, high)

    def boards(self, region: BaseGeometry) -> Pieces:
        """Return all boards that may meet `region`, uncut; key: place along the run, column."""
        points = (shapely.get_coordinates(region) - self.origin) @ self.frame().T
        (low_r, low_c), (high_r, high_c) = points.min(axis=0), points.max(axis=0)
        rows = np.arange(np.floor((low_r - self.rise) / self.step) - 1, np.ceil(high_r / self.step) + 1)
        columns = np.arange(np.floor(low_c / self.course_width) - 1, np.ceil(high_c / self.course_width) + 1)
        column, row = (each.ravel().astype(int) for each in np.meshgrid(columns, rows, indexing="ij"))
        right = column % 2 == 0
        origin, grain, corners = self._corners(row, column)
        count, cot = len(row), 1 / tan(self.angle)
        return Pieces(
            polygons=shapely.polygons(corners),
            role=np.full(count, Role.BOARD, np.int8),
            course=column.astype(np.int32),
            grain=grain,
            origin=origin,
            size=np.tile([self.length + self.width * cot, self.width], (count, 1)),
            whole=np.ones(count, bool),
            key=np.stack([row, column], axis=-1).astype(np.int32),
            hand=right.astype(np.int8),
            skew=np.where(right, cot, -cot),
        )

    def first_boards(self, corner: Array) -> tuple[Polygon, ...]:
        """Return the two boards whose near ends meet on the seam from `corner` on, the left-leaning one first."""
        _, _, corners = self._corners(np.array([0, 0]), np.array([-1, 0]))
        left, right = shapely.polygons(corners - self.origin + corner)
        return left, right

    def aids(self, corner: Array) -> tuple[Polygon, ...]:
        """Return nothing: a batten along the chalk line holds the first column."""
        return ()

    def wood_corner(self, gap: float) -> Array:
        """Return no way at all: the joint between the ends lies on the seam, half on either side."""
        return np.zeros(2)

    def last_piece(self, edge: Edge, center: float, phase: float) -> float:
        """Return the last piece at an edge, metres: at a side the long edge of the last column's pieces, at an end that
        of its triangles, NaN at an angled one. See `triangle_edges`."""
        if edge.facing in ("left", "right"):
            half = edge.place - center if edge.facing == "right" else center - edge.place
            return last_piece(half, self.reach, self.length, phase)
        if edge.facing in ("near", "far"):
            point = float(self.frame()[0] @ self.origin)
            near, far = triangle_edges(edge.place, edge.place, point, self.width, self.length, self.angle)
            return near if edge.facing == "near" else far
        return float("nan")

    def is_small(self, edge: Edge, piece: float, *, obstacle: bool = False) -> bool:
        """Return whether an edge ends in small pieces: along a side wall boards with a long edge under a board's width,
        at an end triangles under half a full one. An edge shorter than a board is along it is too short to tell."""
        side = edge.facing in ("left", "right")
        limit = self.reach.least if side and not obstacle else self.step / cos(self.angle) / 2
        return not isnan(piece) and edge.length > self.step and piece < limit - 1e-9

    def mirrors_in(self, place: float) -> bool:
        """Return whether the line at `place` lies on a seam."""
        aside = (float(self.frame()[1] @ self.origin) - place) / self.course_width
        return abs(aside - round(aside)) * self.course_width < ON_A_SEAM

    def _corners(self, row: NDArray[np.int_], column: NDArray[np.int_]) -> tuple[Array, Array, Array]:
        """Return blanks' origins (n, 2), grains (n,) and corners (n, 4, 2), anticlockwise from the right of the near
        end."""
        along, across = self.frame()
        right = (column % 2 == 0)[:, None]
        sine, cosine, cot = sin(self.angle), cos(self.angle), 1 / tan(self.angle)
        seam = np.where(column % 2 == 0, column, column + 1)[:, None] * self.course_width
        near = np.asarray(self.origin) + (row * self.step)[:, None] * along + seam * across
        grain = np.where(right, cosine * along + sine * across, cosine * along - sine * across)
        step = self.step * along
        low = np.where(right, near, near + step)
        high = np.where(right, near + step, near)
        corners = np.stack([low, low + self.length * grain, high + self.length * grain, high], axis=1)
        origin = np.where(right, near, near + step - self.width * cot * grain)
        angles = self.run + np.where(right[:, 0], -self.angle, self.angle)
        return origin, angles, corners


def triangle_edges(
    near: float, far: float, point: float, width: float, length: float, angle: float
) -> tuple[float, float]:
    """Return the long edges of the triangles at the near and the far end of the field, metres.

    Derivation. Along the seams on which boards begin points lie at t0 + k P, along the others at t0 + H + k P. An end
    square to the run leaves, beside a seam, the triangle between itself, the seam and the next board: at the near end
    beside the seams where boards end, u = (t0 + H - near) mod P of the seam; at the far end beside those where they
    begin, u = (far - t0) mod P (0 stands for P). Its long edge is u / cos a; a full one's, P / cos a.

    Args:
        near, far: where the field begins and ends along the run.
        point: a point's place along the run, on a seam where boards begin.
        width, length: the board with its joint.
        angle: between long edges and the run, radians.
    """
    step = width / sin(angle)
    found = []
    for reach in (point + length * cos(angle) - near, far - point):
        along = reach % step
        found.append((step if min(along, step - along) < 1e-9 else along) / cos(angle))
    return found[0], found[1]
