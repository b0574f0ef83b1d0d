"""The signed distance map of the sun on the floor: how far each place lies within the exact lit polygons, and from
their pane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from preview.light.result.lighting import SunBeam, SunLight
from preview.prepared import prepared

F32 = NDArray[np.float32]
Array = NDArray[np.float64]

TEXEL = 0.01  # metres; distance to a straight edge is linear, so its place between texels is exact
MOST = 1_000_000  # texels
MARGIN = 0.10  # metres round the patches; half a penumbra is some 5 mm a metre from the edge that casts it


@dataclass(frozen=True, eq=False)
class SunDistanceMap:
    """values (h, w, 3): distance in metres to the nearest lit patch's outline, positive within it; distance along the
    sun's rays to the pane, metres; number of the beam. `frame` plan origin x, y of the map and one over its extent."""

    values: F32
    frame: Array


def sun_distance_map(sun: SunLight) -> SunDistanceMap | None:
    """Return the map of the beams' floor patches, None where no sunshine meets the floor."""
    lit = [beam.lit_floor() for beam in sun.beams]
    hit = [number for number, each in enumerate(lit) if not each.is_empty]
    if not hit:
        return None
    xmin, ymin, xmax, ymax = shapely.union_all([lit[number].envelope for number in hit]).buffer(MARGIN).bounds
    texel = max(TEXEL, float(np.sqrt((xmax - xmin) * (ymax - ymin) / MOST)))
    width, height = (int(np.ceil(each / texel)) for each in (xmax - xmin, ymax - ymin))
    x, y = np.meshgrid(xmin + (np.arange(width) + 0.5) * texel, ymin + (np.arange(height) + 0.5) * texel)
    values = np.full((height, width, 3), -1.0, np.float32)
    for number in hit:
        distance = _signed_distance(lit[number], x, y)
        nearer = distance > values[..., 0]
        travel = _travel(sun.beams[number], sun.direction, x[nearer], y[nearer])
        values[nearer] = np.column_stack([distance[nearer], travel, np.full(len(travel), number)])
    return SunDistanceMap(values, np.array([xmin, ymin, 1 / (width * texel), 1 / (height * texel)]))


def _signed_distance(shape: MultiPolygon, x: Array, y: Array) -> Array:
    """Return the distance to a shape's outline, positive inside, up to `MARGIN`; beyond that `MARGIN`."""
    outline = shape.boundary
    inside = shapely.contains_xy(prepared(shape), x, y)
    near = shapely.contains_xy(prepared(outline.buffer(MARGIN)), x, y)
    distance = np.full(x.shape, MARGIN)
    distance[near] = shapely.distance(shapely.points(x[near], y[near]), outline)
    return np.where(inside, distance, -distance)


def _travel(beam: SunBeam, way: Array, x: Array, y: Array) -> Array:
    """Return the distance along the sun's rays from floor points to the pane's plane."""
    normal = np.cross(beam.corners[1] - beam.corners[0], beam.corners[2] - beam.corners[1])
    normal = normal / np.linalg.norm(normal)
    start = np.column_stack([x, y, np.zeros_like(x)])
    return np.asarray(((beam.corners[0] - start) @ normal) / float(way @ normal))
