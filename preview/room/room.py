"""The room as exact plan geometry, in metres, x east and y north. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.scene.job import ObstacleKind, OpeningKind

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Misclosure:
    """How far a tape walk failed to close, before it was spread.

    `vector` (2,) from where the walk ended back to where it began is minus this; metres. `perimeter` is the
    measured one; `shifts` (n, 2) is what the compass (Bowditch) rule moved each corner by.
    """

    vector: Array
    perimeter: float
    shifts: Array

    @property
    def length(self) -> float:
        """Length of the misclosure, metres."""
        return float(np.hypot(*self.vector))


@dataclass(frozen=True)
class Measure:
    """What was measured of the walls, and what the adjustment made of it.

    A `wall` or a `diagonal` runs from corner `first` to corner `last`, counted from 1; `measured` and `adjusted` are
    metres. A `bearing` is the direction of the wall from `first` to `last`, radians. `spread` is the standard deviation
    that was expected of it; `redundancy` the share of an error in it that shows (0 where nothing checks it), and
    `normalized` its normalized residual. `by_others` is what the other measures make it, where
    they check it.
    """

    kind: Literal["wall", "diagonal", "bearing"]
    first: int
    last: int
    measured: float
    adjusted: float
    spread: float
    redundancy: float
    normalized: float
    by_others: float

    @property
    def change(self) -> float:
        """By how much it was changed: adjusted less measured."""
        return self.adjusted - self.measured

    @property
    def name(self) -> str:
        """``wall 2``, ``diagonal 1 to 3`` or ``the direction of wall 2``."""
        if self.kind == "diagonal":
            return f"diagonal {self.first} to {self.last}"
        return f"{'the direction of ' if self.kind == 'bearing' else ''}wall {self.first}"


@dataclass(frozen=True, eq=False)
class TapeAdjustment:
    """How taped lengths and the room's corners were brought together by least squares.

    `measures` are walls, then diagonals, then bearings where these were held; for a room given by its corners, which
    stay as they are, the diagonals alone. `bearings` says what became of the directions walked: "free" where sides and
    diagonals fix the shape, "loose" where they leave some of it open and bearings join as weak observations, "none" for
    a room given by corners. `turns` (n,) is how far each wall then runs from its direction as walked, radians.
    `spare` counts the measures above what the shape needs; `reference` is the reference standard deviation, 1 where
    they disagree as much as was expected of them, 0 where none is spare. `suspects` are the measures likeliest to be
    wrong, one where it stands clear of the others, none where all agree; `cleared` says whether the others agree
    once the first is left out. `wanted` are diagonals, by corners, that would fix the shape where bearings are loose.
    """

    measures: tuple[Measure, ...]
    bearings: Literal["free", "loose", "none"]
    turns: Array
    spare: int
    reference: float
    suspects: tuple[Measure, ...]
    cleared: bool
    wanted: tuple[tuple[int, int], ...]

    @property
    def tapes(self) -> tuple[Measure, ...]:
        """The measures that are lengths."""
        return tuple(each for each in self.measures if each.kind != "bearing")

    @property
    def worst(self) -> Measure:
        """The measure with the largest normalized residual; of those nearly alike the longest tape."""
        return max(
            self.measures, key=lambda each: (round(abs(each.normalized), 1), each.kind != "bearing", each.spread)
        )

    @property
    def largest(self) -> Measure:
        """The taped length that was changed most."""
        return max(self.tapes, key=lambda each: abs(each.change))


@dataclass(frozen=True, eq=False)
class RoomOpening:
    """An opening on its wall: jambs `a`, `b` (2,) on the inside face of the wall, in wall order.

    `inward` (2,) is the unit normal of the wall, pointing into the room; the sight line runs through
    `middle` along `inward`. `depth` is the wall's thickness.
    """

    name: str
    kind: OpeningKind
    wall: int
    a: Array
    b: Array
    inward: Array
    height: float
    sill: float
    beyond: float
    depth: float

    @property
    def middle(self) -> Array:
        """Middle of the opening on the wall's inside face, (2,) metres."""
        return (self.a + self.b) / 2

    @property
    def passable(self) -> bool:
        """Whether one walks through it: a door or a cased opening."""
        return self.kind != "window"


@dataclass(frozen=True, eq=False)
class RoomObstacle:
    """Something the floor stops at, as a polygon in plan (clipped to the room); metres."""

    name: str
    kind: ObstacleKind
    polygon: Polygon
    height: float
    baseboard: float


@dataclass(frozen=True, eq=False)
class RoomVent:
    """A floor grille: `polygon` is the outer edge of its frame, `size` (along, across), `angle` of along."""

    name: str
    polygon: Polygon
    center: Array
    size: tuple[float, float]
    angle: float


@dataclass(frozen=True, eq=False)
class Room:
    """A measured room.

    `corners` (n, 2) are the wall corners in the order of the scene, closed walk adjusted; wall i (from 0)
    runs from corner i to corner i + 1. `outline` is the same as a polygon. `floor` is what wood covers,
    thresholds left out: the outline less what lies beyond the border's outer edge and less obstacles (it may
    have holes). `inside_border` is `floor` less the border, and `field` that less the feature strip, where there is
    one: `floor` inside the border line (one or more polygons). `edge` is the distance from the wall to the floor's
    outer edge, under the baseboard, `strip_line` that to the border's inner edge and `border_line` that to the field,
    metres; the feature strip lies between the two. `misclosure` is there for a walk without diagonals, `adjustment`
    where diagonals were taped.
    """

    title: str
    corners: Array
    outline: Polygon
    height: float
    baseboard: float
    wall_thickness: float
    north: float
    openings: tuple[RoomOpening, ...]
    obstacles: tuple[RoomObstacle, ...]
    vents: tuple[RoomVent, ...]
    floor: Polygon | MultiPolygon
    inside_border: Polygon | MultiPolygon
    field: Polygon | MultiPolygon
    edge: float
    strip_line: float
    border_line: float
    misclosure: Misclosure | None
    warnings: tuple[str, ...]
    adjustment: TapeAdjustment | None = None

    def opening(self, name: str) -> RoomOpening:
        """Return the opening called `name`; raises KeyError."""
        return {each.name: each for each in self.openings}[name]
