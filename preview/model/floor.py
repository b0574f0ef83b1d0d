"""The floor as it is seen: tops, eased edges and, where one sees them, sides; for all pieces at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.floor.layout import Layout, Role, wood_of
from preview.model.ease import Outlines, as_polygon, ease, edge_normals, mitres, outlines, triangles_of
from preview.model.model import FloorMesh, FloorOutline
from preview.wood.boards import END_DEPTH, Boards

Array = NDArray[np.float64]
Index = NDArray[np.intp]

Faces = tuple[Array, Array, Index]
"""Corners (k, c, 3) of k faces of c corners, their normals (k, 3), their pieces (k,)."""


def floor_meshes(layout: Layout, boards: Boards, shrunk: Array | None = None) -> tuple[FloorMesh, ...]:
    """Return one mesh for each texture page in use, with the pieces of the layout and of the next rooms' floors.

    Pieces lie as if their joints were tight, and carry how far each edge draws back from there: an open joint is drawn
    by its width, not by its corners, as a line finer than a pixel has to be.

    shrunk: the share by which each piece has narrowed since it was laid, (n + m,); its edges draw back by that too.
    """
    parts = [each for each in (layout.pieces, layout.beyond) if len(each)]
    if not parts:
        return ()
    polygons, role, grain, origin, size = (
        np.concatenate([getattr(each, name) for each in parts])
        for name in ("polygons", "role", "grain", "origin", "size")
    )
    n, depth, joint = len(polygons), layout.board.thickness, layout.board.gap
    shape = outlines(polygons)
    inset, leg = ease(shape, n, joint, depth)
    move = mitres(shape)
    top = shape.points + leg[shape.piece, None] * move
    # Sides show in grilles, and above a neighbour whose bevel was cut back.
    open_sided = (role == Role.GRILLE) | (leg < leg.max(initial=0))
    triangles, quads = _tops(shape, top), [_bevels(shape, top, leg)]
    quads.append(_sides(shape, leg, depth, open_sided))
    faces = [triangles, *quads]
    points = np.concatenate([corners.reshape(-1, 3) for corners, _, _ in faces])
    normals = np.concatenate([np.repeat(each, c.shape[1], axis=0) for c, each, _ in faces])
    piece = np.concatenate([np.repeat(each, c.shape[1]) for c, _, each in faces])
    index = np.concatenate(_indices([corners.shape[:2] for corners, _, _ in faces]))
    tops, bevels = (corners.shape[0] * corners.shape[1] for corners, _, _ in faces[:2])
    back = inset[shape.piece]
    if shrunk is not None and shrunk.any():
        back = back + _drawn_back(shape, shrunk, grain, origin, size)
    rings = _OutlineRows(shape, tops + 4 * np.arange(len(shape.points)), back, tops + bevels)
    return _by_page(points, normals, piece, index, boards, role, grain, origin, size, rings)


@dataclass(frozen=True, eq=False)
class _OutlineRows:
    """Outlines, the row of each corner (v,) among all vertices, how far the edges (v,) have drawn back, and the row
    from which on vertices are sides'."""

    shape: Outlines
    corner: Index
    back: Array
    first_side: int

    def of(self, chosen: NDArray[np.bool_], renumbered: NDArray[np.int32]) -> FloorOutline:
        """Return the outlines of the vertices `chosen`, which are `renumbered`."""
        own = chosen[self.corner]
        among = np.cumsum(own) - 1
        shape = self.shape
        return FloorOutline(
            renumbered[self.corner[own]].astype(np.intp),
            among[shape.after[own]].astype(np.intp),
            shape.ring[own],
            shape.convex[shape.piece[own]],
            self.back[own].astype(np.float32),
        )


def _drawn_back(shape: Outlines, shrunk: Array, grain: Array, origin: Array, size: Array) -> Array:
    """How far the middle of each edge (v,) moves into the wood, square to itself, as its piece narrows about the
    middle of its blank: long edges by half of it, ends not at all."""
    piece = shape.piece
    off = (shape.points + shape.points[shape.after]) / 2 - origin[piece]
    across = np.column_stack([-np.sin(grain), np.cos(grain)])[piece]
    place = (off * across).sum(1) - size[piece, 1] / 2
    moved: Array = -shrunk[piece] * place * (edge_normals(shape) * across).sum(1)
    return np.maximum(moved, 0.0)


def _tops(shape: Outlines, top: Array) -> Faces:
    """Fans for convex pieces, constrained Delaunay triangles for the rest."""
    row = np.arange(len(top))
    fan = shape.convex[shape.piece] & (row > shape.first) & (shape.after > shape.first)
    corners = top[np.stack([shape.first[fan], row[fan], shape.after[fan]], axis=1)]
    piece = shape.piece[fan]
    for odd in np.flatnonzero(~shape.convex):
        rows = shape.piece == odd
        made = triangles_of(as_polygon(top[rows], shape.ring[rows]))
        corners = np.concatenate([corners, made])
        piece = np.append(piece, np.full(len(made), odd))
    flat = np.concatenate([corners, np.zeros((*corners.shape[:2], 1))], axis=2)
    return flat, np.tile([0.0, 0.0, 1.0], (len(flat), 1)), piece


