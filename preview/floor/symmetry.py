"""How alike the two sides of the centre line are.

Herringbone has no mirror of its own: reflected in the middle of a seam it falls on itself only when it is slid by
W / sqrt2 along the run (W the board's width with its joint; see `preview.floor.lattice`), and in the middle of a
course not even then, as boards that leaned left then lean right. So a point of the field counts as covered alike if

1. its mirror image in the centre line lies in the field too, and
2. the pattern, mirrored in the centre line and slid by W / sqrt2, is the pattern itself.

Symmetry is the share of the field's area that is covered alike: 1 in a symmetrical room with a seam down its middle,
less by what the field reaches further on one side, and 0 where a course runs down the line.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.floor.layout import Array, Layout

ON_A_SEAM = 5e-4
"""A centre line this near to the middle of a seam, metres, is on it: half the width of a chalk line."""


def symmetry(layout: Layout) -> float:
    """Return the share (0 to 1) of the field's area that is covered alike on both sides of the centre line."""
    width, length = layout.board.width + layout.board.gap, layout.board.length + layout.board.gap
    if not mirrors(layout.chalk_offset, width, length):
        return 0.0
    return mirrored_share(layout.field, layout.center_line[0], layout.run)


def mirrors(chalk_offset: float, width: float, length: float) -> bool:
    """Return whether a centre line, `chalk_offset` left of the chalk line, lies in the middle of a seam.

    width, length: the board with its joint, metres. Seams' middles lie W / (2 sqrt2) left of the chalk line, and every
    L / sqrt2 from there.
    """
    aside = chalk_offset - width / (2 * sqrt(2))
    return abs(aside - round(aside * sqrt(2) / length) * length / sqrt(2)) < ON_A_SEAM


def mirrored_share(field: BaseGeometry, point: Array, run: float) -> float:
    """Return the share of a field whose mirror image in the line through `point` (2,) along `run` lies in it."""
    axis = np.array([np.cos(run), np.sin(run)])
    reflect = 2 * np.outer(axis, axis) - np.eye(2)
    mirrored = shapely.transform(field, lambda points: point + (points - point) @ reflect)
    return float(shapely.intersection(field, mirrored).area / field.area)
