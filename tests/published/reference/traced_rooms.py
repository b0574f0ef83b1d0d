"""The rooms whose finished pictures are held against a path tracer's, and their export as arrays.

Both sides see what a customer's picture shows: the wood with its fibres under its coat, boards that lie a little
unlevel, eased and hairline joints, glass, sky, sun. The rooms of TUNED may be tuned on; by those of HELD_OUT no
constant is chosen (what they showed to be against physics was mended). Their scenes lie beside this file, as they were
when they were traced.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.floor.laid import LaidFloor
from preview.light.coat import coat_of
from preview.light.result.lighting import Lighting
from preview.model.model import FloorMesh, Model
from preview.picture.floor_faces import board_number
from preview.picture.highlights import hold_highlights
from preview.picture.light_uniforms import cubic_of
from preview.picture.picture import Picture
from preview.picture.shared import FIBRE_BYTES, LEVEL_FIBRE, STEEPEST
from preview.picture.tone import to_bytes
from preview.picture.uploads import FIBRE_SHARE, HAIRLINE
from preview.picture.view.camera import Camera
from preview.scene.read import load_scene
from preview.session import draw_floors
from preview.session.pipeline import Pipeline
from preview.steps import eye_cameras, lay_jobs
from preview.wood.boards import Boards

SCENES = Path(__file__).resolve().parent
SIZE = (400, 250)
FINER = 4  # 1600x1000, as `render` draws by default
TUNED = ("dining-room", "kitchen", "hall")
HELD_OUT = ("columns", "sunny", "gloss", "tee", "passage")
SUNNY = ("sunny",)  # of those, with the sun in them
MOST_VIEWS = 3
CLEAR = 0.15  # metres past the plane of the opening one looks through, which is a light there
UNSEEN = ("glass", "outside")
LIFT = 3e-5  # metres that a hairline is drawn over the eased edge it lies on

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class TracedRoom:
    """A scene's base floor with its boards, its model and its light as the program draws them at `size`."""

    name: str
    floor: LaidFloor
    cameras: list[Camera]
    boards: Boards
    model: Model
    lighting: Lighting
    exposure: Array

    def pictures(self, finer: int = FINER) -> list[Picture]:
        """Return the pictures in the order of `cameras`: drawn `finer` times as large, and brought down to their size
        by the mean light of each pixel, which is what a tracer's pixel is."""
        width, height = self.cameras[0].size
        names = [each.name for each in self.cameras]
        drawn = draw_floors([self.floor], names, (finer * width, finer * height))
        return [self._smaller(each.picture, camera, finer) for each, camera in zip(drawn, self.cameras, strict=True)]

    def _smaller(self, picture: Picture, camera: Camera, finer: int) -> Picture:
        width, height = camera.size
        radiance = picture.hdr.reshape(height, finer, width, finer, 3).mean(axis=(1, 3))
        depth = picture.depth.reshape(height, finer, width, finer)
        middle = np.where((depth > 0).all(axis=(1, 3)), depth.mean(axis=(1, 3)), 0)
        exposed = (radiance * self.exposure).astype(np.float32)
        return replace(picture, camera=camera, rgb=to_bytes(hold_highlights(exposed)), hdr=radiance, depth=middle)


@cache
def traced_room(name: str, size: tuple[int, int] = SIZE) -> TracedRoom:
    floor = lay_jobs([load_scene(SCENES / f"{name}.toml")[0]])[0]
    cameras = eye_cameras(floor, size)[:MOST_VIEWS]
    ready = Pipeline().lit(floor, floor, cameras)
    return TracedRoom(name, floor, cameras, ready.boards, ready.model, ready.lighting, ready.exposure)


def export(room: TracedRoom) -> dict[str, Any]:
    """Return all that a path tracer needs, as arrays by name: see trace_rooms.py."""
    arrays = _shell(room.model) | _floor(room) | _light(room) | _cameras(room)
    arrays |= {f"wood.{name}": np.array(value) for name, value in wood_constants().items()}
    finishes = room.boards.finishes
    arrays["coat.alpha"] = np.array([each.roughness for each in finishes])
    arrays["coat.ior"] = np.array([each.ior for each in finishes])
    coats = [coat_of(each.roughness, each.ior) for each in finishes]
    arrays["coat.passes"] = np.array([cubic_of(each) for each in coats])
    arrays["coat.mean_passed"] = np.full(len(coats), coats[0].mean_passed)
    return arrays


def wood_constants() -> dict[str, float]:
    """Return the constants of the wood's reflection as the shader has them."""
    shader = (Path(__file__).parents[3] / "preview/picture/shaders/floor.frag").read_text(encoding="utf-8")
    found = dict(re.findall(r"^const float (\w+) = ([\d.e-]+);", shader, re.MULTILINE))
    names = ("FIBRE_WIDTH", "FIBRE_LEAN", "MEAN_RETURN", "PORE_OPEN", "UNEVEN", "GAP_LIGHT")
    own = {name.lower(): float(found[name]) for name in names}
    steep = STEEPEST / FIBRE_BYTES
    return own | {"fibre_share": FIBRE_SHARE, "level_fibre": float(LEVEL_FIBRE), "steep": float(steep)}


