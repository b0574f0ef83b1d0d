"""A wall's own axes, in which its parts are drawn and openings are measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WallFace:
    """A wall's own axes: x along the wall from `start` (2,), y height, z out of the wall into the room.

    `along`, `inward` (2,) are unit vectors, `inward` on the left of `along`; `length` metres.
    """

    start: Array
    along: Array
    inward: Array
    length: float

    def plan(self, x: float, z: float = 0.0) -> Array:
        """Return the plan point (2,) at x along the wall, z out of it."""
        return self.start + x * self.along + z * self.inward

    def spots(self, points: Array) -> Array:
        """Carry points (..., 3) from the wall's axes to the room's."""
        plan = self.start + points[..., :1] * self.along + points[..., 2:] * self.inward
        return np.concatenate([plan, points[..., 1:2]], axis=-1)

    def place(self, *soups: Array) -> Array:
        """Carry soups drawn with x to the right, y up and z towards one; the walls' axes mirror that."""
        return self.spots(np.concatenate(soups))[:, ::-1]


def wall_face(start: Array, end: Array) -> WallFace:
    """Return the axes of the wall from `start` to `end` (2,), the room on its left."""
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    return WallFace(start, along, np.array([-along[1], along[0]]), length)
