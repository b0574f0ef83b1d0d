"""The signed distance map of the sun on the floor: how far each place lies within the exact lit polygons, and how wide
their edge's penumbra is."""

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
    """values (h, w, 3): distance in metres to the nearest lit patch's outline, positive within it; half the width of
    its penumbra there, metres, over the tangent of the sun's radius; number of the beam. `frame` plan origin x, y of
    the map and one over its extent."""

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
        wide = travel * _lengthened(distance, sun.direction)[nearer]
        values[nearer] = np.column_stack([distance[nearer], wide, np.full(len(travel), number)])
    return SunDistanceMap(values, np.array([xmin, ymin, 1 / (width * texel), 1 / (height * texel)]))


def _signed_distance(shape: MultiPolygon, x: Array, y: Array) -> Array:
    """Return the distance to a shape's outline, positive inside, up to `MARGIN`; beyond that `MARGIN`."""
    outline = shape.boundary
    inside = shapely.contains_xy(prepared(shape), x, y)
    near = shapely.contains_xy(prepared(outline.buffer(MARGIN)), x, y)
    distance = np.full(x.shape, MARGIN)
    distance[near] = shapely.distance(shapely.points(x[near], y[near]), outline)
    return np.where(inside, distance, -distance)


def _lengthened(distance: Array, way: Array) -> Array:
    """Return how much longer the image of the sun's disc is on the floor, across the nearest edge, than across the
    beam: it is an ellipse, longer by 1 / sin(height) along the sun's bearing."""
    down, right = np.gradient(distance)
    steepness = np.hypot(right, down)
    across = (right * way[0] + down * way[1]) / np.where(steepness > 0, steepness, 1) / way[2]
    return np.sqrt(1 + across**2)


def _travel(beam: SunBeam, way: Array, x: Array, y: Array) -> Array:
    """Return the distance along the sun's rays from floor points to the pane's plane."""
    normal = np.cross(beam.corners[1] - beam.corners[0], beam.corners[2] - beam.corners[1])
    normal = normal / np.linalg.norm(normal)
    start = np.column_stack([x, y, np.zeros_like(x)])
    return np.asarray(((beam.corners[0] - start) @ normal) / float(way @ normal))
