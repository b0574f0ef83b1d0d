"""A glTF 2.0 file in its binary form, GLB: arrays, images, materials and nodes in, bytes out.

Khronos Group, "glTF 2.0 Specification", version 2.0.1, chapters 3 (accessors, meshes, materials) and 4 (GLB).
Written here and not by trimesh, which takes neither tangents nor extensions of materials, nor by a binding of the JSON
alone, which would leave all that stands below to be done: alignment, bounds, and the two chunks.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Properties = dict[str, Any]

MAGIC, VERSION, JSON_CHUNK, BINARY_CHUNK = 0x46546C67, 2, 0x4E4F534A, 0x004E4942
VERTICES, INDICES = 34962, 34963  # ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER
COMPONENTS = {"f4": 5126, "u4": 5125, "u2": 5123, "u1": 5121}
SHAPES = {1: "SCALAR", 2: "VEC2", 3: "VEC3", 4: "VEC4"}
LINEAR, SMOOTH, CLAMPED = 9729, 9987, 33071  # magnified; minified, between mipmaps too; beyond the edges


class GltfFile:
    """A file that grows: each `add_...` returns the number by which others name what was added."""

    def __init__(self, extras: Properties) -> None:
        self._binary = bytearray()
        self._lists: dict[str, list[Properties]] = {}
        self._used: set[str] = set()
        self._asset: Properties = {"version": "2.0", "generator": "herringbone-preview", "extras": extras}
        self._roots: list[int] = []

    def add_vertices(self, values: NDArray[Any], normalized: bool = False) -> int:
        """Add an attribute of vertices (n,) or (n, c), float32 or normalised unsigned integers."""
        array = np.ascontiguousarray(values.reshape(len(values), -1))
        return self._accessor(array, VERTICES, {"normalized": True} if normalized else {})

    def add_faces(self, faces: NDArray[Any]) -> int:
        """Add triangles (n, 3) as indices."""
        kind = np.uint16 if faces.max(initial=0) < 65535 else np.uint32  # the last of each means a new strip
        return self._accessor(faces.astype(kind).reshape(-1, 1), INDICES, {})

    def _accessor(self, array: NDArray[Any], target: int, more: Properties) -> int:
        view = self._view(array.astype(array.dtype.newbyteorder("<")).tobytes(), {"target": target})
        found: Properties = {
            "bufferView": view,
            "componentType": COMPONENTS[array.dtype.str[1:]],
            "count": len(array),
            "type": SHAPES[array.shape[1]],
            **more,
        }
        if array.dtype == np.float32:  # asked for of positions, and of no harm elsewhere
            found |= {"min": _plain(array.min(axis=0)), "max": _plain(array.max(axis=0))}
        return self._add("accessors", found)

    def add_texture(self, image: bytes, mime: str, name: str) -> int:
        """Add an image file's bytes, `mime` image/jpeg or image/png, as a texture that is clamped at its edges."""
        if "samplers" not in self._lists:
            self._add("samplers", {"magFilter": LINEAR, "minFilter": SMOOTH, "wrapS": CLAMPED, "wrapT": CLAMPED})
        source = self._add("images", {"bufferView": self._view(image, {}), "mimeType": mime, "name": name})
        return self._add("textures", {"sampler": 0, "source": source})

    def add_material(self, material: Properties) -> int:
        """Add a material as the specification has it; its extensions count as used."""
        self._used |= set(material.get("extensions", {}))
        return self._add("materials", material)

    def add_mesh(self, name: str, primitives: Sequence[Properties]) -> int:
        """Add a mesh of primitives: `attributes` by name, `indices`, `material`."""
        return self._add("meshes", {"name": name, "primitives": list(primitives)})

    def add_node(self, name: str, mesh: int | None = None, children: Sequence[int] = (), root: bool = False) -> int:
        """Add a node with a mesh, with nodes below it, or both; a `root` stands in the scene itself."""
        node: Properties = {"name": name}
        if mesh is not None:
            node["mesh"] = mesh
        if children:
            node["children"] = list(children)
        number = self._add("nodes", node)
        if root:
            self._roots.append(number)
        return number

    def to_bytes(self) -> bytes:
        """Return the file."""
        document: Mapping[str, Any] = {
            "asset": self._asset,
            **({"extensionsUsed": sorted(self._used)} if self._used else {}),
            "scene": 0,
            "scenes": [{"nodes": self._roots}],
            **self._lists,
            "buffers": [{"byteLength": len(self._binary)}],
        }
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()
        text += b" " * (-len(text) % 4)
        self._align()
        total = 12 + 8 + len(text) + 8 + len(self._binary)
        return b"".join(
            [
                struct.pack("<III", MAGIC, VERSION, total),
                struct.pack("<II", len(text), JSON_CHUNK),
                text,
                struct.pack("<II", len(self._binary), BINARY_CHUNK),
                self._binary,
            ]
        )

    def _view(self, data: bytes, more: Properties) -> int:
        self._align()
        start = len(self._binary)
        self._binary += data
        return self._add("bufferViews", {"buffer": 0, "byteOffset": start, "byteLength": len(data), **more})

    def _align(self) -> None:
        self._binary += b"\0" * (-len(self._binary) % 4)

    def _add(self, kind: str, value: Properties) -> int:
        self._lists.setdefault(kind, []).append(value)
        return len(self._lists[kind]) - 1


def _plain(values: NDArray[np.float32]) -> list[float]:
    return [float(each) for each in values]
