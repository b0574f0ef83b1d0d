"""What wood hands on: textures, and each piece's place in them. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]


@dataclass(frozen=True)
class Finish:
    """A finish: `gloss` in 60 degree gloss units (ISO 2813), `roughness` the GGX alpha of its coat, `ior` of the coat."""

    name: str
    gloss: float
    roughness: float
    ior: float


@dataclass(frozen=True, eq=False)
class Boards:
    """Textures for the n pieces of `Layout.pieces` followed by the m of `Layout.beyond`; N = n + m.

    pages: tuple of (h, w, 3) uint8 sRGB albedo images, each within `MAX_PAGE` pixels a side; u runs along the
    image's width and along the grain, v along its height.
    page (N,) int32: which page a piece uses. uv_origin (N, 2), uv_scale (N, 2): a point with grain
    coordinates (s, t) metres (see preview.floor.layout) has texture coordinates
    uv_origin + uv_scale * (s, t), in 0..1 of its page, never leaving its board's rectangle; a negative scale turns the board.
    tint (N, 3) float32: linear RGB factor on the albedo, about 1.
    density: texture pixels a metre. mean_albedo (3,): linear RGB mean of the field boards as drawn.
    border_albedo (3,): the same of the border. finish, border_finish: the coats.
    """

    pages: tuple[NDArray[np.uint8], ...]
    page: NDArray[np.int32]
    uv_origin: F32
    uv_scale: F32
    tint: F32
    density: float
    mean_albedo: F32
    border_albedo: F32
    finish: Finish
    border_finish: Finish
