"""The light of a room put into colours, for materials that a viewer does not light: as a picture is exposed, developed
and tone-mapped, but with nothing in it that depends on where one stands.

What is left out is what the finish mirrors. Of that the floor keeps what a coat returns straight up, as in a plan.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import LUMINANCE
from preview.export.plan_pages import PlanPage
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
from preview.picture.tone import to_bytes, tone_map
from preview.wood.material_types import Finish

Array = NDArray[np.float64]
F32 = NDArray[np.float32]

FINE = 0.02  # metres: edges of sunshine on walls are this sharp
BAR = 0.06  # metres of a triangle's side in the sun: a glazing bar's shadow is some 30 mm wide
PATCH = 0.3  # metres of one that faces the sun: sunshine through a pane is wider
AT_GLASS = 0.004  # metres into the room from the glass
LAP = 0.006  # metres that a pane's corners reach into the sash
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
        sent = self._sent(albedo, self._entering(plan), lambda: self._sun_on_floor(plan))
        return self._shown(sent)

    def entering_on(self, sheet: PlanPage) -> F32:
        """Return what enters the floor's wood at every `step` pixels of a page, from its first corner on and one place
        beyond its last: it changes so slowly that between these it runs straight."""
        step = self._step(sheet)
        columns, rows = (np.arange(0.0, each + 2 * step, step) for each in sheet.size)
        at = sheet.plan(np.stack(np.meshgrid(columns, rows), axis=-1))
        return self._entering(at.reshape(-1, 2)).reshape(*at.shape[:2], 3).astype(np.float32)

    def floor_rows(self, albedo: F32, sheet: PlanPage, rows: NDArray[np.intp], entering: F32) -> NDArray[np.uint8]:
        """Return rows (r,) of a page as shown, sRGB bytes (r, w, 3); albedo (r, w, 3), `entering` of `entering_on`."""
        step, wide = self._step(sheet), sheet.size[0]
        for axis, at in ((0, rows), (1, np.arange(wide))):
            first, far = np.divmod((at + 0.5) / step, 1)
            low, high = (entering.take(first.astype(np.intp) + each, axis) for each in (0, 1))
            entering = low + far.astype(np.float32).reshape((-1, 1, 1) if axis == 0 else (1, -1, 1)) * (high - low)

        def sunshine() -> Array:
            at = np.stack(np.meshgrid(np.arange(wide), rows), axis=-1) + 0.5
            return self._sun_on_floor(sheet.plan(at).reshape(-1, 2)).reshape(albedo.shape)

        return to_bytes(self._held(self._sent(albedo, entering, sunshine) * self._exposure.astype(np.float32)))

    def _step(self, sheet: PlanPage) -> int:
        return max(int(self._lighting.floor.texel / 2 * sheet.density), 1)

    def _entering(self, plan: Array) -> Array:
        """Return what of the light of all but the sun the finish lets through to the wood, (n, 3) at places (n, 2)."""
        from scipy.ndimage import map_coordinates

        light = self._lighting.floor
        at = ((plan - light.origin) / light.texel - 0.5).T[::-1]
        return np.column_stack(
            [map_coordinates(light.entering[..., channel], at, order=1, mode="nearest") for channel in range(3)]
        )

    def _sent(
        self, albedo: NDArray[np.floating], entering: NDArray[np.floating], sunshine: Callable[[], Array]
    ) -> NDArray[np.floating]:
        """Return the radiance of wood under a coat."""
        sent = (albedo + COAT) * entering
        if self._on_floor is not None:
            sent += (self._passed * albedo * sunshine()).astype(sent.dtype)
        return sent / np.pi

    def _sun_on_floor(self, plan: Array) -> Array:
        assert self._on_floor is not None and self._lighting.sun is not None
        return _sun_on_floor(self._on_floor, self._lighting.sun, plan)

    def part(self, part: Part) -> LitPart:
        """Return a part with its light, cut finer where the edges of sunshine lie."""
        places, normals, light, faces = part.vertices, part.normals, self._irradiance(part), part.faces
        if self._lighting.sun is not None and self._lighting.sun.beams and len(faces):
            whole = stitched(self._finer(np.concatenate([places, normals, light], axis=1, dtype=float)[faces]))
            corners, row = np.unique(whole.reshape(-1, 9), axis=0, return_inverse=True)
            corners[:, 6:] += self._sun(corners[:, :3], corners[:, 3:6])
            places, normals, light = np.split(corners.astype(np.float32), 3, axis=1)
            faces = row.reshape(-1, 3).astype(np.int32)
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
        """Return the glazed panes, each of the mean colour of what is seen through it; they reach into their sash, so
        that no crack opens along it."""
        inward = {pane.name: pane.inward for pane in self._model.panes if pane.glazed}
        found = []
        for each in self._lighting.emitters:
            if each.name in inward:
                count, off = len(each.corners), each.corners - each.corners.mean(axis=0)
                reaching = each.corners + LAP * off / np.linalg.norm(off, axis=1, keepdims=True)
                found.append(
                    LitPart(
                        reaching.astype(np.float32),
                        np.tile(inward[each.name], (count, 1)).astype(np.float32),
                        np.tile(self._shown(np.asarray(each.radiance, float)[None]), (count, 1)).astype(np.float32),
                        np.array([(0, i, i + 1) for i in range(1, count - 1)], np.int32),
                    )
                )
        return found

    def _shown(self, radiance: NDArray[np.floating]) -> Array:
        """Expose radiances (n, 3), and map them to what is shown, linear."""
        return tone_map(self._held(radiance * self._exposure)).clip(0, 1).astype(float)

    @staticmethod
    def _held(exposed: NDArray[np.floating]) -> F32:
        """Return exposed colours (..., 3) with what is brighter than white brought down as in a picture where it is
        wide."""
        found = exposed.astype(np.float32)
        bright = found @ LUMINANCE.astype(np.float32) > 2**KNEE
        if bright.any():
            level = np.log2(found[bright] @ LUMINANCE)
            over = (level - KNEE).astype(np.float32)
            paled = (over / (over + HALF_PALE))[:, None]
            mixed = found[bright] + paled * (np.exp2(level)[:, None] - found[bright])
            found[bright] = mixed * np.exp2(held(over) - over)[:, None]
        return found

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

    def _finer(self, triangles: Array) -> Array:
        """Cut triangles (f, 3, 9), of each corner place, normal and light, into four where part of one is in the sun,
        and where they are so large that sunshine, or a bar's shadow in it, may lie between the places tried."""
        assert self._lighting.sun is not None
        done: list[Array] = []
        while len(triangles):
            middle = (triangles + np.roll(triangles, -1, axis=1)) / 2
            tried = np.concatenate([triangles, middle, triangles.mean(axis=1, keepdims=True)], axis=1)
            places, normals = tried[..., :3].reshape(-1, 3), tried[..., 3:6].reshape(-1, 3)
            lit = self._sun(places, normals).reshape(len(triangles), 7, 3).sum(axis=2) > 0
            faces = ((normals @ self._lighting.sun.direction) > 0).reshape(len(triangles), 7).any(axis=1)
            corners = triangles[..., :3]
            edge = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2).max(axis=1)
            some, all_of_it = lit.any(axis=1), lit.all(axis=1)
            cut = (edge > FINE) & some & ~all_of_it | (edge > BAR) & some | (edge > PATCH) & faces
            done.append(triangles[~cut])
            triangles = _in_four(triangles[cut], middle[cut])
        return np.concatenate(done)


