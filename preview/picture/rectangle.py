"""The upright rectangle round a pane: what reflections and sunshine take it for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Rectangle:
    """Its lower `corner`, `side` and `rise` from there, and its unit normal `inward`, each (3,), metres."""

    corner: Array
    side: Array
    rise: Array
    inward: Array


def rectangle_round(corners: Array) -> Rectangle:
    """Return the rectangle round a pane's corners (k, 3), anticlockwise as seen from the room."""
    normal = np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0]).sum(axis=0)
    normal = normal / np.linalg.norm(normal)
    up = np.array([0.0, 0.0, 1.0]) if abs(normal[2]) < 0.9 else np.array([0.0, 1.0, 0.0])
    along = np.cross(up, normal)
    along /= np.linalg.norm(along)
    rise = np.cross(normal, along)
    x, y = (corners - corners[0]) @ along, (corners - corners[0]) @ rise
    corner = corners[0] + x.min() * along + y.min() * rise
    return Rectangle(corner, float(np.ptp(x)) * along, float(np.ptp(y)) * rise, normal)
