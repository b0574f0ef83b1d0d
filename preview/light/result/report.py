"""Light on the floor in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from preview.colour import luminance
from preview.light.geometry.floor_grid import open_floor
from preview.light.result.lighting import Lighting
from preview.light.sources.lamps import lamps_for, windowless
from preview.room.room import Room
from preview.scene.job import LightChoice


@dataclass(frozen=True)
class FloorLux:
    """Illuminance of a room's open floor, lux: `mean`, `lowest` and `highest`, sunshine left out; `daylight_factor`
    mean as per cent of open ground's under an overcast sky (None under a clear one, for which it is not defined, and by
    lamps); `open_lux` of open ground; `sunlit` m2 of floor in the sun, `sunlit_lux` the highest with it;
    `source` whose light it is."""

    mean: float
    lowest: float
    highest: float
    daylight_factor: float | None
    open_lux: float
    sunlit: float
    sunlit_lux: float
    source: Literal["daylight", "lamplight", "daylight and lamplight"] = "daylight"


def floor_lux(lighting: Lighting, room: Room, light: LightChoice) -> FloorLux:
    """Return what there is to say of the light on a room's floor."""
    floor = lighting.floor
    height, width = floor.irradiance.shape[:2]
    x = floor.origin[0] + (np.arange(width) + 0.5) * floor.texel
    y = floor.origin[1] + (np.arange(height) + 0.5) * floor.texel
    lux = luminance(floor.irradiance)
    place = np.meshgrid(x, y)
    inside = shapely.contains_xy(open_floor(room), *place)
    mean = float(lux[inside].mean())
    sunlit, brightest = 0.0, float(lux[inside].max())
    for beam in lighting.sun.beams if lighting.sun else ():
        patch = beam.lit_floor()
        sunlit += float(patch.area)
        lit = inside & shapely.contains_xy(patch, *place)
        if lighting.sun and lit.any():
            own = float(luminance(beam.irradiance) * lighting.sun.direction[2])
            brightest = max(brightest, float(lux[lit].max()) + own)
    lamps = lamps_for(room, light) > 0
    factor = 100 * mean / lighting.open_lux if light.sky == "overcast" and not lamps else None
    return FloorLux(
        mean,
        float(lux[inside].min()),
        float(lux[inside].max()),
        factor,
        lighting.open_lux,
        sunlit,
        brightest,
        "lamplight" if windowless(room) else "daylight and lamplight" if lamps else "daylight",
    )
