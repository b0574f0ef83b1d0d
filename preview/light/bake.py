"""Daylight in a room: what the picture step asks for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC
from pathlib import Path
from typing import Protocol, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.cache import Arrays, cache_folder, cached, content_key
from preview.colour import luminance
from preview.light.geometry.factors import split_polygon
from preview.light.geometry.floor_grid import open_floor
from preview.light.geometry.shell import UNSEEN
from preview.light.geometry.visibility import RoomGeometry, build_geometry, find_visibility
from preview.light.geometry.visibility_arrays import PACKED, pack, unpack
from preview.light.result.lighting import Emitter, FloorLight, Lighting, Outside, SunBeam, SunLight
from preview.light.solve.balance import Balance, balance_light
from preview.light.solve.direct_light import DirectLight, find_direct_light
from preview.light.solve.floor_finish import finish_of
from preview.light.sources.glass import DOUBLE_GLAZING, INCIDENCES, Glazing
from preview.light.sources.sky import Sky, clear_sky, overcast_sky
from preview.light.sources.sun_position import ANGULAR_RADIUS, sun_angles, sun_direction
from preview.model.model import Model, Pane
from preview.room.room import Room
from preview.scene.job import LightChoice

Array = NDArray[np.float64]
Held = TypeVar("Held")


class Hold(Protocol):
    """What keeps a step's result under a key of all that it hangs on, or makes it anew."""

    def __call__(self, key: str, make: Callable[[], Held], /) -> Held:
        """Return what is held under `key`, else what `make` makes."""


def _hold_nothing(_: str, make: Callable[[], Held], /) -> Held:
    return make()


HIDDEN_SUN = (40.0, 180.0)  # elevation, azimuth: a clear sky without a `sun` has it here, and no beam
DIRECTIONS = 129  # from straight down to straight up that the view outside is given for; the horizon is one
EYE = 1.5  # metres over the floor, where panes are seen from


def choose_sky(light: LightChoice, north: float) -> Sky:
    """Return the sky of a scene; `north` is the angle from +y to true north, clockwise, radians."""
    if light.sky == "overcast":
        return overcast_sky()
    if light.sun is None:
        return clear_sky(sun_direction(*HIDDEN_SUN, north), 80, beam=False)
    where = sun_angles(light.sun.latitude, light.sun.longitude, light.sun.time)
    return clear_sky(sun_direction(*where, north), light.sun.time.astimezone(UTC).timetuple().tm_yday)


def light_room(
    model: Model,
    room: Room,
    light: LightChoice,
    glass: Glazing = DOUBLE_GLAZING,
    folder: Path | None = None,
    lamps: float = 0.0,
    hold: Hold = _hold_nothing,
) -> Lighting:
    """Return the daylight in a room, and the light of `lamps` that throw so many lux on its ceiling.

    It is found once and cached: who sees what under a key of the shell's shape, and the light itself under that, the
    sky and the reflectances. `folder` is where, by default the user's cache (see `cache.cache_folder`). `hold` may
    keep what is the same for every sky, and what is for every colour, each under a key of all that it hangs on.
    """
    folder = folder or cache_folder("light")
    sky = choose_sky(light, room.north)
    seen = [each for each in model.parts if each.surface not in UNSEEN]
    shape = content_key(*_shape(model, room))
    sheen = np.array([each.sheen for each in seen]).reshape(-1, 1)
    colours = sheen + (1 - sheen) * np.array([each.albedo for each in seen], dtype=float).reshape(-1, 3)
    finish = finish_of(model)
    floor = (finish.albedo, finish.border, np.array(model.coat), shapely.to_wkb(finish.field, hex=True) or "")
    source = (np.array([sky.cie or 0]), sky.zenith, sky.sun, sky.beam, sky.ground)
    glazing = [glass.panes, glass.index, glass.pass_through]
    key = content_key(shape, colours, *floor, *source, glazing, [each.name for each in seen], lamps)
    straight = content_key(shape, np.array(model.coat), *source, glazing, [each.name for each in seen], lamps)

    def trace() -> Arrays:
        geometry = build_geometry(model, room)
        return pack(geometry, find_visibility(geometry))

    def make() -> Arrays:
        geometry, visibility = hold(shape, lambda: unpack(cached(f"{shape}-visibility", PACKED, trace, folder), model))

        def find() -> DirectLight:
            return find_direct_light(geometry, visibility, sky, glass, open_floor(room), finish.coat, lamps)

        found = balance_light(geometry, visibility, hold(straight, find), colours, finish)
        return _arrays(geometry, found, room)

    arrays = cached(f"{key}-light", CACHED, make, folder)
    return _lighting(arrays, model, room, sky, glass)


def _shape(model: Model, room: Room) -> list[object]:
    """Return all that the geometry of light hangs on."""
    values: list[object] = []
    for part in model.parts:
        if part.surface not in UNSEEN:
            values += [part.name, part.vertices, part.normals, part.faces]
    for pane in model.panes:
        values += [pane.name, np.asarray(pane.corners), np.asarray(pane.inward), pane.glazed]
    values += [shapely.to_wkb(open_floor(room), hex=True), shapely.to_wkb(room.outline, hex=True)]
    return values


FLOOR = ("origin", "texel", "irradiance", "entering", "direction")
CACHED = (*FLOOR, "vertices", "next_room", "mean", "sun", "rings", "ring_of")


