"""Surface radiance: what the surfaces of a lit room send out, at points that rays meet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.ray_tracing import Hits, Tracer
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.shared import PANE_FRAME
from preview.picture.sun.sun_beams import SunBeams, sun_beams
from preview.picture.surfaces import pane_surfaces, part_surfaces

F32 = NDArray[np.float32]
Array = NDArray[np.float64]

OFF = 2e-3  # metres before a surface from which the sun is looked for


@dataclass(frozen=True, eq=False)
class SurfaceRadiance:
    """Triangles: corners (t, 3, 3), radiance at each of them without sunshine by corner and channel (3, 3, t), normals
    (t, 3) facing the side that is seen, and radiance over the sun's irradiance (t, 3); those from `first_pane` on are
    panes."""

    corners: F32
    sent: F32
    normals: F32
    returned: F32
    first_pane: int
    sun: SunBeams

    def radiance(
        self,
        hits: Hits,
        found: NDArray[np.intp],
        rays: Callable[[NDArray[np.intp]], tuple[Array, Array]],
        tracer: Tracer,
    ) -> F32:
        """Return the radiance (n, 3) where the rays of the numbers `found` met something; `rays` gives origins and ways
        of rays by their numbers."""
        triangle, u, v = hits.triangle[found], hits.u[found], hits.v[found]
        first, second, third = (np.take(corner, triangle, axis=1) for corner in self.sent)  # long rows, which are quick
        seen = (first * (1 - u - v) + second * u + third * v).T
        if self.sun.panes:
            ahead = np.flatnonzero((self.normals @ self.sun.way > 0)[triangle])
            origins, ways = rays(found[ahead])
            place, met = origins + hits.distance[found[ahead], None] * ways, triangle[ahead]
            seen[ahead] += self.returned[met] * self._sunshine(place, self.normals[met], tracer)
        return np.asarray(seen, np.float32)

    def _sunshine(self, place: Array, normal: F32, tracer: Tracer) -> Array:
        """Return the sun's irradiance (n, 3) where it is faced: the pane that it comes through says how much."""
        way = self.sun.way
        through = np.full(len(place), -1)
        for number, pane in enumerate(self.sun.panes):
            corner, side, rise = pane.corner, pane.side, pane.rise
            across = np.cross(side, rise)
            slope = way @ across
            if abs(slope) < 1e-6:
                continue
            travel = (corner - place) @ across / slope
            on = place + travel[:, None] * way - corner
            inside = travel > 0
            for edge in (side, rise):
                length = np.linalg.norm(edge)
                at = on @ edge / length
                inside &= (at > -PANE_FRAME) & (at < length + PANE_FRAME)
            through[inside & (through < 0)] = number
        lit = np.flatnonzero(through >= 0)
        start = place[lit] + OFF * normal[lit]
        met = tracer.first(start, np.tile(way, (len(lit), 1))).triangle
        lit = lit[(met < 0) | (met >= self.first_pane)]
        irradiance = np.zeros((len(place), 3))
        irradiance[lit] = (normal[lit] @ way)[:, None] * self.sun.irradiance[through[lit]]
        return irradiance


def surface_radiance(model: Model, lighting: Lighting) -> SurfaceRadiance:
    """Return what the shell, the ceiling, the furniture and the panes of a lit room send out. Panes show what the floor
    sees through them, over 1 + 2 sin g (see `Emitter`), and hide nothing from the sun."""
    corners: list[Array] = [np.zeros((0, 3, 3))]
    sent: list[Array] = [np.zeros((0, 3, 3))]
    normals: list[Array] = [np.zeros((0, 3))]
    returned: list[Array] = [np.zeros((0, 3))]
    for each in part_surfaces(model, lighting):
        if each is None:
            continue
        sheen = each.uv[:, :1].astype(float)
        share = (each.extra[:, :3] * (1 - sheen) + sheen) / np.pi
        corners.append(each.positions[each.faces].astype(float))
        sent.append((share * each.colour)[each.faces])
        normals.append(each.normals[each.faces[:, 0]].astype(float))
        returned.append(share[each.faces[:, 0]])
    first_pane = sum(len(each) for each in corners)
    panes = pane_surfaces(model, lighting)
    if panes is not None:
        corners.append(panes.positions[panes.faces].astype(float))
        sent.append(panes.extra[panes.faces, :3].astype(float))
        normals.append(np.zeros((len(panes.faces), 3)))
        returned.append(np.zeros((len(panes.faces), 3)))
    whole = [np.concatenate(each).astype(np.float32) for each in (corners, sent, normals, returned)]
    sent_by_corner = np.ascontiguousarray(whole[1].transpose(1, 2, 0))
    return SurfaceRadiance(whole[0], sent_by_corner, whole[2], whole[3], first_pane, sun_beams(lighting))
