"""Highlights held: what is brighter than white is brought down as a photographer does who blends exposures, so that a
sun patch keeps its grain, a reflection the pattern under it, and a window what is seen through it.

Log luminance is split into a base, smooth but for strong edges, and the detail on it; the base is compressed over
`KNEE`, the detail stays (F. Durand and J. Dorsey, "Fast bilateral filtering for the display of high-dynamic-range
images", ACM TOG 21(3), 2002). The smoothing is a guided filter of the picture by itself, worked out on a smaller copy
(K. He, J. Sun and X. Tang, "Guided image filtering", IEEE TPAMI 35(6), 2013; K. He and J. Sun, "Fast guided filter",
arXiv:1505.00996, 2015). Colours are multiplied alike in R, G and B and mixed with grey, which keeps their hue.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.picture.bands import in_bands

F32 = NDArray[np.float32]

KNEE = -0.25  # stops over white: 0.84 of it, over which the base is compressed; under it nothing changes
RANGE = 0.1  # stops of the base to a doubling of what lies over the knee, far over it
BEND = 0.3  # stops over the knee in which the base turns from keeping its stops to that
HALF_PALE = 7.0  # stops over the knee at which half of a colour's distance to grey is left: light too bright pales
SMALL = 320  # pixels of the longer side of the smaller copy
REACH = 7  # pixels of it that the filter reaches to every side
EDGE = 0.5  # stops: a step of more stays sharp in the base, a smaller one is detail
DARKEST = 1e-6  # of white


def hold_highlights(exposed: F32) -> F32:
    """Return exposed linear RGB (h, w, 3), 1 for white, with what lies over the knee brought down; (h, w, 3)."""
    level = np.empty(exposed.shape[:2], np.float32)
    weights = LUMINANCE.astype(np.float32)

    def measure(rows: slice) -> None:
        level[rows] = np.log2(np.maximum(exposed[rows] @ weights, np.float32(DARKEST)))

    in_bands(measure, len(exposed))
    if not level.size or level.max() <= KNEE:
        return exposed
    base = _base(level)
    brought_down = np.empty_like(exposed)

    def bring_down(rows: slice) -> None:
        share, offset = base.at(rows)
        above = (share * level[rows] + offset - np.float32(KNEE)).ravel()
        bright = np.flatnonzero(above > 0)
        over, colour = above[bright], exposed[rows].reshape(-1, 3)[bright]
        paled = (over / (over + np.float32(HALF_PALE)))[:, None]
        grey = np.exp2(level[rows].ravel()[bright])[:, None]
        brought_down[rows] = exposed[rows]
        mixed = colour + paled * (grey - colour)
        brought_down[rows].reshape(-1, 3)[bright] = mixed * np.exp2(held(over) - over)[:, None]

    in_bands(bring_down, len(exposed))
    return brought_down


def held(over: F32) -> F32:
    """Return what is left of stops over the knee: their own near it, `RANGE` for every doubling far over it."""
    start = np.float32(RANGE / np.log(2) / BEND)  # its slope at the knee, were it not for the first term
    bent = np.float32(RANGE) * np.log2(1 + over / np.float32(BEND))
    return bent + (1 - start) * np.float32(BEND) * (1 - np.exp(-over / np.float32(BEND))) if start < 1 else bent


@dataclass(frozen=True, eq=False)
class _Base:
    """The base of log luminance, smooth but for edges of more than `EDGE`: a share of that luminance and what is to be
    added, (2, n + 1, w) for n of the picture's `rows` between which straight lines run, the last one twice."""

    small: F32
    rows: int

    def at(self, rows: slice) -> F32:
        """Return the share and what is to be added in rows of the picture, (2, r, w)."""
        first, far = _between(self.rows, self.small.shape[1] - 1)
        low = self.small[:, first[rows]]
        return np.asarray(low + far[rows, None] * (self.small[:, first[rows] + 1] - low))


def _base(level: F32) -> _Base:
    """Return the base of log luminance (h, w)."""
    from scipy.ndimage import uniform_filter

    step = max(1, round(max(level.shape) / SMALL))
    small = _shrunk(level, step)
    side = 2 * REACH + 1
    mean = uniform_filter(small, side, mode="nearest")
    spread = np.maximum(uniform_filter(small * small, side, mode="nearest") - mean * mean, 0)
    share = spread / (spread + np.float32(EDGE**2))
    offset = uniform_filter(mean * (1 - share), side, mode="nearest")
    share = uniform_filter(share, side, mode="nearest")
    both = np.pad(np.stack([share, offset]), ((0, 0), (0, 1), (0, 1)), mode="edge")
    first, far = _between(level.shape[1], small.shape[1])
    low = both[..., first]
    return _Base(np.asarray(low + far * (both[..., first + 1] - low)), len(level))


def _shrunk(level: F32, step: int) -> F32:
    """Return means over squares of `step` pixels; the last ones are as many as are left."""
    height, width = level.shape
    rows, columns = np.arange(0, height, step), np.arange(0, width, step)
    total = np.add.reduceat(np.add.reduceat(level, rows, axis=0), columns, axis=1)
    counts = np.diff([*rows, height])[:, None] * np.diff([*columns, width])
    return (total / counts).astype(np.float32)


def _between(count: int, small: int) -> tuple[NDArray[np.intp], F32]:
    """Return between which of `small` values each of `count` pixels lies: the number of the first, and how far from it
    to the next; beyond the outermost ones' middles at those."""
    at = np.clip((np.arange(count) + 0.5) * (small / count) - 0.5, 0, small - 1)
    first = at.astype(np.intp)
    return first, (at - first).astype(np.float32)
