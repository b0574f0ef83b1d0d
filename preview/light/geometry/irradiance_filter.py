"""Gathered irradiance filtered over neighbours, as far as it changes evenly between them.

A few hundred rays leave a point's irradiance some per cent off, which shows as smudges where a wide wall or ceiling is
otherwise even. How fast irradiance can change over a surface is bounded by the distance of what the surface sees: in
the split-sphere model of Ward, Rubinstein and Clear 1988, "A ray tracing solution for diffuse interreflection", the
error of a value carried to a place at distance d grows as d / R, R being the harmonic mean of the distances of what is
seen. Within a set part of R a plane is fitted to the neighbours' values by least squares weighted by their distance
(Cleveland 1979, "Robust locally weighted regression"), so that an even slope, the irradiance gradient, is left as it
is (Ward and Heckbert 1992, "Irradiance gradients", carry values by it for the same reason). References from memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.shell import Shell
from preview.light.hemisphere import frames

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# The part of R within which neighbours count. On the dining room's ceiling that sets light off by 0.13 % in the root
# mean square (by 1.0 it is 0.2, by 2.0 0.35) and takes what its rays leave out from 0.8 to 0.5 %.
ERROR = 0.5
NEIGHBOURS = 32  # at most
FARTHEST = 5.0  # metres, from which none are taken
RIDGE = 1e-3  # of the weights, that slopes are held down by where neighbours lie on a line


def irradiance_filter(shell: Shell, reach: Array, buried: NDArray[np.bool_]) -> csr_array:
    """Return what gives each node the value there of a plane fitted to it and its neighbours, (m, m); reach (m,) is the
    harmonic mean distance of what a node sees, metres. Nodes that are buried (m,) take no part."""
    from scipy.sparse import csr_array, eye_array

    told = ~buried & ~shell.node_beyond
    sound = np.flatnonzero(told)
    if len(sound) < 4:
        return csr_array(eye_array(len(buried)))
    points, normals = shell.node_points[sound], shell.node_normals[sound]
    near, away = _neighbours(points, normals, shell.node_part[sound])
    reach = _clamped(reach[sound], near, away)
    radius = ERROR * np.minimum(reach[:, None], reach[near])
    weights = np.where(away < radius, (1 - (away / radius) ** 2) ** 2, 0.0)
    ways = points[near] - points[:, None]
    slope = np.einsum("nki,nji->nkj", ways, frames(normals)[:, :2]) / radius[:, :1, None]
    value = _plane_at_middle(slope, weights)
    used = value != 0
    column = np.concatenate([sound[near[used]], np.flatnonzero(~told)])
    row = np.concatenate([sound[np.nonzero(used)[0]], np.flatnonzero(~told)])
    values = np.concatenate([value[used], np.ones(len(row) - int(used.sum()))])
    return csr_array((values, (row, column)), shape=(len(buried), len(buried)))


def _neighbours(points: Array, normals: Array, part: Ints) -> tuple[Ints, Array]:
    """Return the nearest points of the same part that face the same way, each point itself first, and how far off they
    are, infinitely where there are no more; both (n, k)."""
    from scipy.spatial import cKDTree

    # Parts and directions are set metres apart, so that the nearest is of the same part and faces the same way.
    place = np.column_stack([points, 100.0 * part, 10.0 * normals])
    away, near = cKDTree(place).query(place, k=min(NEIGHBOURS, len(points)), distance_upper_bound=FARTHEST, workers=-1)
    return np.where(np.isfinite(away), near, np.arange(len(points))[:, None]), away


def _clamped(reach: Array, near: Ints, away: Array) -> Array:
    """Return a reach (n,) that is nowhere longer than a neighbour's and the way there: rays of one point miss what is
    small and near (Krivanek, Bouatouch, Pattanaik and Zara 2006, "Making radiance and irradiance caching practical";
    from memory)."""
    for _ in range(2):
        reach = np.minimum(reach, (reach[near] + away).min(axis=1))
    return reach


def _plane_at_middle(x: Array, weights: Array) -> Array:
    """Return the shares (n, k) by which values at x (n, k, 2) make up the value at 0 of the plane fitted to them."""
    basis = np.concatenate([np.ones((*weights.shape, 1)), x], axis=2)
    weighed = weights[..., None] * basis
    normal = np.swapaxes(weighed, 1, 2) @ basis
    normal += RIDGE * np.diag([0.0, 1.0, 1.0]) * weights.sum(axis=1)[:, None, None]
    first = np.linalg.solve(normal, np.array([1.0, 0.0, 0.0])[:, None])
    return np.asarray((weighed @ first)[..., 0])
