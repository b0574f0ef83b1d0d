"""How light goes between patches: form factors with what stands between, from rays, made reciprocal and closed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.geometry.ray_tracing import RAYS_AT_ONCE, in_threads
from preview.light.geometry.surroundings import Surroundings
from preview.light.hemisphere import cosine_directions, even_points, frames

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class PatchFaces:
    """Where rays leave patches: triangles (t, 3, 3) sorted by patch with their running areas (t,), where each patch
    begins among them in area (p,), areas and normals of patches (p,), (p, 3)."""

    triangles: Array
    running: Array
    begins: Array
    areas: Array
    normals: Array
    around: Surroundings

    def places(self, patches: Ints, square: Array) -> Array:
        """Return points even over the faces of `patches` (m,), a hair off them; square (r, 3), result (m, r, 3)."""
        first_floor = self.around.shell.patch_count
        floor = (patches >= first_floor) & (patches < first_floor + len(self.around.cells.areas))
        points = np.zeros((len(patches), len(square), 3))
        points[floor] = self._on_floor(patches[floor] - first_floor, square)
        own = patches[~floor]
        pick = self.begins[own][:, None] + square[None, :, 0] * self.areas[own][:, None]
        which = np.minimum(np.searchsorted(self.running, pick), len(self.running) - 1)
        root, side = np.sqrt(square[None, :, 1, None]), square[None, :, 2, None]
        a, b, c = (self.triangles[which, k] for k in range(3))
        points[~floor] = a * (1 - root) + b * (root * (1 - side)) + c * (root * side)
        return points + 2e-3 * self.normals[patches][:, None]

    def _on_floor(self, cells: Ints, square: Array) -> Array:
        floor = self.around.cells
        count = np.diff(floor.first)[cells][:, None]
        texel = floor.first[cells][:, None] + np.minimum((square[None, :, 0] * count).astype(np.int64), count - 1)
        place = floor.texels[texel] + (square[None, :, 1:] - 0.5) * floor.texel
        return np.concatenate([place, np.zeros((*place.shape[:2], 1))], axis=-1)


def patch_faces(around: Surroundings) -> PatchFaces:
    """Return the faces of all patches: clusters, floor cells (by their texels) and curtains."""
    shell, base = around.shell, around.shell.patch_count + len(around.cells.areas)
    indoors = ~shell.beyond
    fans = [(k, c.corners[[0, i, i + 1]]) for k, c in enumerate(around.curtains) for i in range(1, len(c.corners) - 1)]
    triangles = np.concatenate([shell.corners[indoors], np.array([each for _, each in fans]).reshape(-1, 3, 3)])
    owner = np.concatenate([shell.patch[indoors], np.array([base + k for k, _ in fans], dtype=np.int64)])
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(across, axis=1) / 2
    order = np.argsort(owner, kind="stable")
    running = np.cumsum(size[order], dtype=np.float64)
    areas: Array = np.bincount(owner, size, base + len(around.curtains)).astype(np.float64)
    begins = np.cumsum(areas) - areas
    areas[shell.patch_count : base] = around.cells.areas
    facing = np.concatenate(
        [shell.normals[indoors], np.array([around.curtains[k].inward for k, _ in fans]).reshape(-1, 3)]
    )
    normals = np.stack([np.bincount(owner, size * facing[:, k], len(areas)) for k in range(3)], axis=-1)
    normals[shell.patch_count : base] = (0.0, 0.0, 1.0)
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    turned: Array = np.where(length > 1e-12, normals / np.maximum(length, 1e-12), (0.0, 0.0, 1.0))
    return PatchFaces(triangles[order], running, begins, areas, turned, around)


def form_factors(faces: PatchFaces, rays: int = 512) -> tuple[csr_array, Array]:
    """Return the form factors F (p, p) from each patch (row) to each other, A_i F_ij = A_j F_ji, and the areas A (p,).

    What of a patch lies inside something, a wall behind its baseboard say, neither gives nor takes light: A is what
    the room sees of it, by how many of its rays meet no back.

    Each patch looks along `rays` directions, even over its face and over the cosine-weighted half sphere. What the
    two ends of a pair found is averaged, and rows and columns are then scaled alike until each row adds up to what
    that patch's own rays found: in a closed room, to 1. (The scaling is Sinkhorn's, 1967, kept symmetric; without it
    a few hundred rays would leave energy a per cent out.)
    """
    from scipy.sparse import coo_array, diags_array

    areas, around = faces.areas, faces.around
    count = len(areas)
    square = even_points(rays, 5)
    local = cosine_directions(square[:, :2])
    busy = np.flatnonzero(areas > 0)

    def work(part: slice) -> tuple[Ints, Ints, Ints]:
        mine = busy[part]
        directions = np.einsum("rj,njk->nrk", local, frames(faces.normals[mine])).reshape(-1, 3)
        origins = faces.places(mine, square[:, 2:]).reshape(-1, 3)
        _, patch, _ = around.meet(origins, directions, False, np.full((len(origins), 2), 0.5))
        owner = np.repeat(mine, rays)
        inside = np.bincount(owner[patch == -2], minlength=count)
        return owner[patch >= 0], patch[patch >= 0], inside

    found = in_threads(work, len(busy), max(1, RAYS_AT_ONCE // rays))
    row, column = (np.concatenate(each) for each in list(zip(*found, strict=True))[:2])
    seen = areas * (1 - sum(inside for _, _, inside in found) / rays)
    flow = coo_array((areas[row] / rays, (row, column)), shape=(count, count)).tocsr()
    target = np.asarray(flow.sum(axis=1)).ravel()
    flow = ((flow + flow.T) * 0.5).tocsr()
    scale = np.ones(count)
    for _ in range(60):
        sums = scale * (flow @ scale)
        scale *= np.sqrt(np.divide(target, sums, out=np.ones(count), where=sums > 0))
    flow = diags_array(scale) @ flow @ diags_array(scale)
    inverse = np.divide(1.0, seen, out=np.zeros(count), where=seen > 0)
    return (diags_array(inverse) @ flow).tocsr(), seen
