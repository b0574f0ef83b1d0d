"""Visibility: all that light needs to know of what sees what in a room. Sources and reflectances come after.

This is the slow part of a bake. How it is cached for another sky, wall paint or floor colour: `visibility_arrays`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.area_emitters import AreaEmitters, build_emitters, find_emitter_factors
from preview.light.geometry.factors import point_factors
from preview.light.geometry.final_gather import FinalGather, joined, trace_gather
from preview.light.geometry.floor_cells import FloorCells, build_floor_cells
from preview.light.geometry.floor_grid import FloorGrid, build_floor_grid
from preview.light.geometry.irradiance_filter import irradiance_filter
from preview.light.geometry.pane_visibility import PaneVisibility, find_pane_visibility
from preview.light.geometry.shell import Shell, build_shell
from preview.light.geometry.surroundings import Surroundings, build_surroundings
from preview.light.geometry.transport import form_factors, patch_faces
from preview.model.model import Model, Pane
from preview.room.room import Room

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far 95 of a hundred places are off beside four times the rays, by tests/benchmarks/convergence.py: the floor by
# its own 0.9 % (128 rays 2.3); the shell by those of patches 0.4 % (128 rays 1.3), of nodes 2.4 % (64 rays 5.0).
FLOOR_RAYS, PATCH_RAYS = 512, 512
NODE_RAYS, MOST_NODE_RAYS = 256, 16_000_000  # for each node, and in all
BROAD = 0.01  # square metres: nodes that stand for as much of a face
BROAD_RAYS = 1024  # have so many, those of their neighbours counted in that they are smoothed over
MOST_ROWS, MOST_AGAIN = 8, 2_000_000  # rows of as many rays as the first, at most; and rays in all but those
BACKS = 0.3  # a point that sees more backs of surfaces than this part lies inside something
EMITTER_FACTOR = 0.08  # a patch that sees this much pane is bright enough to be counted by itself
MOST_EMITTER_PAIRS = 4_000_000  # of such a patch and a point


@dataclass(frozen=True, eq=False)
class RoomGeometry:
    """A room as rays meet it, quick to build: shell, floor grid and cells, what rays run into; panes turned
    anticlockwise as the room sees them."""

    shell: Shell
    grid: FloorGrid
    cells: FloorCells
    around: Surroundings
    panes: tuple[Pane, ...]

    @property
    def points(self) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Nodes, then points of the floor: places (n, 3), normals (n, 3), whether in a next room (n,)."""
        up = np.tile([0.0, 0.0, 1.0], (len(self.grid.points), 1))
        return (
            np.concatenate([self.shell.node_points, self.grid.points]),
            np.concatenate([self.shell.node_normals, up]),
            np.concatenate([self.shell.node_beyond, self.grid.beyond]),
        )


@dataclass(frozen=True, eq=False)
class Visibility:
    """What sees what: final gathers of nodes and floor points, panes as both see them (nodes first), form factors
    between patches (p, p) with their areas (p,), and the patches by the panes that are treated as area `emitters`:
    their numbers (k,) and the form factors by which both see them (n, k).

    Nodes that are `buried` (m,) lie inside something and see nothing: `inpaint` (m, m) gives them the mean of the
    nearest that do not. `filter` (m, m) evens out what the rays of the others have gathered. `upsample` (h * w, f)
    turns values of the floor's points into those of all its texels.
    """

    nodes: FinalGather
    floor: FinalGather
    panes: PaneVisibility
    factors: csr_array
    areas: Array
    emitters: Ints
    emitter_factors: NDArray[np.float32]
    buried: NDArray[np.bool_]
    inpaint: csr_array
    filter: csr_array
    upsample: csr_array


def build_geometry(model: Model, room: Room) -> RoomGeometry:
    """Return shell, floor and panes of a model, ready for rays."""
    panes = turned(model.panes)
    shell = build_shell(replace(model, panes=panes), room)
    grid = build_floor_grid(model, room, shell)
    cells = build_floor_cells(grid, room.outline, shell.patch_size)
    return RoomGeometry(shell, grid, cells, build_surroundings(shell, cells, panes), panes)


