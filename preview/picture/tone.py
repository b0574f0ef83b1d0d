"""From scene luminance to the picture's bytes: Khronos PBR Neutral, then sRGB."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.colour import linear_to_srgb
from preview.picture.bands import in_bands

F32 = NDArray[np.float32]

START = 0.8 - 0.04  # where highlights begin to be compressed
DESATURATION = 0.15


def tone_map(linear: F32) -> F32:
    """Compress exposed linear RGB (..., 3) >= 0 into 0..1, keeping base colours as they are.

    Khronos PBR Neutral tone mapper: KhronosGroup/ToneMapping, `PBR_Neutral/pbrNeutral.glsl` of 2024-06-17.
    """
    colour = np.asarray(linear, np.float32)
    least = np.minimum(np.minimum(colour[..., 0], colour[..., 1]), colour[..., 2])[..., None]
    toe = np.where(least < 0.08, least - 6.25 * least * least, np.float32(0.04))
    colour = colour - toe
    peak = np.maximum(np.maximum(colour[..., 0], colour[..., 1]), colour[..., 2])[..., None]
    high = peak[..., 0] >= START
    if high.any():
        bright, top = colour[high], peak[high]
        span = np.float32(1 - START)
        new_top = 1 - span * span / (top + span - np.float32(START))
        grey = 1 - 1 / (np.float32(DESATURATION) * (top - new_top) + 1)
        colour[high] = bright * (new_top / top) * (1 - grey) + new_top * grey
    return colour


@cache
def _bytes_table() -> NDArray[np.uint8]:
    """Bytes of the linear values k / 65535: a step is a twentieth of a byte where the curve is steepest."""
    return (linear_to_srgb(np.arange(65536) / 65535) * 255 + 0.5).astype(np.uint8)


def to_bytes(linear: F32) -> NDArray[np.uint8]:
    """Tone map exposed linear RGB (n, ..., 3), encode it and round to bytes."""
    table, coded = _bytes_table(), np.empty(linear.shape, np.uint8)

    def encode(rows: slice) -> None:
        mapped = np.clip(tone_map(linear[rows]), 0, 1) * np.float32(65535) + np.float32(0.5)
        np.take(table, mapped.astype(np.uint16), out=coded[rows], mode="clip")  # "clip" needs no copy; none lies out

    in_bands(encode, len(linear))
    return coded
