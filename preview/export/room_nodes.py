"""The room round a floor in a file: its parts under a node for what they are."""

from __future__ import annotations

from collections.abc import Callable

from preview.export.exported import upright
from preview.export.gltf_file import GltfFile, Properties
from preview.model.model import Model, Part, Surface

GROUPS: dict[Surface, str] = {
    "wall": "walls",
    "ceiling": "ceiling",
    "trim": "trim",
    "stone": "stone",
    "cabinet": "cabinets",
    "grille": "metal",
    "duct": "ducts",
    "subfloor": "subfloor",
    "outside": "outside",
    "glass": "glass",
}


def parts_by_group(model: Model) -> dict[str, list[Part]]:
    """Return a room's parts by the name of their group, in the order of `GROUPS`."""
    found = {name: [each for each in model.parts if each.surface == kind] for kind, name in GROUPS.items()}
    return {name: [each for each in parts if len(each.faces)] for name, parts in found.items() if parts}


def add_room(file: GltfFile, model: Model, painted: Callable[[Part], Properties]) -> list[int]:
    """Add a room's parts to a file; return the numbers of the groups' nodes.

    painted: gives a part its `material`, and `attributes` of its vertices besides place and normal.
    """
    return [
        file.add_node(group, children=[_add_part(file, part, painted(part)) for part in parts])
        for group, parts in parts_by_group(model).items()
    ]


def _add_part(file: GltfFile, part: Part, paint: Properties) -> int:
    attributes = {
        "POSITION": file.add_vertices(upright(part.vertices)),
        "NORMAL": file.add_vertices(upright(part.normals)),
        **paint.get("attributes", {}),
    }
    primitive = {"attributes": attributes, "indices": file.add_faces(part.faces), "material": paint["material"]}
    return file.add_node(part.name, file.add_mesh(part.name, [primitive]))
