"""What light hands on to the picture. Plain frozen values, photometric RGB: the Rec. 709 luminance of an
irradiance triple is illuminance in lux, that of a radiance triple is luminance in cd/m2."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class FloorLight:
    """Irradiance on the plane z = 0: a grid of texels.

    origin (2,) plan position of the first texel's lower left corner, `texel` its side, metres;
    irradiance (h, w, 3), rows along +y; direction (h, w, 3) mean direction the light comes from, times how
    directional it is (0 for light from all round, 1 for light from one place).
    """

    origin: tuple[float, float]
    texel: float
    irradiance: F32
    direction: F32


@dataclass(frozen=True, eq=False)
class Emitter:
    """A pane as the eye sees it: corners (k, 3), radiance (3,) mean over the room."""

    name: str
    corners: NDArray[np.float64]
    radiance: F32


@dataclass(frozen=True, eq=False)
class Lighting:
    """Daylight in a room: the floor, each part's vertices (by part name, (v, 3)), the panes, and the mean
    illuminance of the floor in lux by which exposure is metered."""

    floor: FloorLight
    parts: dict[str, F32]
    emitters: tuple[Emitter, ...]
    mean_floor_lux: float
