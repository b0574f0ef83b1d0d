"""The floor as it is drawn: each board's whole face at z = 0, every triangle knowing how far its corners lie from the
board's own edges, so that the shader draws the eased edges as lines of their true width at any distance.

The model hands over each board's outline. Drawn as geometry, bevels under a millimetre wide break into dashes a few
metres off.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.model.ease import BEVEL, as_polygon, triangles_of
from preview.model.model import FloorMesh, FloorOutline, Model
from preview.picture.device.arrays import VertexArrays

Array = NDArray[np.float64]
Index = NDArray[np.intp]

FAR = 1.0  # metres: the distance given for an edge that a triangle does not touch
SIDE_SHADE = 0.35  # the sides of boards stand in slots and joints, where little light comes; by eye
LAP = 0.0002  # metres: faces reach so far over their neighbours, so that no crack opens where three boards meet
LINE = BEVEL  # half the width of the line that a joint is seen as, metres


def line_width(model: Model) -> tuple[float, float]:
    """Return half the width of the widest line that a joint of the model is seen as, and of what is open of it,
    metres."""
    most = _most_drawn_back(model)
    return LINE + most, most


def floor_surfaces(model: Model) -> list[VertexArrays]:
    """Return each floor mesh: normals its distances to edges, colour its tint, extra the plan direction of u, which is
    that of the grain, coat, and a number in 0..1 of the board's own, negative where v lies to the right of u.

    Lines are drawn by `line_width` from where a distance is 0. An edge that hasn't drawn back as far as the one that
    has most counts as so much farther off: its line is as much narrower.
    """
    most = _most_drawn_back(model)
    return [_surface(mesh, most) for mesh in model.floor]


def board_number(piece: NDArray[np.int32]) -> Array:
    """Return a number in 0..1 of each board's own, by its piece (n,): Knuth's multiplicative hash."""
    return np.asarray(((piece.astype(np.uint32) * np.uint32(2654435761)).astype(np.float64) + 1) / 2**32)


def _most_drawn_back(model: Model) -> float:
    return max((float(mesh.outline.drawn_back.max(initial=0)) for mesh in model.floor if mesh.outline), default=0)


def _surface(mesh: FloorMesh, most: float) -> VertexArrays:
    if mesh.outline is not None:
        corners, distance, moved = _faces(mesh, mesh.outline, most)
    else:
        corners, distance = _as_they_are(mesh)
        moved = mesh.vertices[corners, :2].astype(float)
    sides = mesh.faces[len(mesh.faces) if mesh.first_side is None else mesh.first_side :].ravel()
    rows = np.concatenate([corners, sides])
    edges = np.concatenate([distance, np.full((len(sides), 3), FAR)])
    positions = mesh.vertices[rows].copy()
    positions[: len(corners)] = np.column_stack([moved, np.zeros(len(moved))])
    shade = np.repeat([1.0, SIDE_SHADE], [len(corners), len(sides)])[:, None]
    own = board_number(mesh.piece[rows])
    turned = np.ones((len(rows), 2)) if mesh.turned is None else mesh.turned[rows]
    return VertexArrays(
        positions,
        edges.astype(np.float32),
        mesh.uv[rows],
        np.column_stack([mesh.grain[rows] * turned[:, :1], mesh.coat[rows], own * turned.prod(axis=1)]).astype(
            np.float32
        ),
        (mesh.tint[rows] * shade).astype(np.float32),
        np.arange(len(rows), dtype=np.int32).reshape(-1, 3),
        mesh.page,
    )


def _as_they_are(mesh: FloorMesh) -> tuple[Index, Array]:
    """A floor without eased edges: its upward faces, with no lines."""
    rows = mesh.faces[(mesh.normals[:, 2] > 0.9)[mesh.faces[:, 0]]].ravel().astype(np.intp)
    return rows, np.full((len(rows), 3), FAR)


def _faces(mesh: FloorMesh, outline: FloorOutline, most: float) -> tuple[Index, Array, Array]:
    """Return the vertices (3 t,) of triangles over the outlines; their distances (3 t, 3) to the edges opposite to each
    corner; and where they are drawn in plan (3 t, 2), `LAP` beyond the outline. `most`: how far the edge that has drawn
    back most has."""
    low, after = outline.corner, outline.after
    points, piece = mesh.vertices[low, :2].astype(float), mesh.piece[low]
    row = np.arange(len(low))
    before = np.empty_like(after)
    before[after] = row
    first = np.flatnonzero(np.diff(outline.ring, prepend=-1))[np.unique(outline.ring, return_inverse=True)[1]]
    leaving = points[after] - points
    edge = np.stack([leaving[:, 1], -leaving[:, 0]], axis=1) / np.linalg.norm(leaving, axis=1, keepdims=True)
    mitre = (edge + edge[before]) / np.maximum(1 + (edge * edge[before]).sum(axis=1, keepdims=True), 0.1)
    drawn = points + LAP * mitre
    fan = outline.plain & (row > first) & (after > first)
    triangles = np.stack([first[fan], row[fan], after[fan]], axis=1)
    for number in np.unique(piece[~outline.plain]):
        rows = np.flatnonzero(piece == number)
        made = triangles_of(as_polygon(points[rows], outline.ring[rows])).reshape(-1, 1, 2)
        nearest = ((made - points[rows]) ** 2).sum(axis=2).argmin(axis=1)
        triangles = np.concatenate([triangles, rows[nearest].reshape(-1, 3)])
    corners = triangles.ravel()
    nearer = most - outline.drawn_back.astype(float)
    return low[corners], _distances(drawn, triangles, after, nearer).reshape(-1, 3) - LAP, drawn[corners]


def _distances(points: Array, triangles: Index, after: Index, beyond: Array) -> Array:
    """Return, for each corner (t, 3) of the triangles, its distance to the three edges opposite to the corners,
    (t, 3, 3), and `beyond` (v,) the edge from each vertex; `FAR` from those that are no edges of the outline."""
    distance = np.zeros((len(triangles), 3, 3))
    a, b, c = (points[triangles[:, k]] for k in range(3))
    twice = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    for k in range(3):
        one, two = triangles[:, (k + 1) % 3], triangles[:, (k + 2) % 3]
        forward = after[one] == two
        outer = forward | (after[two] == one)
        height = twice / np.maximum(np.linalg.norm(points[two] - points[one], axis=1), 1e-9)
        distance[:, k, k] = height
        distance[:, :, k] += beyond[np.where(forward, one, two)][:, None]
        distance[~outer, :, k] = FAR
    return distance
