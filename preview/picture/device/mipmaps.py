"""A picture of sRGB bytes made smaller and smaller, exactly: in linear light.

Drivers make mipmaps too, but not alike: Mesa's software driver goes to linear light and back by a polynomial at every
level, and a wood of two and a half per cent too much blue is what comes out.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.picture.bands import in_bands

Bytes = NDArray[np.uint8]
F32 = NDArray[np.float32]

BAND = 16_000  # pixels of a smaller picture made at once: what is worked on stays in the processor's cache


def mipmaps(image: Bytes) -> list[Bytes]:
    """Return a picture (h, w, 3 or 4) and its halves down to a pixel; the fourth channel is no colour, and linear."""
    levels = [image]
    while max(levels[-1].shape[:2]) > 1:
        levels.append(halved(levels[-1]))
    return levels


def float_mipmaps(image: F32) -> list[F32]:
    """Return a picture (h, w, k) of linear values and its halves, as long as both sides are even."""
    levels = [image]
    while not (levels[-1].shape[0] % 2 or levels[-1].shape[1] % 2):
        last = levels[-1]
        levels.append((last[0::2, 0::2] + last[1::2, 0::2] + last[0::2, 1::2] + last[1::2, 1::2]) / np.float32(4))
    return levels


def halved(image: Bytes) -> Bytes:
    """Return a picture half as wide and high, a last odd row or column left out."""
    height, width = (max(side // 2, 1) for side in image.shape[:2])
    if min(image.shape[:2]) == 1:
        image = np.repeat(image, 2, axis=int(image.shape[1] == 1))
    half = np.empty((height, width, image.shape[2]), np.uint8)
    linear, coded = _tables()

    def work(band: slice) -> None:
        rows = image[2 * band.start : 2 * band.stop, : 2 * width]
        total = _pair_sums(np.take(linear, rows[0::2]) + np.take(linear, rows[1::2]))
        np.take(coded, total >> np.uint32(4), out=half[band], mode="clip")  # "clip" needs no copy; none lies out
        if image.shape[2] == 4:
            alpha = rows[..., 3:].astype(np.uint32)
            half[band][..., 3:] = (_pair_sums(alpha[0::2] + alpha[1::2]) + np.uint32(2)) >> np.uint32(2)

    in_bands(work, height, max(1, BAND // width))
    return half


def _pair_sums(values: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """Return the sums of two neighbours in each row (h, 2w, k): (h, w, k)."""
    height, width, channels = values.shape
    pairs = values.reshape(height, width // 2, 2, channels)
    return pairs[:, :, 0] + pairs[:, :, 1]


@cache
def _tables() -> tuple[NDArray[np.uint32], Bytes]:
    """Return the linear value of each byte in 65,535ths, and the byte of each linear value in 16,384ths."""
    linear, coded = srgb_to_linear(np.arange(256) / 255), linear_to_srgb(np.arange(16385) / 16384)
    return np.rint(65535 * linear).astype(np.uint32), np.rint(255 * coded).astype(np.uint8)
