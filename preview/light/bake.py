"""Daylight in a room: what the picture step asks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import luminance
from preview.light.factors import point_factors, split_polygon
from preview.light.glass import DOUBLE_GLAZING
from preview.light.lighting import Emitter, FloorLight, Lighting
from preview.light.sky import Sky, clear_sky, overcast_sky
from preview.light.sun import sun_angles, sun_direction
from preview.model.model import Model, Pane
from preview.room.room import Room
from preview.scene.job import LightChoice

Array = NDArray[np.float64]

NEXT_ROOM = 0.6  # the next room is lit this much of what this one is, on the mean; assumed, no published source
HIDDEN_SUN = (40.0, 180.0)  # elevation, azimuth: a clear sky without a `sun` has it here, and no beam
TEXEL = 0.05


def choose_sky(light: LightChoice, north: float) -> Sky:
    """Return the sky of a scene; `north` is the angle from +y to true north, clockwise, radians."""
    if light.sky == "overcast":
        return overcast_sky()
    if light.sun is None:
        return clear_sky(sun_direction(*HIDDEN_SUN, north), 80, beam=False)
    where = sun_angles(light.sun.latitude, light.sun.longitude, light.sun.time)
    return clear_sky(sun_direction(*where, north), light.sun.time.timetuple().tm_yday)


def light_room(model: Model, room: Room, light: LightChoice) -> Lighting:
    """Return the daylight in a room: sky through the panes, and the light that goes to and fro between its surfaces
    as an integrating sphere has it, E = Phi rho / (A (1 - rho)) (the split flux method)."""
    sky = choose_sky(light, room.north)
    xmin, ymin, xmax, ymax = room.outline.bounds
    width, height = int(np.ceil((xmax - xmin) / TEXEL)), int(np.ceil((ymax - ymin) / TEXEL))
    x, y = np.meshgrid(xmin + (np.arange(width) + 0.5) * TEXEL, ymin + (np.arange(height) + 0.5) * TEXEL)
    texels = np.stack([x.ravel(), y.ravel(), np.zeros(x.size)], axis=-1)
    direct, towards = _through_panes(model.panes, sky, texels, np.tile([0.0, 0.0, 1.0], (len(texels), 1)))
    walls = room.outline.length * room.height
    floor_area, surface = room.outline.area, walls + 2 * room.outline.area
    floor_albedo = np.asarray(model.floor_albedo)
    reflectance = 0.25 * floor_albedo + 0.75 * np.array([0.7, 0.7, 0.68])
    flux = sum(_flux(each, sky) for each in model.panes if each.glazed) + np.full(3, 1e-6)
    indirect = flux * reflectance / (surface * (1 - reflectance))
    total = direct + indirect
    share = (luminance(direct) / np.maximum(luminance(total), 1e-9))[:, None]
    floor = FloorLight(
        (xmin, ymin),
        TEXEL,
        total.reshape(height, width, 3).astype(np.float32),
        (towards * share).reshape(height, width, 3).astype(np.float32),
    )
    parts = {}
    for part in model.parts:
        sunk, _ = _through_panes(model.panes, sky, part.vertices + 2e-3 * part.normals, part.normals.astype(float))
        parts[part.name] = (sunk + indirect).astype(np.float32)
    emitters = tuple(
        Emitter(each.name, each.corners, _seen(each, sky, indirect).astype(np.float32)) for each in model.panes
    )
    mean = float(luminance(total).mean()) if floor_area > 0 else 0.0
    return Lighting(floor, parts, emitters, mean)


def _cells(pane: Pane) -> Array:
    return split_polygon(np.asarray(pane.corners, dtype=float), 0.3)


def _flux(pane: Pane, sky: Sky) -> Array:
    """Flux of the sky into the room through a pane, (3,)."""
    cells = _cells(pane)
    area = sum(np.linalg.norm(np.cross(c[1] - c[0], c[3] - c[0])) for c in cells)
    directions, solid = _sphere()
    cosine = -directions @ pane.inward
    out = cosine > 0
    glass = DOUBLE_GLAZING.transmittance(cosine[out])
    return np.asarray((sky.radiance(directions[out]) * (cosine[out] * solid[out] * glass)[:, None]).sum(axis=0) * area)


def _sphere() -> tuple[Array, Array]:
    from preview.light.sky import dome

    directions, solid = dome(16)
    return np.concatenate([directions, directions * [1, 1, -1]]), np.concatenate([solid, solid])


def _through_panes(panes: tuple[Pane, ...], sky: Sky, points: Array, normals: Array) -> tuple[Array, Array]:
    """Irradiance from the sky seen through the panes, (n, 3), and the mean direction it comes from (n, 3)."""
    total, towards = np.zeros((len(points), 3)), np.zeros((len(points), 3))
    for pane in panes:
        if not pane.glazed:
            continue
        cells = _cells(pane)
        centre = cells.mean(axis=1)
        for start in range(0, len(points), 2000):
            p, n = points[start : start + 2000], normals[start : start + 2000]
            factor = np.maximum(point_factors(p, n, cells), 0.0)
            away = centre[None] - p[:, None]
            away /= np.maximum(np.linalg.norm(away, axis=-1, keepdims=True), 1e-9)
            glass = DOUBLE_GLAZING.transmittance(-(away @ pane.inward))
            radiance = sky.radiance(away) * (np.pi * factor * glass)[..., None]
            total[start : start + 2000] += radiance.sum(axis=1)
            towards[start : start + 2000] += (away * luminance(radiance)[..., None]).sum(axis=1)
    return total, towards / np.maximum(luminance(total), 1e-9)[:, None]


def _seen(pane: Pane, sky: Sky, indirect: Array) -> Array:
    if not pane.glazed:
        return NEXT_ROOM * indirect / np.pi
    middle = -np.asarray(pane.inward)
    return np.asarray(sky.radiance(middle[None] + [0, 0, 0.05])[0] * DOUBLE_GLAZING.transmittance(np.ones(1)))
