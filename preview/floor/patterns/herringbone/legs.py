"""Herringbone legs placed in the plan: one board each, or two or three side by side."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan, sqrt

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.edges import Edge
from preview.floor.layout import Array, Pieces, Role
from preview.floor.patterns.fit import Reach, last_piece
from preview.floor.patterns.herringbone.lattice import Lattice, covering
from preview.floor.patterns.herringbone.start import triangle_legs
from preview.floor.patterns.interface import CornerLines

ON_A_SEAM = 5e-4
"""A centre line this near to the middle of a seam, metres, is on it: half the width of a chalk line."""


def leg_reach(width: float, strips: int = 1, gap: float = 0.0) -> Reach:
    """Return what herringbone courses reach, for boards `width` wide with their joint of `gap`, metres, `strips` a leg.

    Derivation. Let W be the leg's width. Seams between courses have their middles L / sqrt2 apart, and a seam's corners
    stand W / (2 sqrt2) either side of its middle (see `preview.floor.patterns.herringbone.lattice`). The next course
    begins to show, as triangles, as soon as the field reaches past the inner corners of the last seam; it doesn't where

        D <= n L / sqrt2 - W / (2 sqrt2),    that is    L >= (sqrt2 D + W / 2) / n.

    The last course's boards begin at the inner corners, at (n - 1) L / sqrt2 - W / (2 sqrt2); cut at the edge, square
    to their course, their longer side measures p = sqrt2 D - (n - 1) L + W / 2 and, across the leg, the shorter p - W.
    Where p <= W the last piece is itself a triangle, with legs p.

    Single boards are usually 3 to 8 times as long as wide, and best 5 times (common practice, no published source); a
    leg of several keeps the proportions of a leg within 2 1/2 and 6 to 1 (own choice).
    """
    leg = strips * width
    shortest, best, longest = 1.0 + 2 * strips, 2.0 + 3 * strips, 4.0 + 4 * strips
    return Reach(sqrt(2), leg / 2, leg, width, shortest, best, longest, gap)


@dataclass(frozen=True)
class Legs(Lattice):
    """A lattice whose legs, `width` wide, are `strips` boards side by side each; the joint is `gap`."""

    strips: int = 1
    gap: float = 0.0

    @property
    def board_width(self) -> float:
        """A board's width with its joint."""
        return self.width / self.strips

    @property
    def reach(self) -> Reach:
        """What its courses reach across the run."""
        return leg_reach(self.width / self.strips, self.strips, self.gap)

    @property
    def lines(self) -> CornerLines:
        """The lines of shared corners: every second seam."""
        return CornerLines(sqrt(2) * self.length, 2, sqrt(2) * self.width)

    @property
    def course_width(self) -> float:
        """Width of a course, from the middle of one seam to the next."""
        return self.length / sqrt(2)

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
        """Return all boards that may meet `region`, uncut; key: place along the run, course."""
        places = covering(self, region)
        pair, cell, lean = (np.repeat(each, self.strips) for each in (places.pair, places.cell, places.lean))
        strip = np.tile(np.arange(self.strips), len(places))
        count, width = len(pair), self.width / self.strips
        grain = self.run + np.where(lean == 1, -np.pi / 4, np.pi / 4)
        right, left = self.axes()
        along = np.where(lean[:, None] == 1, right, left)
        across = np.where(lean[:, None] == 1, left, -right)
        origin = self.corners(pair, cell) + (strip * width)[:, None] * across
        corners = np.stack(
            [origin, origin + self.length * along, origin + self.length * along + width * across,
             origin + width * across], axis=1,
        )  # fmt: skip
        return Pieces(
            polygons=shapely.polygons(corners),
            role=np.full(count, Role.BOARD, np.int8),
            course=(2 * cell + lean).astype(np.int32),
            grain=grain,
            origin=origin,
            size=np.tile([self.length, width], (count, 1)),
            whole=np.ones(count, bool),
            key=np.stack([pair * self.strips + strip, 2 * cell + lean], axis=-1).astype(np.int32),
            hand=lean.astype(np.int8),
            skew=np.zeros(count),
        )

    def first_boards(self, corner: Array) -> tuple[Polygon, ...]:
        """Return the boards of the two legs that share `corner`, with their joints, the left-leaning leg's first."""
        x, y = self.axes()
        width = self.width / self.strips
        left = [_box(corner, x, y, -(k + 1) * width, -k * width, 0, self.length) for k in range(self.strips)]
        right = [_box(corner, x, y, 0, self.length, k * width, (k + 1) * width) for k in range(self.strips)]
        return (*left, *right)

    def aids(self, corner: Array) -> tuple[Polygon, ...]:
        """Return the straightedge, a strip as wide as a leg against which the first leg's ends and the second's side
        are laid (its edge runs through `corner`, square to the first leg), and the block that keeps the first leg from
        sliding, along its outer side at its near end."""
        x, y = self.axes()
        width = self.width
        return (
            _box(corner, x, y, -width, self.length, -width, 0),
            _box(corner, x, y, -2 * width, -width, 0, min(2 * width, self.length)),
        )

    def wood_corner(self, gap: float) -> Array:
        """Return the way from a shared corner to the right corner of the left-leaning board's near end: half a joint
        along both of its sides, which is square to the run."""
        way: Array = -gap / sqrt(2) * self.frame()[1]
        return way

    def last_piece(self, edge: Edge, center: float, phase: float) -> float:
        """Return the last piece at an edge, metres: at a side the longer side of the last course's pieces (a triangle's
        legs where not above the leg's width), at an end the legs of its triangles, of which a leg of several boards
        has one, as large as the leg leaves over whole boards; NaN at an angled one."""
        if edge.facing in ("left", "right"):
            half = edge.place - center if edge.facing == "right" else center - edge.place
            return last_piece(half, self.reach, self.length, phase)
        if edge.facing in ("near", "far"):
            corner = float(self.frame()[0] @ self.origin)
            legs = triangle_legs(edge.place, edge.place, corner, self.width, self.length)
            rest = legs[0 if edge.facing == "near" else 1] % self.board_width
            return self.board_width if min(rest, self.board_width - rest) < 1e-9 else rest
        return float("nan")

    def is_small(self, edge: Edge, piece: float, *, obstacle: bool = False) -> bool:
        """Return whether an edge ends in small triangles: along a side wall any triangle, at an end and round an
        obstacle, which no layout can spare them, one with legs under half a board's width. An edge shorter than a
        leg's diagonal width is too short to tell."""
        limit = self.width if edge.facing in ("left", "right") and not obstacle else self.board_width / 2
        return not isnan(piece) and edge.length > sqrt(2) * self.width and piece < limit - 1e-9

    def mirrors_in(self, place: float) -> bool:
        """Return whether the line at `place` lies in the middle of a seam: mirrored in it and slid by W / sqrt2 along
        the run the pattern is itself. Seams' middles lie W / (2 sqrt2) left of the shared corners, every L / sqrt2."""
        aside = float(self.frame()[1] @ self.origin) - place - self.width / (2 * sqrt(2))
        return abs(aside - round(aside * sqrt(2) / self.length) * self.length / sqrt(2)) < ON_A_SEAM


def _box(corner: Array, x: Array, y: Array, left: float, right: float, low: float, high: float) -> Polygon:
    """Return a rectangle in board axes from `corner`, anticlockwise."""
    return Polygon([corner + a * x + b * y for a, b in ((left, low), (right, low), (right, high), (left, high))])
