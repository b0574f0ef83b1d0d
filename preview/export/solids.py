"""A floor's pieces as closed solids for CAD and milling: OBJ, STL and PLY.

Each piece is its outline as laid, less half of the joint, from its underside to the finished floor; edges are not
eased. OBJ has a group for each kind of piece and an object for each piece; STL and PLY have neither.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
import trimesh
from numpy.typing import NDArray
from shapely import Polygon

from preview.export.board_faces import NAMES
from preview.export.exported import told
from preview.floor.laid import LaidFloor
from preview.model.ease import triangles_of
from preview.vectors import following

Length = Literal["mm", "m"]
SCALE: dict[Length, float] = {"mm": 1000.0, "m": 1.0}
DECIMALS: dict[Length, int] = {"mm": 4, "m": 7}
CLEAN = str.maketrans({letter: " " for letter in "\r\n\t"})


def piece_solids(floor: LaidFloor) -> list[tuple[str, trimesh.Trimesh]]:
    """Return every piece of a floor in its room with the name of its kind, metres: x east, y north, z up, the finished
    floor at 0. Of a grille the frame and its bars are one solid, pierced by its slots."""
    pieces, board = floor.layout.pieces, floor.layout.board
    found = []
    for polygon, role in zip(pieces.polygons, pieces.role, strict=True):
        kind = next(name for number, name in NAMES.items() if number == role)
        found += [(kind, _extruded(each, board.thickness)) for each in _parts(polygon, board.gap / 2)]
    return found


def _parts(polygon: Polygon, inset: float) -> Sequence[Polygon]:
    smaller = polygon.buffer(-inset, join_style="mitre") if inset else polygon
    return [each for each in getattr(smaller, "geoms", [smaller]) if not each.is_empty]


def _extruded(polygon: Polygon, thickness: float) -> trimesh.Trimesh:
    """Return the prism over a polygon, with holes or not, from `-thickness` to 0, its faces outwards."""
    polygon = shapely.orient_polygons(polygon)  # outlines anticlockwise, holes clockwise: the wood on their left
    rings = [shapely.get_coordinates(ring)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
    plan = np.concatenate(rings)
    count, number = len(plan), {tuple(point): row for row, point in enumerate(plan)}
    made = triangles_of(polygon)
    top = np.array([[number[tuple(point)] for point in triangle] for triangle in made]).reshape(-1, 3)
    low, sides, start = top[:, ::-1] + count, [], 0
    for ring in rings:
        here = start + np.arange(len(ring))
        after = following(here)
        sides += [np.column_stack([here + count, after + count, after]), np.column_stack([here + count, after, here])]
        start += len(ring)
    vertices = np.vstack([np.column_stack([plan, np.full(count, z)]) for z in (0.0, -thickness)])
    return trimesh.Trimesh(vertices, np.concatenate([top, low, *sides]), process=False)


def solids_file(floor: LaidFloor, form: Literal["obj", "stl", "ply"], length: Length = "mm") -> bytes:
    """Return the solids of a floor as a file, in `length`."""
    solids = piece_solids(floor)
    said = [each.translate(CLEAN) for each in told(floor).values()] + [f"Lengths in {length}; z up, the floor at 0"]
    if form == "obj":
        return _obj(solids, said, length)
    starts = np.cumsum([0, *(len(each.vertices) for _, each in solids)])
    vertices = np.concatenate([each.vertices for _, each in solids]) * SCALE[length]
    faces = np.concatenate([each.faces + start for (_, each), start in zip(solids, starts, strict=False)])
    return (_stl if form == "stl" else _ply)(vertices, faces, said)


def _obj(solids: Sequence[tuple[str, trimesh.Trimesh]], said: Sequence[str], length: Length) -> bytes:
    lines, start, group = [f"# {each}" for each in said], 1, ""
    written = f"v {{:.{DECIMALS[length]}f}} {{:.{DECIMALS[length]}f}} {{:.{DECIMALS[length]}f}}"
    for number, (kind, solid) in enumerate(sorted(solids, key=lambda each: each[0]), 1):
        if kind != group:
            group = kind
            lines.append(f"g {kind.replace(' ', '_')}")
        lines.append(f"o {kind.replace(' ', '_')}_{number}")
        lines += [written.format(*place) for place in solid.vertices * SCALE[length]]
        lines += [f"f {a} {b} {c}" for a, b, c in solid.faces + start]
        start += len(solid.vertices)
    return ("\n".join(lines) + "\n").encode()


def _stl(vertices: NDArray[np.float64], faces: NDArray[np.int64], said: Sequence[str]) -> bytes:
    """Binary STL: a head of 80 bytes, which holds the unit, as the format has no field for it."""
    head = f"{said[-1]}. {said[0]}, {said[1]}".encode("ascii", "replace")[:80].ljust(80)
    corners = vertices[faces].astype("<f4")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    record = np.zeros(len(faces), [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    record["normal"], record["corners"] = normals, corners
    return head + struct.pack("<I", len(faces)) + record.tobytes()


def _ply(vertices: NDArray[np.float64], faces: NDArray[np.int64], said: Sequence[str]) -> bytes:
    head = [
        *("ply", "format binary_little_endian 1.0", *(f"comment {each}" for each in said)),
        *(f"element vertex {len(vertices)}", "property float x", "property float y", "property float z"),
        *(f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header"),
    ]
    record = np.zeros(len(faces), [("count", "u1"), ("corners", "<i4", 3)])
    record["count"], record["corners"] = 3, faces
    return ("\n".join(head) + "\n").encode() + vertices.astype("<f4").tobytes() + record.tobytes()
