"""The boards' upper faces as files of models have them: flat, at z = 0, by what the boards are and by texture page.

A joint is drawn by the boards' own colours: each face has a rim, `RIM` wide, darker than the board by as much as, in a
picture, the groove of two eased edges and the hairline between them darken their 1.6 mm. So a joint needs nothing that
a viewer may leave out, and what it takes from the light is right where it is finer than a pixel. Bevels as geometry, a
third as wide, break into dashes a few metres off, and so does a rim that darkens towards its edge: where a pixel's
middle lies outside, a colour that varies is continued to there.

Nothing is instanced: each board has its own window in the texture and its own tint, which an instance of
EXT_mesh_gpu_instancing can't have.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.floor.layout import Layout, Role, wood_of
from preview.model.ease import as_polygon, ease, mitres, outlines, triangles_of
from preview.model.model import FloorMesh
from preview.wood.boards import Boards

Array = NDArray[np.float64]
F32 = NDArray[np.float32]
Index = NDArray[np.intp]

RIM = 0.002  # metres
# Of a board's colour, what its rim has. In floor.frag 0.6 mm of a groove's side return some 0.8 of it and 0.2 mm of
# open joint 0.08; over `RIM` that is 1 - (0.6 x 0.2 + 0.2 x 0.92) / 2.
RIM_SHADE = 0.85
LAP = 0.0002  # metres: as in floor_faces.py, faces reach over their neighbours, so that no crack opens between them
SIDE_SHADE = 0.35  # as in floor_faces.py: of the sides of slots

NAMES = {
    Role.BOARD: "field",
    Role.BORDER: "border",
    Role.STRIP: "feature strip",
    Role.THRESHOLD: "thresholds",
    Role.GRILLE: "grilles",
}
BEYOND = "next room's floor"


@dataclass(frozen=True, eq=False)
class BoardFaces:
    """Faces of boards of one kind on one texture page.

    `name` of the kind; `page` and `wood` (see `wood_of`); positions (v, 3), normals (v, 3), uv (v, 2), `along` (v, 3)
    the unit direction of u, `mirrored` (v,) whether v runs to the right of it, seen from above; `tint` (v, 3) linear;
    faces (f, 3), `rim` (f,) whether each is part of a rim; `sides` whether all are sides of slots. Metres, z up.
    """

    name: str
    page: int
    wood: int
    positions: F32
    normals: F32
    uv: F32
    along: F32
    mirrored: NDArray[np.bool_]
    tint: F32
    faces: NDArray[np.int32]
    rim: NDArray[np.bool_]
    sides: bool


@dataclass(frozen=True, eq=False)
class _Corners:
    """Corners of faces of all boards: positions (v, 3), normals (v, 3), piece (v,), uv (v, 2), tint (v, 3), faces;
    `rims` how many of these come first that are rims; `sides` as in `BoardFaces`."""

    positions: Array
    normals: Array
    piece: Index
    uv: Array
    tint: Array
    faces: Index
    rims: int = 0
    sides: bool = False


@dataclass(frozen=True, eq=False)
class Windows:
    """Where pieces (n,) lie on texture pages: `page` (n,); a place (2,) metres along the grain and across has texture
    coordinates `origin` (n, 2) + place @ `ways` (n, 2, 2), taken no nearer to the edges of its blank than `off` (n,)
    metres; `tint` (n, 3) linear."""

    page: NDArray[np.int32]
    origin: Array
    ways: Array
    off: Array
    tint: F32

    @staticmethod
    def of(boards: Boards) -> Windows:
        """Return the windows that boards have on their own pages."""
        ways = boards.uv_scale[:, :, None] * np.eye(2)
        return Windows(boards.page, boards.uv_origin.astype(float), ways, np.zeros(len(boards.page)), boards.tint)


@dataclass(frozen=True, eq=False)
class _Blanks:
    """The blanks of all pieces, and their windows: grain (n,), origin (n, 2), size (n, 2), as in `Layout`."""

    grain: Array
    origin: Array
    size: Array
    windows: Windows

    def uv(self, points: Array, piece: Index) -> Array:
        """Return the texture coordinates of points (v, 2) of pieces (v,)."""
        direction = np.column_stack([np.cos(self.grain), np.sin(self.grain)])[piece]
        off = points - self.origin[piece]
        place = np.column_stack([(off * direction).sum(1), off[:, 1] * direction[:, 0] - off[:, 0] * direction[:, 1]])
        least = np.minimum(self.windows.off[piece, None], self.size[piece] / 2)
        place = np.clip(place, least, self.size[piece] - least)
        return np.asarray(self.windows.origin[piece] + (place[:, None] @ self.windows.ways[piece])[:, 0])


def board_faces(
    layout: Layout, windows: Windows, meshes: tuple[FloorMesh, ...], beyond: bool = True
) -> list[BoardFaces]:
    """Return the faces of a floor, kinds in the order of `NAMES`, then pages.

    windows: of the layout's pieces and of those beyond. meshes: the floor's, from which the sides of grilles' slots are
    taken. beyond: whether the next rooms' are wanted.
    """
    parts = [each for each in (layout.pieces, layout.beyond) if len(each)]
    polygons, role, grain, origin, size = (
        np.concatenate([getattr(each, name) for each in parts])
        for name in ("polygons", "role", "grain", "origin", "size")
    )
    kind = np.where(np.arange(len(role)) < len(layout.pieces), role, -1)
    blanks = _Blanks(grain, origin, size, windows)
    tops = _tops(polygons, blanks)
    sides = list(_slot_sides(meshes, kind, blanks))
    found = []
    names = [(int(role), name) for role, name in NAMES.items()] + [(-1, BEYOND)] * beyond
    for number, name in names:
        own = kind == number
        for page in np.unique(windows.page[own]):
            chosen = own & (windows.page == page)
            wood = int(wood_of(role[chosen][0]))
            for corners in (tops, *sides):
                if (each := _chosen(corners, chosen, name, int(page), wood, blanks)) is not None:
                    found.append(each)
    return found


def _tops(polygons: NDArray[np.object_], blanks: _Blanks) -> _Corners:
    """Return the upper faces with their rims: of every outline its corners, the same at the rim's inner side, and these
    again for what lies within."""
    shape = outlines(polygons)
    count, row = len(shape.points), np.arange(len(shape.points))
    _, rim = ease(shape, len(polygons), 0.0, 1.0, RIM)
    mitre = mitres(shape)
    inner = shape.points + rim[shape.piece, None] * mitre
    after = shape.after
    fan = shape.convex[shape.piece] & (row > shape.first) & (after > shape.first)
    faces = [
        np.column_stack([row, after, count + after]),
        np.column_stack([row, count + after, count + row]),
        2 * count + np.column_stack([shape.first[fan], row[fan], after[fan]]),
    ]
    for odd in np.flatnonzero(~shape.convex):
        rows = np.flatnonzero(shape.piece == odd)
        made = triangles_of(as_polygon(inner[rows], shape.ring[rows])).reshape(-1, 1, 2)
        faces.append(2 * count + rows[((made - inner[rows]) ** 2).sum(axis=2).argmin(axis=1)].reshape(-1, 3))
    points, piece = np.concatenate([shape.points - LAP * mitre, inner, inner]), np.tile(shape.piece, 3)
    shade = np.repeat([RIM_SHADE, RIM_SHADE, 1.0], count)
    return _Corners(
        np.column_stack([points, np.zeros(len(points))]),
        np.tile([0.0, 0.0, 1.0], (len(points), 1)),
        piece,
        blanks.uv(points, piece),
        blanks.windows.tint[piece] * shade[:, None],
        np.concatenate(faces).astype(np.intp),
        rims=2 * count,
    )


def _slot_sides(meshes: tuple[FloorMesh, ...], kind: NDArray[np.int64], blanks: _Blanks) -> Iterator[_Corners]:
    for mesh in meshes:
        faces = mesh.faces[len(mesh.faces) if mesh.first_side is None else mesh.first_side :]
        faces = faces[kind[mesh.piece[faces[:, 0]]] == Role.GRILLE]
        if len(faces):
            points, piece = mesh.vertices.astype(float), mesh.piece.astype(np.intp)
            yield _Corners(
                points, mesh.normals.astype(float), piece, blanks.uv(points[:, :2], piece),
                blanks.windows.tint[piece].astype(float) * SIDE_SHADE, faces.astype(np.intp), sides=True,
            )  # fmt: skip


def _chosen(
    corners: _Corners, pieces: NDArray[np.bool_], name: str, page: int, wood: int, blanks: _Blanks
) -> BoardFaces | None:
    """Return the faces of the chosen pieces (n,), with their own corners alone; None where they have none."""
    chosen = pieces[corners.piece[corners.faces[:, 0]]]
    faces = corners.faces[chosen]
    if not len(faces):
        return None
    rows, renumbered = np.unique(faces, return_inverse=True)
    piece = corners.piece[rows]
    turned, grain = np.sign(np.diagonal(blanks.windows.ways[piece], axis1=1, axis2=2)), blanks.grain
    along = np.column_stack([np.cos(grain[piece]), np.sin(grain[piece]), np.zeros(len(piece))]) * turned[:, :1]
    return BoardFaces(
        name,
        page,
        wood,
        corners.positions[rows].astype(np.float32),
        corners.normals[rows].astype(np.float32),
        corners.uv[rows].astype(np.float32),
        along.astype(np.float32),
        turned.prod(axis=1) < 0,
        corners.tint[rows].astype(np.float32),
        renumbered.reshape(-1, 3).astype(np.int32),
        np.flatnonzero(chosen) < corners.rims,
        corners.sides,
    )
