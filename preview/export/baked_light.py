"""The light of a room put into colours, for materials that a viewer does not light: as a picture is exposed, developed
and tone-mapped, but with nothing in it that depends on where one stands.

What is left out is what the finish mirrors. Of that the floor keeps what a coat returns straight up, as in a plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.light.coat import coat_of
from preview.light.geometry.ray_tracing import Tracer
from preview.light.result.lighting import Lighting, SunLight
from preview.model.model import Model, Part
from preview.picture.exposure import COAT
from preview.picture.highlights import HALF_PALE, KNEE, held
from preview.picture.light_uniforms import cubic_of
from preview.picture.rectangle import rectangle_round
from preview.picture.sun.sun_distance_map import SunDistanceMap, sun_distance_map
from preview.picture.surfaces import part_irradiance
from preview.picture.tone import tone_map
from preview.wood.material_types import Finish

Array = NDArray[np.float64]
F32 = NDArray[np.float32]

FINE = 0.02  # metres: edges of sunshine on walls are this sharp
AT_GLASS = 0.004  # metres into the room from the glass
OFF = 0.002  # metres off a surface, where its rays to the sun begin


@dataclass(frozen=True, eq=False)
class LitPart:
    """A part of the room with its colours: vertices, normals, colours (v, 3), the last linear and as shown; faces."""

    vertices: F32
    normals: F32
    colours: F32
    faces: NDArray[np.int32]


class BakedLight:
    """The light of a model's room under an exposure (3,), see `exposure_for`; `finish` of the floor's field."""

    def __init__(self, model: Model, lighting: Lighting, exposure: Array, finish: Finish) -> None:
        self._model, self._lighting, self._exposure = model, lighting, exposure
        sun = lighting.sun
        self._on_floor = sun_distance_map(sun) if sun is not None else None
        self._passed = 1.0
        if sun is not None:
            coat = coat_of(finish.roughness, finish.ior)
            cubic = np.polynomial.polynomial.polyval(float(sun.direction[2]), cubic_of(coat))
            self._passed = float(cubic * coat.mean_passed)
            seen = [each for each in model.parts if each.surface != "glass"]
            self._tracer = Tracer(np.concatenate([each.vertices[each.faces] for each in seen]).astype(float))

    def floor(self, albedo: Array, plan: Array) -> Array:
        """Return the colours (n, 3), linear and as shown, of wood of albedos (n, 3) at places (n, 2) in plan."""
        from scipy.ndimage import map_coordinates

        light = self._lighting.floor
        at = ((plan - light.origin) / light.texel - 0.5).T[::-1]
        entering = np.column_stack(
            [map_coordinates(light.entering[..., channel], at, order=1, mode="nearest") for channel in range(3)]
        )
        sent = (albedo + COAT) * entering
        if self._on_floor is not None and self._lighting.sun is not None:
            sent += self._passed * albedo * _sun_on_floor(self._on_floor, self._lighting.sun, plan)
        return self._shown(sent / np.pi)

    def part(self, part: Part) -> LitPart:
        """Return a part with its light, cut finer where the edges of sunshine lie."""
        places, normals, light, faces = part.vertices, part.normals, self._irradiance(part), part.faces
        if self._lighting.sun is not None and self._lighting.sun.beams and len(faces):
            cut = self._finer(*(each[faces].astype(float) for each in (places, normals, light)))
            places, normals, light = (each.reshape(-1, 3).astype(np.float32) for each in cut)
            light = light + self._sun(places.astype(float), normals.astype(float)).astype(np.float32)
            faces = np.arange(len(places), dtype=np.int32).reshape(-1, 3)
        albedo = np.asarray(part.albedo) * (1 - part.sheen) + part.sheen
        colours = self._shown(albedo * light.astype(float) / np.pi).astype(np.float32)
        return LitPart(places, normals, colours, faces)

    def _irradiance(self, part: Part) -> F32:
        """Return a part's irradiance (v, 3). What of a sash lies at the glass or beyond it, where it is dark, takes the
        light of the rest: a viewer draws a line of it along the glass."""
        found = part_irradiance(part, self._lighting)
        if part.surface != "trim":
            return found
        beyond = np.zeros(len(found), bool)
        for pane in self._model.panes:
            frame = rectangle_round(pane.corners)
            off = part.vertices - frame.corner
            on = [off @ way / (way @ way) for way in (frame.side, frame.rise)]
            near = (np.min(on, axis=0) > -0.1) & (np.max(on, axis=0) < 1.1)
            beyond |= pane.glazed & near & (np.abs(off @ frame.inward + 0.1) < 0.1 + AT_GLASS)
        rest = found[~beyond]
        return np.where(beyond[:, None], np.median(rest, axis=0), found).astype(np.float32) if len(rest) else found

    def panes(self) -> list[LitPart]:
        """Return the glazed panes, each of the mean colour of what is seen through it."""
        inward = {pane.name: pane.inward for pane in self._model.panes if pane.glazed}
        found = []
        for each in self._lighting.emitters:
            if each.name in inward:
                count = len(each.corners)
                found.append(
                    LitPart(
                        each.corners.astype(np.float32),
                        np.tile(inward[each.name], (count, 1)).astype(np.float32),
                        np.tile(self._shown(np.asarray(each.radiance, float)[None]), (count, 1)).astype(np.float32),
                        np.array([(0, i, i + 1) for i in range(1, count - 1)], np.int32),
                    )
                )
        return found

    def _shown(self, radiance: Array) -> Array:
        """Expose radiances (n, 3), bring down what is brighter than white as in a picture where it is wide, and map."""
        exposed = radiance * self._exposure
        level = np.log2(np.maximum(exposed @ LUMINANCE, 1e-6))
        over = np.maximum(level - KNEE, 0).astype(np.float32)
        paled = (over / (over + HALF_PALE))[:, None]
        mixed = exposed + paled * (np.exp2(level)[:, None] - exposed)
        return np.clip(tone_map((mixed * np.exp2(held(over) - over)[:, None]).astype(np.float32)), 0, 1).astype(float)

    def _sun(self, points: Array, normals: Array) -> Array:
        """Return the sunshine (n, 3) on surfaces in the room: the pane it comes through says how much."""
        sun = self._lighting.sun
        assert sun is not None
        total, facing = np.zeros((len(points), 3)), normals @ sun.direction
        start = points + OFF * normals
        for beam in sun.beams:
            frame = rectangle_round(beam.corners)
            normal = np.cross(frame.side, frame.rise)
            travel = (frame.corner - start) @ normal / float(sun.direction @ normal)
            target = start + travel[:, None] * sun.direction
            on = [(target - frame.corner) @ way / (way @ way) for way in (frame.side, frame.rise)]
            hit = (facing > 0) & (travel > 0) & (np.min(on, axis=0) >= 0) & (np.max(on, axis=0) <= 1)
            rows = np.flatnonzero(hit)
            rows = rows[self._tracer.clear(start[rows], target[rows])] if len(rows) else rows
            total[rows] += facing[rows, None] * np.asarray(beam.irradiance, float)
        return total

    def _finer(self, corners: Array, normals: Array, light: Array) -> tuple[Array, Array, Array]:
        """Cut triangles (f, 3, 3), each with what its corners have, into four where part of one is in the sun."""
        done: list[tuple[Array, Array, Array]] = []
        while len(corners):
            middle = [(each + np.roll(each, -1, axis=1)) / 2 for each in (corners, normals, light)]
            tried = np.concatenate([corners, middle[0], corners.mean(axis=1, keepdims=True)], axis=1)
            facing = np.concatenate([normals, normals, normals[:, :1]], axis=1)
            lit = self._sun(tried.reshape(-1, 3), facing.reshape(-1, 3)).reshape(len(corners), 7, 3).sum(axis=2) > 0
            edge = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2).max(axis=1)
            cut = (edge > FINE) & lit.any(axis=1) & ~lit.all(axis=1)
            done.append((corners[~cut], normals[~cut], light[~cut]))
            corners, normals, light = (
                _in_four(whole[cut], half[cut]) for whole, half in zip((corners, normals, light), middle, strict=True)
            )
        return tuple(np.concatenate(each) for each in zip(*done, strict=True))  # type: ignore[return-value]


def _in_four(corners: Array, middle: Array) -> Array:
    """Return four triangles for each of (f, 3, 3), of what their corners have and the middles of their edges."""
    outer = [np.stack([corners[:, i], middle[:, i], middle[:, (i + 2) % 3]], axis=1) for i in range(3)]
    return np.concatenate([*outer, middle])


def _sun_on_floor(patches: SunDistanceMap, sun: SunLight, plan: Array) -> Array:
    """Return the irradiance (n, 3) of the floor by the sun: the share of its disc that is seen past a straight edge, as
    floor.frag has it."""
    from scipy.ndimage import map_coordinates

    share = (plan - patches.frame[:2]) * patches.frame[2:]
    within = ((share >= 0) & (share <= 1)).all(axis=1)
    found = np.zeros((len(plan), 3))
    if not within.any():
        return found
    size = np.array(patches.values.shape[1::-1])
    at = (share[within] * size - 0.5).T[::-1]
    distance, travel = (map_coordinates(patches.values[..., k], at, order=1, mode="nearest") for k in (0, 1))
    beam = map_coordinates(patches.values[..., 2], at, order=0, mode="nearest").astype(int)
    # The disc's image is longer along the sun's bearing; the mean of both axes stands for every edge.
    height = float(sun.direction[2])
    radius = np.maximum(travel * np.tan(sun.radius) * (1 + 1 / height) / 2, 1e-4)
    x = np.clip(distance / radius, -1, 1)
    seen = 0.5 + (x * np.sqrt(1 - x * x) + np.arcsin(x)) / np.pi
    found[within] = (seen * height)[:, None] * np.array([each.irradiance for each in sun.beams], float)[beam]
    return found
