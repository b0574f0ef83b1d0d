"""Direct light: daylight in a room before any surface has sent it on. Nothing of it hangs on the colours of walls and
wood, so that a room in which only those change is lit from here."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.coat import Coat
from preview.light.geometry.visibility import RoomGeometry, Visibility
from preview.light.result.lighting import SunLight
from preview.light.solve.directional_emission import FloorShares, floor_shares, mirrored_series
from preview.light.solve.sunlight import sunlight
from preview.light.sources.glass import Glazing
from preview.light.sources.sky import Sky

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class DirectLight:
    """What a sky and lamps bring straight into a room whose floor lies under a coat.

    direct (m, 3) irradiance of the nodes from the panes and the lamps. Of the floor's light from the panes: `ground`
    (f, 3) irradiance of its points, `entering` (f, 3) what of it the coat lets through, `towards` (f, 3) its directions
    by luminance; on the texels (h, w, 3) what the coat has `passed` and `mirrored`. shares: how the floor's tiles light
    the nodes, and what of the panes they mirror there. The sun's beams, None where there are none.
    """

    direct: Array
    ground: Array
    entering: Array
    towards: Array
    passed: Array
    mirrored: Array
    shares: FloorShares
    sun: SunLight | None


def find_direct_light(
    geometry: RoomGeometry,
    visibility: Visibility,
    sky: Sky,
    glass: Glazing,
    open_floor: Polygon | MultiPolygon,
    coat: Coat,
    lamps: float = 0.0,
) -> DirectLight:
    """Return the direct light in a room, with `lamps` lux that lamps throw on its ceiling."""
    shell, grid, cells = geometry.shell, geometry.grid, geometry.cells
    count = len(shell.node_points)
    with ThreadPoolExecutor(1) as aside:
        sun = aside.submit(sunlight, geometry.panes, sky, glass, shell, open_floor)
        panes = visibility.panes.light(sky, glass, coat, count)
        direct = visibility.inpaint @ panes.irradiance[:count]
        direct[np.array([name == "ceiling" for name in shell.names])[shell.node_part]] += lamps
        on_texels = visibility.upsample @ np.concatenate([panes.passed, panes.mirrored], axis=1)
        passed, mirrored = np.moveaxis(on_texels.reshape(*grid.shape, 2, 3), 2, 0)
        on_tiles = (cells.tile_means @ visibility.upsample) @ panes.moments.reshape(len(panes.moments), -1)
        series = mirrored_series(on_tiles.reshape(-1, *panes.moments.shape[1:]))
        shares = floor_shares(geometry, visibility.nodes, coat, cells.on_tiles(mirrored), series)
        ground = panes.irradiance[count:]
        return DirectLight(direct, ground, panes.passed, panes.towards, passed, mirrored, shares, sun.result())
