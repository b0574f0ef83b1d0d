"""The lit rooms and viewpoints whose finished pictures are held against a path tracer's, and their export as arrays.

Both sides see the same: open holes for windows under the traditional overcast sky, the shell matt, the floor's wood
diffuse under a clear coat, no fibre highlight. Two demo scenes as they were when they were traced, whose files lie
beside this one, three viewpoints each, level and shifted, none of which looks into a next room.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from shapely import Point

from preview.floor.laid import LaidFloor
from preview.light.bake import choose_sky, light_room
from preview.light.geometry.ray_tracing import Tracer
from preview.light.result.lighting import Lighting
from preview.light.sources.glass import Glazing
from preview.light.sources.sky import Sky
from preview.model.build import build_model
from preview.model.model import Model
from preview.picture import camera_for, exposure_for
from preview.picture.view.camera import Camera
from preview.scene.job import Job, Target, Viewpoint
from preview.scene.read import load_scene
from preview.steps import lay_jobs
from preview.wood.boards import Boards, cut_boards

SCENES = Path(__file__).resolve().parent
SIZE = (400, 250)
CLEAR = 0.15  # metres past the plane of the opening one looks through, which is a light there
SHEEN = 0.04  # the shell's surface reflects this share before its paint does, as the picture draws it
SHEENLESS = ("duct", "subfloor")
UNSEEN = ("glass", "outside")
PLAN_PIXEL = 0.002  # metres, of the floor's colours seen from above; they are then halved


def _standing(name: str, at: tuple[float, float], look: tuple[float, float]) -> Viewpoint:
    stand, aim = (Target("point", point=(*each, None)) for each in (at, look))
    return Viewpoint(name, "eye", stand, 1.6, aim, float(np.radians(60)))


VIEWS = {
    "dining-room": _standing("towards the west windows", (4.1, 0.6), (1.2, 3.4)),
    "kitchen": _standing("past the island", (6.0, 0.6), (2.6, 1.1)),
}


@dataclass(frozen=True, eq=False)
class LitRoom:
    """A scene's base floor, lit through open holes."""

    name: str
    floor: LaidFloor
    boards: Boards
    model: Model

    @property
    def job(self) -> Job:
        return self.floor.job

    @cached_property
    def sky(self) -> Sky:
        return choose_sky(self.job.light, self.floor.room.north)

    @cached_property
    def lighting(self) -> Lighting:
        return light_room(self.model, self.floor.room, self.job.light, Glazing(panes=0))

    @cached_property
    def exposure(self) -> float:
        return exposure_for(self.lighting, "auto", self.model.floor_albedo)

    def cameras(self, size: tuple[int, int] = SIZE) -> list[Camera]:
        """Return the scene's own perspective viewpoints and the one of VIEWS."""
        views = [each for each in self.job.viewpoints if each.kind != "plan"] + [VIEWS[self.name]]
        return [camera_for(each, self.floor.room, size) for each in views]


def lit_room(name: str, finest: float | None = None) -> LitRoom:
    """Return a scene's base floor, its boards drawn at up to `finest` pixels a metre (see `cut_boards`)."""
    job = load_scene(SCENES / f"{name}.toml")[0]
    floor = lay_jobs([job])[0]
    boards = cut_boards(floor.layout, job.wood, job.border_wood, finest=finest)
    return LitRoom(name, floor, boards, build_model(floor.room, floor.layout, boards))


def export(room: LitRoom, size: tuple[int, int] = SIZE) -> dict[str, Any]:
    """Return all that a path tracer needs, as arrays by name: see trace_pictures.py."""
    arrays: dict[str, Any] = {}
    for number, part in enumerate(each for each in room.model.parts if each.surface not in UNSEEN and len(each.faces)):
        sheen = 0.0 if part.surface in SHEENLESS else SHEEN
        arrays[f"part{number}.vertices"] = part.vertices
        arrays[f"part{number}.faces"] = part.faces
        arrays[f"part{number}.reflectance"] = np.array(part.albedo) * (1 - sheen) + sheen
    origin, image = plan_colours(room)
    extent = np.array([image.shape[1], image.shape[0]]) * 2 * PLAN_PIXEL
    for coat in (0, 1):
        for number, mesh in enumerate(room.model.floor):
            faces = mesh.faces[(mesh.coat[mesh.faces] > 0.5).all(axis=1) == bool(coat)]
            if len(faces):
                place = (mesh.vertices[:, :2] - origin) / extent
                arrays[f"floor{coat}{number}.vertices"] = mesh.vertices
                arrays[f"floor{coat}{number}.faces"] = faces
                arrays[f"floor{coat}{number}.uv"] = place.astype(np.float32)
    arrays["colours"] = image.astype(np.float16)
    finishes = (room.boards.finish, room.boards.border_finish)
    arrays["roughness"] = np.array([each.roughness for each in finishes])
    arrays["ior"] = np.array([each.ior for each in finishes])
    height = np.cos((np.arange(1024) + 0.5) / 1024 * np.pi)
    way = np.stack([np.sqrt(1 - height**2), 0 * height, height], axis=-1)
    arrays["sky"] = room.sky.radiance(way).astype(np.float32)
    glazed = {each.name: each.glazed for each in room.model.panes}
    for number, each in enumerate(room.lighting.emitters):
        kind = "pane" if glazed[each.name] else "curtain"
        arrays[f"{kind}{number}.corners"] = each.corners
        arrays[f"{kind}{number}.radiance"] = each.radiance
    arrays["zenith"], arrays["ground"] = room.sky.zenith, room.sky.ground
    cameras = room.cameras(size)
    arrays["camera"] = np.array([[each.position, each.target, each.up] for each in cameras])
    arrays["fov"] = np.array([each.fov for each in cameras])
    arrays["shift"] = np.array([each.shift for each in cameras]) / [[each.pixel] for each in cameras] / size
    arrays["near"] = np.array([_nearest(each.position, room) for each in cameras])
    arrays["size"] = np.array(size)
    return arrays


