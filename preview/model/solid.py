"""One piece as a closed solid: what is exported, and what volumes are taken from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.floor.layout import Layout
from preview.model.ease import Outlines, as_polygon, ease, mitres, outlines, triangles_of

if TYPE_CHECKING:
    import trimesh

Array = NDArray[np.float64]


def piece_mesh(layout: Layout, index: int) -> trimesh.Trimesh:
    """Return piece `index` of the layout as a watertight solid, metres.

    The top lies at z = 0, the bottom at minus the boards' thickness T. The sides stand half a joint inside the
    piece's polygon; the top edges carry a 45 degree bevel of leg b (`preview.model.ease.BEVEL`, less on a piece too
    small for it). With A, P and K the area, perimeter and corner sum of the outline of the sides (see `ease`):
    volume = A T - P b^2 / 2 + K b^3 / 3.

    Raises:
        IndexError: no such piece.
    """
    import trimesh

    if not 0 <= index < len(layout.pieces):
        raise IndexError(f"piece {index} of {len(layout.pieces)}")
    depth = layout.board.thickness
    shape = outlines(layout.pieces.polygons[index : index + 1])
    inset, leg = ease(shape, 1, layout.board.gap, depth)
    move = mitres(shape)
    base = shape.points + inset[0] * move
    top = base + leg[0] * move
    n = len(base)
    levels = [(base, -depth), (base, -leg[0]), (top, 0.0)]
    vertices = np.concatenate([np.column_stack([plan, np.full(n, z)]) for plan, z in levels])
    faces = [_cover(shape, base)[:, ::-1], 2 * n + _cover(shape, top)]
    row = np.arange(n)
    for low, high in ((0, n), (n, 2 * n)):
        left, right = row + low, shape.after + low
        up, across = row + high, shape.after + high
        faces += [np.stack([left, right, across], axis=1), np.stack([left, across, up], axis=1)]
    return trimesh.Trimesh(vertices, np.concatenate(faces), process=False)


def _cover(shape: Outlines, plan: Array) -> NDArray[np.intp]:
    """Triangles (t, 3) over the corners `plan` (n, 2), anticlockwise from above."""
    row = {(x, y): k for k, (x, y) in enumerate(plan.tolist())}
    made = triangles_of(as_polygon(plan, shape.ring))
    return np.array([[row[x, y] for x, y in each] for each in made.tolist()], dtype=np.intp)
