"""Pieces too narrow to cut or to hold: found, counted, placed."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.cut import narrowness

SLIVER = 0.003
"""A piece whose largest inscribed circle is narrower than this, metres, is a sliver."""


def sliver_mask(polygons: NDArray[np.object_], below: float = SLIVER) -> NDArray[np.bool_]:
    """Return which polygons (n,) are narrower than `below`, measured by the largest circle that fits in.

    For a convex polygon of area A and perimeter P the circle's diameter lies between 2 A / P and 4 A / P; only
    what that leaves open is measured.
    """
    bound = narrowness(polygons)
    mask = 2 * bound < below
    for index in np.flatnonzero(~mask & ((bound < below) | (shapely.get_num_interior_rings(polygons) > 0))):
        mask[index] = shapely.is_empty(shapely.buffer(polygons[index], -below / 2))
    return mask
