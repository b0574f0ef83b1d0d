"""The sun's beams as they are drawn, through one pane each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.result.lighting import Lighting
from preview.picture.device.arrays import Value
from preview.picture.rectangle import Rectangle, rectangle_round
from preview.picture.shared import MAX_BEAMS

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SunBeams:
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


def sun_beams(lighting: Lighting) -> SunBeams:
    """Return the sun of a room, without beams where none come in."""
    if lighting.sun is None or not lighting.sun.beams:
        return SunBeams(np.array([0.0, 0, 1]), 0.0, (), np.zeros((0, 3)))
    beams = lighting.sun.beams[:MAX_BEAMS]
    return SunBeams(
        np.asarray(lighting.sun.direction, float),
        float(np.tan(lighting.sun.radius)),
        tuple(rectangle_round(each.corners) for each in beams),
        np.array([each.irradiance for each in beams], float),
    )