def find_visibility(geometry: RoomGeometry) -> Visibility:
    """Return what sees what in a room."""
    shell, around = geometry.shell, geometry.around
    points, normals, beyond = geometry.points
    count = len(shell.node_points)
    factors, areas = form_factors(patch_faces(around), PATCH_RAYS)
    emitters = _emitters(geometry, MOST_EMITTER_PAIRS // len(points))
    ground = points[count:]
    node_rays = int(2 ** np.floor(np.log2(np.clip(MOST_NODE_RAYS / max(count, 1), 64, NODE_RAYS))))
    every = np.arange(len(ground))
    floor = trace_gather(
        around, lambda k, _: ground[k, None], normals[count:], beyond[count:], FLOOR_RAYS, every, np.zeros(len(every))
    )
    gather = partial(trace_gather, around, shell.around_nodes, normals[:count], beyond[:count], node_rays)
    nodes = gather(np.arange(count), _turns(count, 1))
    buried = (nodes.backs > BACKS) & ~shell.node_beyond
    smooth = irradiance_filter(shell, nodes.reach, buried)
    again = _seen_again(shell, smooth, buried, node_rays)
    nodes = joined(nodes, gather(again, _turns(len(again), 2)))
    return Visibility(
        nodes,
        floor,
        find_pane_visibility(geometry.panes, points, normals, around.outer),
        factors,
        areas,
        emitters,
        find_emitter_factors(shell_emitters(shell, emitters), points, normals, around.outer),
        buried,
        _inpaint(shell, buried),
        smooth,
        geometry.grid.upsample(floor.backs > BACKS),
    )


def _turns(count: int, seed: int) -> Array:
    """Return angles by chance, the same for every run, (count,): what neighbours' rays miss is then not alike."""
    return np.asarray(np.random.default_rng(seed).random(count) * 2 * np.pi)


def _seen_again(shell: Shell, smooth: csr_array, buried: NDArray[np.bool_], rays: int) -> Ints:
    """Return the nodes that get more rays than their first, once for each more row of so many: those of broad faces
    that are not smoothed over enough neighbours."""
    count = len(shell.node_points)
    area = np.bincount(shell.nodes.ravel(), np.repeat(shell.areas / 3, 3), count)
    broad = np.flatnonzero((area > BROAD) & ~buried & ~shell.node_beyond)
    alike = 1 / np.asarray(smooth.multiply(smooth).sum(axis=1)).ravel()[broad]  # how many rows its light is the mean of
    wanted = float(BROAD_RAYS)
    while True:
        again = np.clip(np.ceil(wanted / (rays * alike)) - 1, 0, MOST_ROWS - 1).astype(np.int64)
        if again.sum() * rays <= MOST_AGAIN:
            return np.repeat(broad, again)
        wanted *= 0.8


def shell_emitters(shell: Shell, chosen: Ints) -> AreaEmitters:
    """Return patches of the shell by their numbers."""
    place = np.full(shell.patch_count, -1)
    place[chosen] = np.arange(len(chosen))
    own = place[shell.patch] >= 0
    return build_emitters(shell.corners[own], shell.normals[own], place[shell.patch[own]], len(chosen))


def _emitters(geometry: RoomGeometry, most: int) -> Ints:
    """Return the patches that the panes make brightest, at most so many."""
    shell = geometry.shell
    every = np.arange(shell.patch_count)
    patches = shell_emitters(shell, every)
    total = np.zeros(shell.patch_count)
    for pane in geometry.panes:
        if pane.glazed:
            total += point_factors(patches.middles + 2e-3 * patches.normals, patches.normals, pane.corners[None])[:, 0]
    indoors = np.bincount(shell.patch, ~shell.beyond, shell.patch_count) > 0
    chosen = np.flatnonzero((total > EMITTER_FACTOR) & indoors)
    return np.sort(chosen[np.argsort(-total[chosen] * patches.areas[chosen], kind="stable")[:most]])


def _inpaint(shell: Shell, buried: NDArray[np.bool_]) -> csr_array:
    """Return what gives buried nodes the values of the nearest of their own part that are not; (m, m)."""
    from scipy.sparse import csr_array, eye_array
    from scipy.spatial import cKDTree

    if not buried.any() or buried.all():
        return csr_array(eye_array(len(buried)))
    # Parts and directions are set metres apart, so that the nearest is of the same part and faces the same way.
    place = np.column_stack([shell.node_points, 100.0 * shell.node_part, 10.0 * shell.node_normals])
    sound, most = np.flatnonzero(~buried), min(4, int((~buried).sum()))
    away, nearest = (each.reshape(-1, most) for each in cKDTree(place[sound]).query(place[buried], k=most))
    weight = 1 / np.maximum(away, 1e-3) ** 2
    weight /= weight.sum(axis=1, keepdims=True)
    row = np.concatenate([sound, np.repeat(np.flatnonzero(buried), most)])
    column = np.concatenate([sound, sound[nearest].ravel()])
    values = np.concatenate([np.ones(len(sound)), weight.ravel()])
    return csr_array((values, (row, column)), shape=(len(buried), len(buried)))


def turned(panes: tuple[Pane, ...]) -> tuple[Pane, ...]:
    """Return panes with their corners anticlockwise as the room sees them."""
    return tuple(each if _faces_in(each) else replace(each, corners=np.asarray(each.corners)[::-1]) for each in panes)


def _faces_in(pane: Pane) -> bool:
    corners = np.asarray(pane.corners, dtype=float)
    return bool(np.cross(corners[1] - corners[0], corners[2] - corners[1]) @ np.asarray(pane.inward) > 0)
