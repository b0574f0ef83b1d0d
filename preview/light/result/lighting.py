"""What light hands on to the picture. Plain frozen values, photometric RGB: the Rec. 709 luminance of an
irradiance triple is illuminance in lux, that of a radiance triple is luminance in cd/m2."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class FloorLight:
    """Irradiance on the plane z = 0: a grid of texels.

    origin (2,) plan position of the first texel's lower left corner, `texel` its side, metres;
    irradiance (h, w, 3), rows along +y; entering (h, w, 3) what of it the finish lets through to the wood;
    direction (h, w, 3) mean direction the light comes from, times how
    directional it is (0 for light from all round, 1 for light from one place).
    """

    origin: tuple[float, float]
    texel: float
    irradiance: F32
    entering: F32
    direction: F32


@dataclass(frozen=True, eq=False)
class Emitter:
    """A pane as the eye sees it: corners (k, 3), radiance (3,) mean over the room. From the floor one looks up through
    it: there it shows `above` (3,) times 1 + 2 sin g along a ray that rises by g. `passed` is the share that its glass
    lets through of that, as met on the mean; 1 for an opening."""

    name: str
    corners: NDArray[np.float64]
    radiance: F32
    above: F32
    passed: float = 1.0


@dataclass(frozen=True, eq=False)
class SunBeam:
    """Sunshine through one pane: the pane's corners (k, 3), irradiance (3,) after the glass on a plane that faces the
    sun, and where it meets the floor: polygons as rings (r, 2) in plan, the outer first, edges exact for the middle
    of the sun."""

    name: str
    corners: NDArray[np.float64]
    irradiance: F32
    floor: tuple[tuple[NDArray[np.float64], ...], ...]

    def lit_floor(self) -> MultiPolygon:
        """Return where the beam meets the floor, in plan."""
        return MultiPolygon([Polygon(each[0], each[1:]) for each in self.floor])


@dataclass(frozen=True, eq=False)
class SunLight:
    """The sun's beams: direction (3,) to its middle, `radius` the angle its disc subtends from there, radians: at a
    distance d behind an edge the penumbra is 2 d tan(radius) wide."""

    direction: NDArray[np.float64]
    radius: float
    beams: tuple[SunBeam, ...]


@dataclass(frozen=True, eq=False)
class Outside:
    """What is seen out of a window: radiance (h, w, 3) by direction, before the glass; rows from straight down to
    straight up, columns from -x anticlockwise round to it again, both ends on the first and the last. `glass` (n,) is
    the share that the glass lets through, at cosines of incidence evenly from 0 to 1."""

    radiance: F32
    glass: F32


@dataclass(frozen=True, eq=False)
class Lighting:
    """Daylight in a room: the floor, each part's vertices (by part name, (v, 3)), the panes, and the mean
    illuminance of the floor in lux by which exposure is metered (sunshine on it counted).

    Floor and parts hold all light but what comes straight from the sun; `sun` holds that, None where there is none.
    `open_lux` is the illuminance of open level ground out of doors, `outside` what is seen there, None where panes show
    their own mean.
    """

    floor: FloorLight
    parts: dict[str, F32]
    emitters: tuple[Emitter, ...]
    mean_floor_lux: float
    sun: SunLight | None = None
    open_lux: float = 0.0
    outside: Outside | None = None