def _arrays(geometry: RoomGeometry, found: Balance, room: Room) -> Arrays:
    grid = geometry.grid
    rings, ring_of, beams = [], [], []
    sunshine = np.zeros(found.floor.shape)
    if found.sun is not None:
        for number, beam in enumerate(found.sun.beams):
            lit = shapely.contains_xy(beam.lit_floor(), *grid.middles())
            sunshine += lit[..., None] * beam.irradiance * found.sun.direction[2]
            beams.append([list(each.name for each in geometry.panes).index(beam.name), *beam.irradiance])
            for which, polygon in enumerate(beam.floor):
                for hole, ring in enumerate(polygon):
                    rings.append(ring)
                    ring_of.append([number, which, hole, len(ring)])
    indoors = grid.lit & ~grid.next_room
    mean = luminance(found.floor + sunshine)[indoors].mean()
    return {
        "origin": np.array(grid.origin),
        "texel": np.array(grid.texel),
        "irradiance": found.floor.astype(np.float32),
        "entering": found.entering.astype(np.float32),
        "direction": found.direction.astype(np.float32),
        "vertices": found.nodes[geometry.shell.vertex_nodes].astype(np.float32),
        "next_room": found.next_room,
        "mean": np.array(mean),
        "sun": np.array(beams).reshape(-1, 4),
        "rings": np.concatenate([np.zeros((0, 2)), *rings]),
        "ring_of": np.array(ring_of, dtype=np.int64).reshape(-1, 4),
    }


def _lighting(arrays: Arrays, model: Model, room: Room, sky: Sky, glass: Glazing) -> Lighting:
    parts, start = {}, 0
    outdoors = sky.horizontal()
    indoors = arrays["vertices"].mean(axis=0) if len(arrays["vertices"]) else np.zeros(3)
    for part in model.parts:
        if part.surface in UNSEEN or not len(part.faces):
            flat = outdoors if part.surface == "outside" else indoors
            parts[part.name] = np.tile(flat, (len(part.vertices), 1)).astype(np.float32)
        else:
            parts[part.name] = arrays["vertices"][start : start + len(part.vertices)]
            start += len(part.vertices)
    middle = room.outline.representative_point()
    eye = np.array([middle.x, middle.y, min(EYE, 0.6 * room.height)])
    foot = eye * (1.0, 1.0, 0.0)
    emitters = tuple(
        Emitter(
            each.name,
            each.corners,
            _seen(each, sky, glass, eye, arrays["next_room"]),
            _seen(each, sky, glass, foot, arrays["next_room"], rising=2.0),
            _passed(each, glass, foot),
        )
        for each in model.panes
    )
    x, y = (float(each) for each in arrays["origin"])
    floor = FloorLight((x, y), float(arrays["texel"]), arrays["irradiance"], arrays["entering"], arrays["direction"])
    sun = _sun(arrays, model.panes, sky)
    return Lighting(
        floor, parts, emitters, float(arrays["mean"]), sun, float(luminance(outdoors)), outside_of(sky, glass)
    )


def outside_of(sky: Sky, glass: Glazing) -> Outside:
    """Return the sky that lights the room, and the ground under it, as they are seen through the glass."""
    height, bearing = np.meshgrid(
        np.linspace(-np.pi / 2, np.pi / 2, DIRECTIONS), np.linspace(-np.pi, np.pi, 2 * DIRECTIONS - 1), indexing="ij"
    )
    level = np.cos(height)
    ways = np.stack([level * np.cos(bearing), level * np.sin(bearing), np.sin(height)], axis=-1)
    passed = glass.transmittance(np.linspace(0.0, 1.0, INCIDENCES))
    return Outside(sky.radiance(ways).astype(np.float32), passed.astype(np.float32))


def _sun(arrays: Arrays, panes: tuple[Pane, ...], sky: Sky) -> SunLight | None:
    if not len(arrays["sun"]):
        return None
    edges = np.split(arrays["rings"], np.cumsum(arrays["ring_of"][:, 3])[:-1]) if len(arrays["ring_of"]) else []
    beams = []
    for number, beam in enumerate(arrays["sun"]):
        polygons: dict[int, list[Array]] = {}
        for (owner, which, _, _), ring in zip(arrays["ring_of"], edges, strict=True):
            if owner == number:
                polygons.setdefault(int(which), []).append(ring)
        pane = panes[int(beam[0])]
        rings = tuple(tuple(each) for each in polygons.values())
        beams.append(SunBeam(pane.name, pane.corners, beam[1:].astype(np.float32), rings))
    return SunLight(sky.sun, ANGULAR_RADIUS, tuple(beams))


def _seen(
    pane: Pane, sky: Sky, glass: Glazing, eye: Array, next_room: Array, rising: float = 0.0
) -> NDArray[np.float32]:
    """Return the mean radiance of a pane as seen from `eye`, over the mean of 1 + `rising` sin g; a next room's is its
    radiosity over pi, from all round."""
    if not pane.glazed:
        return (next_room / np.pi / (1 + rising / 2)).astype(np.float32)
    way = _ways(pane, eye)
    passed = glass.transmittance(-(way @ np.asarray(pane.inward)))
    shown = (sky.radiance(way) * passed[:, None]).mean(axis=0)
    return (shown / (1 + rising * np.maximum(way[:, 2], 0)).mean()).astype(np.float32)


def _passed(pane: Pane, glass: Glazing, eye: Array) -> float:
    """Return the share of light that a pane's glass lets through to `eye`, its mean over the pane."""
    return float(glass.transmittance(-(_ways(pane, eye) @ np.asarray(pane.inward))).mean()) if pane.glazed else 1.0


def _ways(pane: Pane, eye: Array) -> Array:
    """Return the directions (n, 3) from `eye` to points spread evenly over a pane."""
    way = split_polygon(np.asarray(pane.corners, dtype=float), 0.2).mean(axis=1) - eye
    return np.asarray(way / np.linalg.norm(way, axis=1, keepdims=True))
