"""How alike the two sides of the centre line are.

A point of the field counts as covered alike if its mirror image in the centre line lies in the field too, and the
pattern, mirrored in the centre line, is the pattern itself (slid along the line, where it has no other mirror).

Symmetry is the share of the field's area that is covered alike: 1 in a symmetrical room where the pattern has its
mirror on the line, less by what the field reaches further on one side, and 0 where the pattern has none there.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Array, Layout
from preview.vectors import unit


def symmetry(layout: Layout) -> float:
    """Return the share (0 to 1) of the field's area that is covered alike on both sides of the centre line."""
    return mirrored_share(layout.field, layout.center_line[0], layout.run) if layout.mirrored else 0.0


def mirrored_share(field: BaseGeometry, point: Array, run: float) -> float:
    """Return the share of a field whose mirror image in the line through `point` (2,) along `run` lies in it."""
    axis = unit(run)
    reflect = 2 * np.outer(axis, axis) - np.eye(2)
    mirrored = shapely.transform(field, lambda points: point + (points - point) @ reflect)
    return float(shapely.intersection(field, mirrored).area / field.area)
