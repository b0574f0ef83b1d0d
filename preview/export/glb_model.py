"""A floor and its room as GLB: the boards' own textures and tints, left to a viewer to light.

Textures are JPEG, which every viewer reads; WebP and KTX2 need extensions that some lack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.export.backings import Backing, backings
from preview.export.baked_light import BakedLight, LitPart
from preview.export.board_faces import BoardFaces, Windows, board_faces
from preview.export.exported import LitModel, ModelFile, named, told, upright
from preview.export.finish_material import finish_material, plain_finish_material, unlit_material
from preview.export.gltf_file import GltfFile, Properties
from preview.export.room_nodes import add_room
from preview.floor.laid import LaidFloor
from preview.model.model import Model, Part
from preview.png import encode_jpeg
from preview.wood.boards import Boards
from preview.wood.seasons import drawn_in_season

JPEG = "image/jpeg"
PAINT_ROUGHNESS = 0.9  # matt, as part.frag has it
FULL = 65535


def glb_model(floor: LaidFloor, boards: Boards, model: Model, floor_only: bool = False) -> ModelFile:
    """Return the file: nodes by what things are, boards with clear coat and tangents along them.

    floor_only: whether the room round the floor is left out, and the next rooms' floors.
    """
    file = GltfFile(dict(told(floor)))
    layout, _ = drawn_in_season(floor.layout, floor.job)
    faces = board_faces(layout, Windows.of(boards), model.floor, beyond=not floor_only)
    images = _BoardImages(file, boards, faces)
    under = [(each, _finished_backing(file, each, boards)) for each in backings(layout, boards, beyond=not floor_only)]
    nodes = _floor_nodes(file, faces, images, under)
    if not floor_only:
        nodes += add_room(file, model, _PaintedParts(file))
    file.add_node(named(floor), children=nodes, root=True)
    return ModelFile(file.to_bytes(), tuple(images.sizes), boards.density)


def lit_glb_model(floor: LaidFloor, lit: LitModel, floor_only: bool = False) -> ModelFile:
    """Return the same with colours in which the light is, and that no viewer is to light."""
    file = GltfFile(dict(told(floor)))
    layout, _ = drawn_in_season(floor.layout, floor.job)
    both = (layout.pieces, layout.beyond)
    grain, origin = (np.concatenate([getattr(each, name) for each in both]) for name in ("grain", "origin"))
    faces = board_faces(layout, lit.sheets.windows(grain, origin), lit.model.floor, beyond=not floor_only)
    images = _LitImages(file, lit)
    under = [
        (each, images.under(cut, page))
        for each in backings(layout, lit.boards, beyond=not floor_only)
        for page, cut in lit.sheets.cut(each.positions)
    ]
    nodes = _floor_nodes(file, faces, images, under)
    if not floor_only:
        painter = _LitParts(file, lit.light)
        nodes += add_room(file, painter.cut(lit.model), painter)
        nodes += painter.windows()
    file.add_node(named(floor), children=nodes, root=True)
    return ModelFile(file.to_bytes(), tuple(images.sizes), lit.sheets.density)


def _floor_nodes(
    file: GltfFile,
    faces: Sequence[BoardFaces],
    images: _BoardImages | _LitImages,
    under: Sequence[tuple[Backing, Properties]],
) -> list[int]:
    """Add a node for each kind of boards with what lies under them; return their numbers."""
    nodes = []
    for name in dict.fromkeys(each.name for each in faces):
        primitives = [images.primitive(each) for each in faces if each.name == name]
        primitives += [primitive for backing, primitive in under if backing.name == name]
        nodes.append(file.add_node(name, file.add_mesh(name, primitives)))
    return nodes


def _finished_backing(file: GltfFile, backing: Backing, boards: Boards) -> Properties:
    finish = boards.finishes[backing.wood]
    material = plain_finish_material(finish, f"under {backing.name}, {finish.name}", backing.albedo)
    up = np.tile(np.array([0, 1, 0], np.float32), (len(backing.positions), 1))
    return {
        "attributes": {"POSITION": file.add_vertices(upright(backing.positions)), "NORMAL": file.add_vertices(up)},
        "indices": file.add_faces(backing.faces),
        "material": file.add_material(material),
    }


class _BoardImages:
    """The pages of boards in a file, each with its material.

    A tint is a factor about 1, but a colour of a vertex is at most 1: so each page is brightened by the strongest tint
    on it, and the colours are tints over that. Where a page's brightest wood would be more than white, it stays white.
    """

    def __init__(self, file: GltfFile, boards: Boards, faces: Sequence[BoardFaces]) -> None:
        self._file = file
        self.sizes: list[tuple[int, int, int]] = []
        self._material: dict[int, int] = {}
        self._strongest: dict[int, float] = {}
        for page in dict.fromkeys(each.page for each in faces):
            own = [each for each in faces if each.page == page]
            most = max(float(each.tint.max()) for each in own)
            image = encode_jpeg(Image.fromarray(_brightened(boards.pages[page][..., :3], most)))
            height, width = boards.pages[page].shape[:2]
            self.sizes.append((width, height, len(image)))
            texture = file.add_texture(image, JPEG, f"{own[0].name} wood")
            finish = boards.finishes[own[0].wood]
            self._strongest[page] = most
            made = finish_material(finish, f"{own[0].name}, {finish.name}", texture)
            self._material[page] = file.add_material(made)

    def primitive(self, faces: BoardFaces) -> Properties:
        """Add faces; return them as a primitive of a mesh."""
        # The bitangent is w (normal x tangent); it points to where v falls, as the specification's normal maps do.
        hand = np.where(faces.mirrored, 1.0, -1.0).astype(np.float32)[:, None]
        more = {"TANGENT": self._file.add_vertices(np.hstack([upright(faces.along), hand]))}
        colours = faces.tint / self._strongest[faces.page]
        return _primitive(self._file, faces, colours, self._material[faces.page], more)


class _LitImages:
    """The pages of a lit floor in a file, each with its material."""

    def __init__(self, file: GltfFile, lit: LitModel) -> None:
        self._file, self._lit = file, lit
        self.sizes: list[tuple[int, int, int]] = []
        self._material: list[int] = []
        for page in lit.pages:
            image, name = encode_jpeg(Image.fromarray(page)), f"floor {len(self._material) + 1}"
            self.sizes.append((page.shape[1], page.shape[0], len(image)))
            self._material.append(file.add_material(unlit_material(name, file.add_texture(image, JPEG, name))))

    def primitive(self, faces: BoardFaces) -> Properties:
        """Add faces; return them as a primitive of a mesh. What is darker than the page, in joints and slots, is so
        before it is exposed: in sunshine there is less of it to be seen."""
        albedo, plan = np.asarray(self._lit.boards.mean_albedo, float), faces.positions[:, :2].astype(float)
        colours = faces.tint.astype(float)
        dark = (colours < 1).any(axis=1)
        whole, less = (self._lit.light.floor(albedo * each, plan[dark]) for each in (1.0, colours[dark]))
        colours[dark] = np.minimum(less / np.maximum(whole, 1e-6), 1)
        return _primitive(self._file, faces, colours, self._material[faces.page], {})

    def under(self, corners: NDArray[np.float32], page: int) -> Properties:
        """Add what lies under boards, triangles with corners (3 t, 3) one after another, as their page shows them."""
        sheet = self._lit.sheets.sheets[page]
        uv = sheet.pixels(corners[:, :2].astype(float)) / sheet.size
        up = np.tile(np.array([0, 1, 0], np.float32), (len(corners), 1))
        return {
            "attributes": {
                "POSITION": self._file.add_vertices(upright(corners)),
                "NORMAL": self._file.add_vertices(up),
                "TEXCOORD_0": self._file.add_vertices(uv.astype(np.float32)),
            },
            "indices": self._file.add_faces(np.arange(len(corners)).reshape(-1, 3)),
            "material": self._material[page],
        }


def _primitive(
    file: GltfFile, faces: BoardFaces, colours: NDArray[np.floating], material: int, more: Properties
) -> Properties:
    return {
        "attributes": {
            "POSITION": file.add_vertices(upright(faces.positions)),
            "NORMAL": file.add_vertices(upright(faces.normals)),
            "TEXCOORD_0": file.add_vertices(faces.uv),
            "COLOR_0": _colours(file, colours),
            **more,
        },
        "indices": file.add_faces(faces.faces),
        "material": material,
    }


def _colours(file: GltfFile, colours: NDArray[np.floating]) -> int:
    """Add linear colours (n, 3) in 0..1 of vertices."""
    whole = np.full((len(colours), 4), FULL, np.uint16)
    whole[:, :3] = np.rint(colours * FULL)
    return file.add_vertices(whole, normalized=True)


def _brightened(page: NDArray[np.uint8], factor: float) -> NDArray[np.uint8]:
    """Return a page (h, w, 3) of sRGB with its light times a factor."""
    light = srgb_to_linear(np.arange(256) / 255) * factor
    table = np.rint(linear_to_srgb(np.minimum(light, 1)) * 255).astype(np.uint8)
    return table[page]


class _PaintedParts:
    """The materials of a room's surfaces, one for each colour."""

    def __init__(self, file: GltfFile) -> None:
        self._file = file
        self._known: dict[object, int] = {}

    def __call__(self, part: Part) -> Properties:
        key = (part.surface, part.albedo)
        if key not in self._known:
            red, green, blue = (float(each) for each in part.albedo)
            self._known[key] = self._file.add_material(
                {
                    "name": part.surface,
                    "pbrMetallicRoughness": {
                        "baseColorFactor": [red, green, blue, 1.0],
                        "metallicFactor": 0.0,
                        "roughnessFactor": PAINT_ROUGHNESS,
                    },
                }
            )
        return {"material": self._known[key]}


