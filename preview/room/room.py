"""The room as exact plan geometry, in metres, x east and y north. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass

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
    have holes). `field` is `floor` inside the border line (one or more polygons). `edge` is the distance from the
    wall to the floor's outer edge, under the baseboard, and `border_line` that to the field, metres.
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
    field: Polygon | MultiPolygon
    edge: float
    border_line: float
    misclosure: Misclosure | None
    warnings: tuple[str, ...]

    def opening(self, name: str) -> RoomOpening:
        """Return the opening called `name`; raises KeyError."""
        return {each.name: each for each in self.openings}[name]
