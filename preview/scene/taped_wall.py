"""A wall as one tapes along it."""

from __future__ import annotations

from dataclasses import dataclass

from preview.scene.job import Point


@dataclass(frozen=True)
class Wall:
    """A wall of the closed walk: where it begins (metres), unit vectors along it and into the room."""

    corner: Point
    along: Point
    inward: Point

    def point(self, offset: float, clear: float) -> Point:
        """Return the plan point `offset` along the wall and `clear` out from it, metres."""
        (x, y), (ax, ay), (ix, iy) = self.corner, self.along, self.inward
        return x + offset * ax + clear * ix, y + offset * ay + clear * iy
