"""Sunshine through the panes: exact lit polygons on the floor, and how much falls on every surface."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.light.geometry.ray_tracing import Tracer, in_threads
from preview.light.geometry.shell import Shell
from preview.light.hemisphere import even_points
from preview.light.result.lighting import SunBeam, SunLight
from preview.light.sources.glass import Glazing
from preview.light.sources.sky import Sky
from preview.light.sources.sun_position import ANGULAR_RADIUS
from preview.model.model import Pane

Array = NDArray[np.float64]

SNAP = 1e-6  # metres: corners nearer than this are one when shadows are joined


def sunlight(
    panes: tuple[Pane, ...], sky: Sky, glass: Glazing, shell: Shell, floor: Polygon | MultiPolygon
) -> SunLight | None:
    """Return the sun's beams through the glazed panes, or None where no beam enters."""
    if not sky.beam.any() or sky.sun[2] <= 0:
        return None
    cosines = [-float(sky.sun @ np.asarray(pane.inward)) for pane in panes]
    lit = [(pane, each) for pane, each in zip(panes, cosines, strict=True) if pane.glazed and each > 1e-3]

    def work(one: slice) -> SunBeam:
        pane, cosine = lit[one.start]
        corners, inward = np.asarray(pane.corners, dtype=float), np.asarray(pane.inward)
        strength = sky.beam * glass.transmittance(np.array([cosine]))[0]
        on_floor = sunlit_floor(corners, inward, sky.sun, shell.corners, floor)
        return SunBeam(pane.name, pane.corners, strength.astype(np.float32), _rings(on_floor))

    beams = in_threads(work, len(lit), 1)
    return SunLight(sky.sun, ANGULAR_RADIUS, tuple(beams)) if beams else None


def sunlit_floor(
    pane: Array, inward: Array, sun: Array, triangles: Array, floor: Polygon | MultiPolygon
) -> Polygon | MultiPolygon:
    """Return where the middle of the sun shines on the plane z = 0 through a pane (k, 3), within `floor`.

    The pane is carried along the sun's direction to the floor, less the shadows of every triangle (t, 3, 3) between
    pane and floor, cut to what stands there: exact for flat triangles.
    """
    slope = sun[:2] / sun[2]
    patch = Polygon(pane[:, :2] - pane[:, 2:] * slope).buffer(0)
    patch = patch.intersection(floor)
    if patch.is_empty:
        return Polygon()
    level = (triangles - pane[0]) @ inward
    between = (level.max(axis=1) > 1e-5) & (triangles[..., 2].max(axis=1) > 1e-5)
    shadow = triangles[..., :2] - triangles[..., 2:] * slope
    xmin, ymin, xmax, ymax = patch.bounds
    low, high = shadow.min(axis=1), shadow.max(axis=1)
    between &= (low[:, 0] < xmax) & (high[:, 0] > xmin) & (low[:, 1] < ymax) & (high[:, 1] > ymin)
    whole = (level > 0).all(axis=1) & (triangles[..., 2] > 0).all(axis=1)
    shadows = [*shapely.polygons(shadow[between & whole])]
    for triangle, depth in zip(triangles[between & ~whole], level[between & ~whole], strict=True):
        solid = _over(triangle, depth)
        solid = _over(solid, solid[:, 2]) if len(solid) else solid
        if len(solid) >= 3:
            shadows.append(Polygon(solid[:, :2] - solid[:, 2:] * slope))
    cast = np.array(shadows, dtype=object)
    shade = shapely.union_all(cast[shapely.area(cast) > 1e-10], grid_size=SNAP)
    lit = shapely.difference(patch, shade, grid_size=SNAP)
    patches = [each for each in shapely.get_parts(lit) if each.geom_type == "Polygon" and each.area > 1e-6]
    return MultiPolygon(patches) if len(patches) != 1 else patches[0]


def _over(polygon: Array, height: Array) -> Array:
    """Return the part of a polygon (k, 3) whose `height` (k,) is above zero (Sutherland & Hodgman 1974)."""
    kept = []
    for k in range(len(polygon)):
        a, b, ha, hb = polygon[k - 1], polygon[k], height[k - 1], height[k]
        if (ha > 0) != (hb > 0):
            kept.append(a + (b - a) * (ha / (ha - hb)))
        if hb > 0:
            kept.append(b)
    return np.array(kept).reshape(-1, 3)


def _rings(lit: Polygon | MultiPolygon) -> tuple[tuple[Array, ...], ...]:
    return tuple(
        (np.array(each.exterior.coords)[:-1], *(np.array(ring.coords)[:-1] for ring in each.interiors))
        for each in shapely.get_parts(lit)
        if not each.is_empty
    )


def sun_on_triangles(sun: SunLight, shell: Shell, tracer: Tracer, samples: int = 16) -> Array:
    """Return the mean irradiance that the beams give each triangle of the shell, (t, 3)."""
    square = even_points(samples, 2)
    root, side = np.sqrt(square[:, :1]), square[:, 1:]
    weights = np.concatenate([1 - root, root * (1 - side), root * side], axis=1)
    facing = np.maximum(shell.normals @ sun.direction, 0.0)
    total = np.zeros((len(shell.corners), 3))
    chosen = np.flatnonzero(facing > 1e-6)
    start = np.einsum("rk,tkj->trj", weights, shell.corners[chosen]) + 2e-3 * shell.normals[chosen][:, None]

    def work(one: slice) -> Array:
        corners = np.asarray(sun.beams[one.start].corners, dtype=float)
        normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
        normal /= np.linalg.norm(normal)
        reach = ((corners[0] - start) @ normal) / float(sun.direction @ normal)
        through = start + reach[..., None] * sun.direction
        enters = (reach > 1e-6) & _within(through, corners, normal)
        index = np.argwhere(enters)
        ends = through[enters]
        seen = tracer.clear(start[enters], ends)
        return np.asarray(np.bincount(index[seen, 0], minlength=len(chosen)) / samples)

    for beam, share in zip(sun.beams, in_threads(work, len(sun.beams), 1), strict=True):
        total[chosen] += (share * facing[chosen])[:, None] * beam.irradiance
    return total


def _within(points: Array, corners: Array, normal: Array) -> NDArray[np.bool_]:
    """Return whether points on a convex polygon's plane lie within it, (...,)."""
    inside = np.ones(points.shape[:-1], dtype=bool)
    for k in range(len(corners)):
        edge = corners[(k + 1) % len(corners)] - corners[k]
        inside &= (points - corners[k]) @ np.cross(normal, edge) >= 0
    return inside
