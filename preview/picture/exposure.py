"""How a picture is exposed and balanced: by the floor's light, once for all variants that share it."""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.colour import LUMINANCE
from preview.light.result.lighting import Lighting

Array = NDArray[np.float64]

COAT = 0.04  # of light from all round that a coat of n = 1.5 turns back towards an eye above it
PASSED = 0.908  # of light from all round that such a coat lets through to the wood (Walsh 1926)
TOE = 0.04  # what the tone mapper takes off every colour for that
ROUND = 0.6  # a room's radiosity over its irradiance, taken for what the coat mirrors


def exposure_for(
    lighting: Lighting,
    choice: Literal["auto"] | float,
    floor_albedo: tuple[float, float, float],
    bounds: Array | None = None,
) -> Array:
    """Return what scene radiance (R, G, B) is multiplied by before tone mapping, (3,).

    Balance: the eye adapts to the light that falls on what it looks at, so each channel is divided by the floor's mean
    irradiance in it (von Kries's rule in linear RGB), luminance kept. Grey wood is drawn grey, whatever colour
    the walls lend the light.

    "auto" meters the floor: a patch under its mean light is drawn at its own luminance rho after the tone
    mapper has taken off `TOE`. Such a patch sends L = (p rho E + c E_room) / pi, p and c the shares that its coat
    passes and mirrors, and so

        exposure = (rho + TOE) / L

    with E the log-average of the floor's illuminance within the room's `bounds` (E. Reinhard et al., "Photographic tone
    reproduction for digital images", ACM TOG 21(3), 2002), so that a bright bay does not leave the rest in the dark.
    A number is an exposure value EV100: 1 stands for the luminance 1.2 x 2^EV that just saturates (ISO 12232's
    saturation-based speed; formula from memory).
    """
    balance = white_balance(lighting)
    if choice != "auto":
        return balance / (1.2 * 2 ** float(choice))
    rho = min(max(float(LUMINANCE @ floor_albedo), 0.01), 0.95)
    metered = metered_lux(lighting, bounds)
    parts = [each @ LUMINANCE for each in lighting.parts.values() if len(each)]
    room = ROUND * float(np.concatenate(parts).mean()) if parts else metered
    radiance = (PASSED * rho * metered + COAT * room) / np.pi
    return balance * (rho + TOE) / radiance


def shared_exposure(base: Array, own: Array) -> Array:
    """Return the exposure (3,) of a floor that is shown beside another one in the same room: the other's, `base`, so
    that a darker floor looks darker; but no more than its `own`, as a pale floor lights the room besides and would be
    bleached. The white balance stays."""
    return base * min(1.0, float((own @ LUMINANCE) / (base @ LUMINANCE)))


def white_balance(lighting: Lighting) -> Array:
    """Return the gain of each channel (3,) that makes the floor's mean light grey at its own luminance."""
    light = floor_colour(lighting)
    return (light @ LUMINANCE) / np.maximum(light, 1e-6 * light.max() + 1e-12)


def metered_lux(lighting: Lighting, bounds: Array | None = None) -> float:
    """Return the log-average of the floor's illuminance within `bounds` (2, 3), dark corners left out; at most its
    mean."""
    mean = max(lighting.mean_floor_lux, 1e-3)
    floor = lighting.floor
    height, width = floor.irradiance.shape[:2]
    x = floor.origin[0] + (np.arange(width) + 0.5) * floor.texel
    y = floor.origin[1] + (np.arange(height) + 0.5) * floor.texel
    (x0, y0, _), (x1, y1, _) = [(-np.inf,) * 3, (np.inf,) * 3] if bounds is None else bounds
    lux = floor.irradiance[np.ix_((y > y0) & (y < y1), (x > x0) & (x < x1))] @ LUMINANCE
    lux = lux[lux > 0.02 * mean]
    log_average = float(np.exp(np.log(lux).mean())) if lux.size else mean
    return min(mean, log_average)


def floor_colour(lighting: Lighting) -> Array:
    """Return the floor's mean irradiance (R, G, B), (3,), sunshine counted."""
    floor = lighting.floor
    mean = floor.irradiance.reshape(-1, 3).mean(axis=0).astype(float)
    if lighting.sun is None:
        return mean
    height, width = floor.irradiance.shape[:2]
    for beam in lighting.sun.beams:
        area = sum(shapely.area(Polygon(rings[0], rings[1:])) for rings in beam.floor)
        share = area / (height * width * floor.texel**2)
        mean = mean + share * lighting.sun.direction[2] * np.asarray(beam.irradiance, float)
    return mean
