"""The room's opaque surfaces as light needs them: triangles, the points that carry light, and patches.

Three meshes of one surface. *Triangles* stop rays. *Nodes* are corners of triangles with one normal and one part,
where light is computed finely and between which it is interpolated. *Patches* are clusters of triangles a hand's
breadth to a pace wide, between which light goes to and fro.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.model.model import Model, Pane
from preview.room.room import Room

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

UNSEEN = ("glass", "outside", "subfloor", "duct")  # let light through, stand beyond it, or lie under the floor
# Beside patches half as large 95 of a hundred places of the floor keep to 1.3 %, of the shell to 10 %; of 0.4 m to 2.2
# and 24 % (tests/benchmarks/convergence.py).
PATCH = 0.2  # metres
MOST_PATCHES = 3000
WELD = 14  # corners of one part that face one way and lie closer than this part of a patch are one node
STEP = 0.004  # metres; nor are they one where a face steps back further
OFF = 0.002  # metres that nodes stand off their surface, and off the floor
SUNK = 0.03  # metres; what enters the floor no deeper sees the room from just over it
NUDGE = 0.03  # nodes move this part of the way to the middle of their triangles, out of the corners
AROUND = 0.5  # of the way from a node to its triangles' middles, over which its rays start
LEAST_NUDGE = 0.005  # metres, but no more than half of that way


@dataclass(frozen=True, eq=False)
class Shell:
    """Opaque surfaces, the floor itself left out.

    corners (t, 3, 3), normals (t, 3), areas (t,), part (t,) index into `names`, nodes (t, 3) index of each
    corner's node, patch (t,); node_points, node_normals (m, 3), nudged off their surface, node_part (m,),
    node_beyond (m,) whether it belongs to a next room; vertex_nodes (v,) the node of each vertex, part after part;
    patch_count; patch_size metres.
    """

    names: tuple[str, ...]
    corners: Array
    normals: Array
    areas: Array
    part: Ints
    nodes: Ints
    patch: Ints
    node_points: Array
    node_normals: Array
    node_part: Ints
    node_beyond: NDArray[np.bool_]
    vertex_nodes: Ints
    patch_count: int
    patch_size: float

    def around_nodes(self, chosen: Ints, rays: int) -> Array:
        """Return places on the surface round nodes `chosen` (k,), a hair off it, for so many rays each, (k, rays, 3):
        what a node tells of stands for as much of its triangles as lies half way to their middles."""
        owner = self.nodes.ravel()
        order = np.argsort(owner, kind="stable")
        first = np.searchsorted(owner[order], np.arange(len(self.node_points) + 1))
        ray = np.arange(rays)
        mine, count = first[chosen][:, None], np.maximum(np.diff(first)[chosen], 1)[:, None]
        triangle = order[mine + ray % count] // 3
        share = AROUND * np.sqrt((0.5 + ray * 11**0.5) % 1.0)[:, None]
        place = self.node_points[chosen][:, None]
        way = self.corners.mean(axis=1)[triangle] + OFF * self.node_normals[chosen][:, None] - place
        return np.asarray(place + share * way)

    def patch_mean(self, values: Array) -> Array:
        """Return the mean over each patch of its triangles' values (t, k), by area; (patches, k)."""
        area = np.bincount(self.patch, self.areas, self.patch_count)
        return np.asarray(_sums(self.patch, values * self.areas[:, None], self.patch_count) / area[:, None])

    def node_mean(self, values: Array) -> Array:
        """Return the mean at each node of its triangles' values (t, k), by area; (m, k)."""
        every, count = self.nodes.ravel(), len(self.node_points)
        weight = np.bincount(every, np.repeat(self.areas, 3), count)
        total = _sums(every, np.repeat(values * self.areas[:, None], 3, axis=0), count)
        return np.asarray(total / np.maximum(weight, 1e-300)[:, None])

    @property
    def beyond(self) -> NDArray[np.bool_]:
        """Whether each triangle belongs to a next room, (t,)."""
        return np.asarray(self.node_beyond[self.nodes].any(axis=1))