def _bevels(shape: Outlines, top: Array, leg: Array) -> Faces:
    low = np.column_stack([shape.points, -leg[shape.piece]])
    high = np.column_stack([top, np.zeros(len(top))])
    corners = np.stack([low, low[shape.after], high[shape.after], high], axis=1)
    normals = np.column_stack([-edge_normals(shape), np.ones(len(top))]) / np.sqrt(2)
    return corners, normals, shape.piece


def _sides(shape: Outlines, leg: Array, depth: float, chosen: NDArray[np.bool_]) -> Faces:
    rows = np.flatnonzero(chosen[shape.piece])
    piece, after = shape.piece[rows], shape.after[rows]
    high, low = -leg[piece, None], np.full((len(rows), 1), -depth)
    left, right = shape.points[rows], shape.points[after]
    corners = np.stack([np.hstack(each) for each in ((left, low), (right, low), (right, high), (left, high))], axis=1)
    return corners, np.column_stack([-edge_normals(shape)[rows], np.zeros(len(rows))]), piece


def _indices(shapes: list[tuple[int, int]]) -> list[NDArray[np.int32]]:
    """Triangles (t, 3) over the corners of faces listed one after another."""
    made, start = [], 0
    for count, corners in shapes:
        pattern = np.array([[0, k, k + 1] for k in range(1, corners - 1)], dtype=np.int32)
        first = (start + corners * np.arange(count, dtype=np.int32))[:, None, None]
        made.append((first + pattern).reshape(-1, 3))
        start += count * corners
    return made


def _by_page(
    points: Array,
    normals: Array,
    piece: Index,
    index: NDArray[np.int32],
    boards: Boards,
    role: NDArray[np.int8],
    grain: Array,
    origin: Array,
    size: Array,
    rings: _OutlineRows,
) -> tuple[FloorMesh, ...]:
    """Give every corner what its piece carries, and part the corners and triangles by texture page."""
    direction = np.column_stack([np.cos(grain), np.sin(grain)])
    along, off = direction[piece], points[:, :2] - origin[piece]
    s = (off * along).sum(1)
    t = off[:, 1] * along[:, 0] - off[:, 0] * along[:, 1]
    place = np.clip(np.column_stack([s, t]), 0, size[piece])
    uv = _on_pages(boards, points, normals, piece, along, place, size)
    coat = wood_of(role)[piece]
    page = boards.page[piece]
    meshes = []
    for number in np.unique(page):
        chosen = page == number
        renumbered = np.cumsum(chosen, dtype=np.int32) - 1
        meshes.append(
            FloorMesh(
                page=int(number),
                vertices=points[chosen].astype(np.float32),
                normals=normals[chosen].astype(np.float32),
                uv=uv[chosen].astype(np.float32),
                grain=along[chosen].astype(np.float32),
                tint=boards.tint[piece[chosen]].astype(np.float32),
                piece=piece[chosen].astype(np.int32),
                coat=coat[chosen].astype(np.float32),
                faces=renumbered[index[chosen[index[:, 0]]]],
                turned=np.sign(boards.uv_scale[piece[chosen]]).astype(np.float32),
                outline=rings.of(chosen, renumbered),
                first_side=int((chosen & (np.arange(len(chosen)) < rings.first_side))[index[:, 0]].sum()),
            )
        )
    return tuple(meshes)


def _on_pages(
    boards: Boards, points: Array, normals: Array, piece: Index, along: Array, place: Array, size: Array
) -> Array:
    """Return the texture coordinates of points (k, 2) whose pieces' places are `place` (k, 2).

    Sides along the grain show the wood next to them on the face, turned down over the edge; sides across it the end
    of the board's strip.
    """
    side = np.abs(normals[:, 2]) < 1e-3
    deep = np.where(side, np.maximum(-points[:, 2], 0.0), 0.0)
    across = normals[:, 1] * along[:, 0] - normals[:, 0] * along[:, 1]
    end = side & (np.abs(across) < 0.7)
    folded = place.copy()
    folded[:, 1] -= np.where(end, 0.0, np.sign(across) * deep)
    folded[:, 1] = np.where(side, np.clip(folded[:, 1], 0, size[piece, 1]), folded[:, 1])
    scale = boards.uv_scale[piece]
    uv: Array = boards.uv_origin[piece] + scale * folded
    if boards.end is not None:
        uv[end, 0] = (boards.end[piece] + np.abs(scale[:, 0]) * np.minimum(deep, END_DEPTH))[end]
    return uv
