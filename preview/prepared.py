"""Geometries prepared for many tests, each for the one who asked."""

from __future__ import annotations

from typing import TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

Geometry = TypeVar("Geometry", bound=BaseGeometry)


def prepared(shape: Geometry) -> Geometry:
    """Return a copy of a geometry, prepared: tests against it are quick.

    A copy, as the geometries of a room are shared by threads: GEOS builds the index of a prepared geometry at its first
    use, and two threads that do so at once end the process by a fault of memory.
    """
    copy: Geometry = shapely.transform(shape, lambda points: points)
    shapely.prepare(copy)
    return copy