def build_shell(model: Model, room: Room) -> Shell:
    """Return the shell of a model: every part but glass and what stands outside."""
    parts = [each for each in model.parts if each.surface not in UNSEEN and len(each.faces)]
    vertices = np.concatenate([np.asarray(each.vertices, dtype=float) for each in parts])
    normals = np.concatenate([np.asarray(each.normals, dtype=float) for each in parts])
    start = np.cumsum([0, *(len(each.vertices) for each in parts)])
    faces = np.concatenate([np.asarray(each.faces, dtype=np.int64) + start[i] for i, each in enumerate(parts)])
    vertex_part = np.repeat(np.arange(len(parts)), np.diff(start))

    across = np.cross(vertices[faces[:, 1]] - vertices[faces[:, 0]], vertices[faces[:, 2]] - vertices[faces[:, 0]])
    doubled = np.linalg.norm(across, axis=1)
    faces, across, doubled = (each[doubled > 1e-10] for each in (faces, across, doubled))
    flat = across / doubled[:, None]
    facing = np.sign(np.einsum("tk,tk->t", flat, normals[faces[:, 0]]))
    flat *= np.where(facing == 0, 1.0, facing)[:, None]  # the side that is seen, whichever way the corners turn

    corners = vertices[faces]
    areas = doubled / 2
    size = max(PATCH, float(np.sqrt(areas.sum() / MOST_PATCHES)))
    weld = size / WELD
    plane = np.round(np.einsum("vk,vk->v", vertices, normals) / STEP)
    key = np.column_stack([np.round(vertices / weld), np.round(normals * 4), plane, vertex_part]).astype(np.int64)
    _, first, node, count = np.unique(key, axis=0, return_index=True, return_inverse=True, return_counts=True)
    node = node.reshape(-1)
    triangle_nodes = node[faces]
    points, node_normals = (_sums(node, each, len(first)) / count[:, None] for each in (vertices, normals))
    node_normals /= np.linalg.norm(node_normals, axis=1, keepdims=True)
    node_part = vertex_part[first]
    inwards = _towards_middles(points, triangle_nodes, corners)
    length = np.linalg.norm(inwards, axis=1, keepdims=True)
    share = np.clip(LEAST_NUDGE / np.maximum(length, 1e-9), NUDGE, 0.5)
    points = points + share * inwards + OFF * node_normals
    points[(points[:, 2] < OFF) & (points[:, 2] > -SUNK), 2] = OFF

    part = vertex_part[faces[:, 0]]
    middle = corners.mean(axis=1)
    cell = np.column_stack([part, np.round(flat * 5), np.floor(middle / size + 1e-6)]).astype(np.int64)
    _, patch = np.unique(cell, axis=0, return_inverse=True)
    patch = patch.reshape(-1)
    return Shell(
        tuple(each.name for each in parts),
        corners,
        flat,
        areas,
        part,
        triangle_nodes,
        patch,
        points,
        node_normals,
        node_part,
        is_beyond(points, model.panes, room),
        node,
        int(patch.max()) + 1,
        size,
    )


def _sums(index: Ints, values: Array, count: int) -> Array:
    """Return the sums of values (n, k) that share an index (n,), (count, k)."""
    return np.stack([np.bincount(index, each, count) for each in values.T], axis=-1)


def _towards_middles(points: Array, triangle_nodes: Ints, corners: Array) -> Array:
    """Return the way from each node to the mean middle of its triangles, (m, 3)."""
    every = triangle_nodes.ravel()
    total = _sums(every, np.repeat(corners.mean(axis=1), 3, axis=0), len(points))
    count = np.bincount(every, minlength=len(points))
    return np.where(count[:, None] > 0, total / np.maximum(count, 1)[:, None] - points, 0.0)


def is_beyond(points: Array, panes: tuple[Pane, ...], room: Room) -> NDArray[np.bool_]:
    """Return whether points (n, 3) lie in a next room: outside the walls, behind the nearest opening."""
    beyond = np.zeros(len(points), dtype=bool)
    if all(each.glazed for each in panes):
        return beyond
    outside = ~shapely.contains_xy(room.outline.buffer(0.005), points[:, 0], points[:, 1])
    where = shapely.points(points[outside, :2])
    far = np.stack([shapely.distance(shapely.MultiPoint(each.corners[:, :2]).convex_hull, where) for each in panes])
    nearest = far.argmin(axis=0)
    behind = np.stack([(points[outside] - each.corners[0]) @ np.asarray(each.inward) for each in panes])
    passable = np.array([not each.glazed for each in panes])
    beyond[outside] = passable[nearest] & (behind[nearest, np.arange(len(nearest))] < 1e-3)
    return beyond