def _nearest(eye: np.ndarray, room: LitRoom) -> float:
    """Return the distance from an eye (3,) at which a picture begins: past the opening behind which it stands."""
    behind = [
        float((each.middle - eye[:2]) @ each.inward)
        for each in room.floor.room.openings
        if each.passable and not room.floor.room.outline.contains(Point(*eye[:2]))
    ]
    return CLEAR + max([0.0, *(each for each in behind if each < 3)])


def plan_colours(room: LitRoom) -> tuple[np.ndarray, np.ndarray]:
    """Return the origin (2,) and the linear colours (h, w, 3) of the floor seen from straight above, row 0 at least y.

    A texture page at every point, times the board's tint, box filtered to pixels of 2 PLAN_PIXEL.
    """
    meshes = room.model.floor
    triangles = np.concatenate([mesh.vertices[mesh.faces] for mesh in meshes])
    owner = np.repeat(np.arange(len(meshes)), [len(mesh.faces) for mesh in meshes])
    uv = np.concatenate([mesh.uv[mesh.faces] for mesh in meshes])
    tint = np.concatenate([mesh.tint[mesh.faces[:, 0]] for mesh in meshes])
    low, high = triangles[..., :2].min(axis=(0, 1)), triangles[..., :2].max(axis=(0, 1))
    across, down = (2 * np.ceil((high - low) / (2 * PLAN_PIXEL))).astype(int)
    tracer = Tracer(triangles)
    pages = [_decoded(page[..., :3]) for page in room.boards.pages]
    image = np.zeros((down // 2, across // 2, 3), np.float32)
    x = low[0] + (np.arange(across) + 0.5) * PLAN_PIXEL
    for row in range(0, down, 2):
        y = low[1] + (row + np.array([0.5, 1.5])) * PLAN_PIXEL
        place = np.stack([*(each.ravel() for each in np.meshgrid(x, y)), np.ones(2 * across)], axis=-1)
        hits = tracer.first(place, np.tile([0.0, 0.0, -1.0], (len(place), 1)))
        found = np.flatnonzero(hits.triangle >= 0)
        triangle, u, v = hits.triangle[found], hits.u[found], hits.v[found]
        weight = np.stack([1 - u - v, u, v], axis=-1)
        at = np.einsum("nk,nkc->nc", weight, uv[triangle])
        colour = np.zeros((len(place), 3), np.float32)
        for number, mesh in enumerate(meshes):
            own = owner[triangle] == number
            colour[found[own]] = _bilinear(pages[mesh.page], at[own]) * tint[triangle[own]]
        many = np.zeros(len(place), np.float32)
        many[found] = 1
        sums = colour.reshape(2, across // 2, 2, 3).sum(axis=(0, 2))
        count = many.reshape(2, across // 2, 2).sum(axis=(0, 2))
        image[row // 2] = sums / np.maximum(count, 1)[:, None]
    return low, image


def _decoded(page: np.ndarray) -> np.ndarray:
    """Return a page of sRGB bytes as linear values (IEC 61966-2-1:1999)."""
    coded = np.arange(256) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return linear.astype(np.float32)[page]


def _bilinear(page: np.ndarray, uv: np.ndarray) -> np.ndarray:
    height, width = page.shape[:2]
    x, y = np.clip(uv[:, 0] * width - 0.5, 0, width - 1.001), np.clip(uv[:, 1] * height - 0.5, 0, height - 1.001)
    column, row = x.astype(int), y.astype(int)
    right, down = (x - column)[:, None], (y - row)[:, None]
    top = page[row, column] * (1 - right) + page[row, column + 1] * right
    low = page[row + 1, column] * (1 - right) + page[row + 1, column + 1] * right
    return top * (1 - down) + low * down
