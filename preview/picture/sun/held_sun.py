"""The sun's beams as they are drawn: held back, as a photographer holds them back by a second, shorter exposure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.result.lighting import Lighting
from preview.picture.device.arrays import Value
from preview.picture.exposure import metered_lux
from preview.picture.rectangle import Rectangle, rectangle_round
from preview.picture.shared import MAX_BEAMS

Array = NDArray[np.float64]

HELD = 0.65  # of a beam's stops over the room's light; by eye


@dataclass(frozen=True, eq=False)
class HeldSun:
    """`way` (3,) to the sun, `spread` the tangent of its disc's radius; `panes` that its beams come through, and their
    irradiance (b, 3) on what faces it."""

    way: Array
    spread: float
    panes: tuple[Rectangle, ...]
    irradiance: Array

    def uniforms(self) -> dict[str, Value]:
        """Return it as the shaders take it."""
        if not self.panes:
            return {"beam_count": 0, "sun_way": self.way}
        return {
            "beam_count": len(self.panes),
            "beam_corner": np.array([each.corner for each in self.panes]),
            "beam_side": np.array([each.side for each in self.panes]),
            "beam_rise": np.array([each.rise for each in self.panes]),
            "beam_irradiance": self.irradiance,
            "sun_way": self.way,
            "sun_radius": self.spread,
        }


def held_sun(lighting: Lighting, bounds: Array) -> HeldSun:
    """Return the sun of a room within `bounds` (2, 3), without beams where none come in: each is held back to `HELD` of
    its stops over the room's light, so that what it falls on keeps its colour and its grain."""
    if lighting.sun is None or not lighting.sun.beams:
        return HeldSun(np.array([0.0, 0, 1]), 0.0, (), np.zeros((0, 3)))
    metered = metered_lux(lighting, bounds)
    beams = lighting.sun.beams[:MAX_BEAMS]
    return HeldSun(
        np.asarray(lighting.sun.direction, float),
        float(np.tan(lighting.sun.radius)),
        tuple(rectangle_round(each.corners) for each in beams),
        np.array([held_back(np.asarray(each.irradiance, float), metered) for each in beams]),
    )


def held_back(irradiance: Array, metered: float) -> Array:
    """Return sunshine (3,) with `HELD` of the stops that it lies over the `metered` light."""
    over = float(irradiance @ LUMINANCE) / max(metered, 1e-6)
    return irradiance * over ** (HELD - 1) if over > 1 else irradiance
