"""Where two pictures from one camera differ: a strip of the first in grey, what changed in colour."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]

SEEN = 16
"""A difference under this, of 255 steps of one colour, is not seen."""

STRONG = 80
"""A difference of this many steps is drawn in full colour."""

LEAST = 0.18
"""A strip is at least this share of the picture's height."""

COLOUR = np.array([209, 52, 47])


def difference_band(images: list[Pixels]) -> tuple[int, int]:
    """Return the rows, from and up to, outside which pictures (h, w, 3) look as the first of them does."""
    height = images[0].shape[0]
    rows = np.zeros(height, bool)
    for image in images[1:]:
        rows |= (_steps(images[0], image) > SEEN).mean(axis=1) > 0.01
    found = np.flatnonzero(rows)
    low, high = (int(found[0]), int(found[-1]) + 1) if len(found) else (0, 0)
    missing = max(0, round(LEAST * height) - (high - low))
    low = max(0, min(low - missing // 2, height - (high - low) - missing))
    return low, min(height, max(high, low + round(LEAST * height)))


def difference_strip(first: Pixels, image: Pixels, band: tuple[int, int]) -> Pixels:
    """Return rows `band` of the first picture in pale grey, with what differs in `image` in red by how much it does."""
    one, other = first[band[0] : band[1]], image[band[0] : band[1]]
    grey = one.astype(float) @ np.array([0.299, 0.587, 0.114])
    pale = np.repeat((150 + grey * (105 / 255))[..., None], 3, axis=2)
    steps = _steps(one, other)
    share = np.clip((steps - SEEN) / (STRONG - SEEN), 0, 1)[..., None]
    strip: Pixels = np.round(pale * (1 - share) + COLOUR * share).astype(np.uint8)
    return strip


def _steps(one: Pixels, other: Pixels) -> NDArray[np.int_]:
    steps: NDArray[np.int_] = np.abs(one.astype(int) - other.astype(int)).max(axis=2)
    return steps