def _shell(model: Model) -> dict[str, Any]:
    arrays: dict[str, Any] = {}
    for number, part in enumerate(each for each in model.parts if each.surface not in UNSEEN and len(each.faces)):
        arrays[f"part{number}.vertices"] = part.vertices
        arrays[f"part{number}.faces"] = part.faces
        arrays[f"part{number}.reflectance"] = np.array(part.albedo) * (1 - part.sheen) + part.sheen
    return arrays


def _floor(room: TracedRoom) -> dict[str, Any]:
    """The boards by texture page and coat, with all that the wood's reflection takes by the vertex."""
    arrays: dict[str, Any] = {}
    boards = room.boards
    for number, page in enumerate(boards.pages):
        arrays[f"page{number}"] = page
        if boards.grain:
            arrays[f"grain{number}"] = boards.grain[number]
    for number, mesh in enumerate(room.model.floor):
        coat = np.rint(mesh.coat[mesh.faces[:, 0]]).astype(int)
        own = board_number(mesh.piece)
        turned = np.ones((len(own), 2)) if mesh.turned is None else mesh.turned
        tilt = wood_constants()["uneven"] * (2 * np.mod(own[:, None] * (7919.0, 1237.0), 1) - 1)
        normals = mesh.normals.astype(float)
        normals[:, :2] += tilt
        for kind in np.unique(coat):
            rows, faces = np.unique(mesh.faces[coat == kind], return_inverse=True)
            name = f"floor{number}_{kind}"
            arrays[f"{name}.vertices"] = mesh.vertices[rows]
            arrays[f"{name}.normals"] = normals[rows].astype(np.float32)
            arrays[f"{name}.faces"] = faces.reshape(-1, 3).astype(np.int32)
            arrays[f"{name}.uv"] = mesh.uv[rows]
            arrays[f"{name}.tint"] = mesh.tint[rows]
            grain = np.column_stack([mesh.grain * turned[:, :1], own * turned.prod(axis=1)])
            arrays[f"{name}.grain"] = grain[rows].astype(np.float32)
    hairlines = [_hairlines(each) for each in room.model.floor if each.outline is not None]
    if hairlines:
        arrays["hairline.vertices"] = np.concatenate(hairlines).reshape(-1, 3).astype(np.float32)
    return arrays


def _hairlines(mesh: FloorMesh) -> Array:
    """The dark of tight joints: along each edge a strip (k, 4, 3) as wide as half of it, on the eased edge."""
    outline = mesh.outline
    low = mesh.vertices[outline.corner].astype(float)
    after = low[outline.after]
    along = after - low
    inward = np.column_stack([-along[:, 1], along[:, 0], np.zeros(len(along))])
    inward *= HAIRLINE / np.maximum(np.linalg.norm(inward, axis=1, keepdims=True), 1e-9)
    up = inward + np.array([0, 0, HAIRLINE])
    lift = np.array([0, 0, LIFT])
    return np.stack([low + lift, after + lift, after + up + lift, low + up + lift], axis=1)


def _light(room: TracedRoom) -> dict[str, Any]:
    lighting = room.lighting
    glazed = {each.name: each.glazed for each in room.model.panes}
    arrays: dict[str, Any] = {}
    for number, each in enumerate(lighting.emitters):
        kind = "pane" if glazed[each.name] else "curtain"
        arrays[f"{kind}{number}.corners"] = each.corners
        arrays[f"{kind}{number}.radiance"] = each.radiance
        if lighting.sun is not None:
            beams = [beam.irradiance for beam in lighting.sun.beams if beam.name == each.name]
            arrays[f"{kind}{number}.sun"] = beams[0] if beams else np.zeros(3, np.float32)
    arrays["outside.radiance"] = lighting.outside.radiance
    arrays["outside.glass"] = lighting.outside.glass
    if lighting.sun is not None:
        arrays["sun.direction"], arrays["sun.radius"] = lighting.sun.direction, np.array(lighting.sun.radius)
    return arrays


def _cameras(room: TracedRoom) -> dict[str, Any]:
    cameras = room.cameras
    size = cameras[0].size
    return {
        "view.camera": np.array([[each.position, each.target, each.up] for each in cameras]),
        "view.fov": np.array([each.fov for each in cameras]),
        "view.shift": np.array([each.shift for each in cameras]) / [[each.pixel] for each in cameras] / size,
        "view.near": np.array([nearest(each, room) for each in cameras]),
        "view.size": np.array(size),
    }


def nearest(camera: Camera, room: TracedRoom) -> float:
    """Return the distance from an eye at which a picture begins: past the opening behind which it stands."""
    from shapely import Point

    eye = camera.position[:2]
    if room.floor.room.outline.contains(Point(*eye)):
        return CLEAR
    behind = [float((each.middle - eye) @ each.inward) for each in room.floor.room.openings if each.passable]
    return CLEAR + max([0.0, *(each for each in behind if each < 3)])