class _LitParts:
    """The room's surfaces with their light in the colours of their corners, one material for all."""

    def __init__(self, file: GltfFile, light: BakedLight) -> None:
        self._file, self._light = file, light
        self._lit: dict[str, LitPart] = {}
        self._material = file.add_material(unlit_material("lit"))

    def cut(self, model: Model) -> Model:
        """Return a model whose parts are cut as their light needs it."""
        self._lit = {each.name: self._light.part(each) for each in model.parts}
        parts = [
            replace(each, vertices=lit.vertices, normals=lit.normals, faces=lit.faces)
            for each in model.parts
            for lit in [self._lit[each.name]]
        ]
        return replace(model, parts=tuple(parts))

    def __call__(self, part: Part) -> Properties:
        return {
            "material": self._material,
            "attributes": {"COLOR_0": _colours(self._file, self._lit[part.name].colours)},
        }

    def windows(self) -> list[int]:
        """Add the panes under a node of their own; return its number, none where there are none."""
        file = self._file
        panes = [
            {
                "attributes": {
                    "POSITION": file.add_vertices(upright(each.vertices)),
                    "NORMAL": file.add_vertices(upright(each.normals)),
                    "COLOR_0": _colours(file, each.colours),
                },
                "indices": file.add_faces(each.faces),
                "material": self._material,
            }
            for each in self._light.panes()
        ]
        return [file.add_node("panes", file.add_mesh("panes", panes))] if panes else []