def _in_four(corners: Array, middle: Array) -> Array:
    """Return four triangles for each of (f, 3, c), of what their corners have and the middles of their edges."""
    outer = [np.stack([corners[:, i], middle[:, i], middle[:, (i + 2) % 3]], axis=1) for i in range(3)]
    return np.concatenate([*outer, middle])


def stitched(triangles: Array) -> Array:
    """Return triangles (f, 3, c), what each corner has, its place (3,) first, cut so that no corner of one lies on an
    edge of another, where a viewer would leave pixels open. Such corners are at the middles of edges, or of their
    halves, and so on, as those are that cutting in four makes."""
    triangles = triangles + 0.0  # -0 is 0
    known = {each.tobytes() for each in triangles[..., :3].reshape(-1, 3)}
    owner = np.tile(np.arange(len(triangles)), 3)
    start, end = (np.concatenate(np.moveaxis(np.roll(triangles, -turn, axis=1), 1, 0)) for turn in (0, 1))
    done = []
    while len(owner):
        middle = (start + end) / 2 + 0.0
        cut = np.fromiter((each.tobytes() in known for each in np.ascontiguousarray(middle[:, :3])), bool, len(owner))
        done.append((owner[~cut], start[~cut], end[~cut]))
        start, end = np.concatenate([start[cut], middle[cut]]), np.concatenate([middle[cut], end[cut]])
        owner = np.tile(owner[cut], 2)
    owner, start, end = (np.concatenate(each) for each in zip(*done, strict=True))
    open_edged = np.bincount(owner, minlength=len(triangles)) > 3
    chosen = open_edged[owner]
    fans = np.stack([start[chosen], end[chosen], triangles.mean(axis=1)[owner[chosen]]], axis=1)
    return np.concatenate([triangles[~open_edged], fans])


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
