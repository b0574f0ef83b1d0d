"""Vertex arrays and uniforms of one draw, as the engine takes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]
Value: TypeAlias = float | int | NDArray[np.float64]
"""Of a uniform: a number, a vector (2 to 4,), or an array of vectors (n, 3 or 4)."""


@dataclass(frozen=True, eq=False)
class VertexArrays:
    """Vertex arrays of one draw: positions (v, 3), normals (v, 3), uv (v, 2), extra (v, 4), colour (v, 3),
    faces (f, 3); `page` of the texture, -1 for none."""

    positions: F32
    normals: F32
    uv: F32
    extra: F32
    colour: F32
    faces: NDArray[np.int32]
    page: int = -1
