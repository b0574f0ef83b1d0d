"""Drawing: one upload of a model, then as many pictures as are wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import closing, contextmanager
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.errors import RenderError
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.device.arrays import Arrays
from preview.picture.device.gl_platform import choose_platform, missing_library
from preview.picture.floor_faces import floor_surfaces, line_width
from preview.picture.picture import Picture
from preview.picture.reflection.reflection_atlas import build_reflection_atlas
from preview.picture.sun.shadow_map import ShadowMapView, shadow_map_view
from preview.picture.surfaces import light_uniforms, pane_surfaces, part_surfaces
from preview.picture.tone import to_bytes
from preview.picture.view.camera import Camera
from preview.wood.boards import Boards
from preview.wood.strip import LEVEL_FIBRE

SAMPLES = 4  # multisamples a pixel; what Mesa's software driver offers
SCALE = 1  # and each pixel is drawn as so many each way of those
TILE = 2_400_000  # pixels drawn at once; with samples, and colour and depth, some 60 bytes each
NEAR = 0.05  # metres before the eye
EVENNESS = 0.92  # share of a plan's light that is the same everywhere, so that the floor reads from edge to edge
FIBRE_SHARE = 0.33  # of the wood's reflection that the fibres carry; by eye, until measured
HAIRLINE = 0.0002  # metres: half of what is dark of a tight joint, where dust and finish gather; by eye
PAPER = (250, 249, 247)  # sRGB bytes round a plan

ROUND = 0.3  # metres
OVERSCAN = 0.12  # of the picture's sides, drawn round it for reflections
COAT_PIXELS = 180_000  # of what a coat mirrors, of the picture proper; each as large as a picture's pixel or larger
HALVES = 32  # the sides of what is drawn for reflections are multiples of this: every driver halves them alike

Array = NDArray[np.float64]
Box = tuple[int, int, int, int]


@contextmanager
def open_engine(
    model: Model, boards: Boards, lighting: Lighting, tile: int | None = None, fibre: bool = True
) -> Iterator[Engine]:
    """Upload a lit model and yield the `Engine` that draws it; give everything back at the end.

    Args:
        model, boards, lighting: what is drawn.
        tile: how many pixels are drawn at once, by default `TILE`; larger pictures are put together of tiles.
        fibre: whether wood has its fibre highlight; without it, it is matt under its coat, boards lie level and
            tight, and stone is of one colour: what a path tracer can be given.

    Raises:
        RenderError: OpenGL is missing or does not start.
    """
    parts = _load_engine()
    with (
        closing(parts.Context()) as context,
        closing(Engine(parts, context, model, boards, lighting, tile or TILE, fibre)) as engine,
    ):
        yield engine


def check_drawing() -> None:
    """Raise RenderError where OpenGL is missing or does not start, before anything slow is done for a picture."""
    _load_engine().Context().close()


def _load_engine() -> ModuleType:
    choose_platform()
    try:
        from preview.picture.device import engine
    except (
        ImportError,
        OSError,
        AttributeError,
        TypeError,
    ) as problem:  # PyOpenGL without its library fails in all these ways
        raise missing_library(problem) from None
    return engine


class Engine:
    """A model on the graphics device. Made by `open_engine`."""

    def __init__(
        self,
        parts: ModuleType,
        context: Any,  # noqa: ANN401
        model: Model,
        boards: Boards,
        lighting: Lighting,
        tile: int,
        fibre: bool,
    ) -> None:
        self._parts, self._context = parts, context
        self.renderer_name: str = self._context.renderer()
        self._renderer = parts.FloatRenderer(SAMPLES, SCALE)
        self._tile, self._longest = tile, parts.largest_side() // SCALE
        self._uniforms, maps = light_uniforms(model, boards, lighting)
        groove, gap = line_width(model)
        self._uniforms |= {
            "fibre_share": FIBRE_SHARE if fibre else 0.0,
            "bevel": groove,
            "gap": max(gap, HAIRLINE * fibre),
        }
        self._uniforms["stone_clouds"] = float(fibre)
        self._maps = {name: parts.ImageTexture(image) for name, image in maps.items()}
        self._scene = parts.pyrender.Scene(bg_color=[0, 0, 0, 0])
        images = [parts.ImageTexture(page) for page in boards.pages]
        level = np.full((8, 8, 3), LEVEL_FIBRE, np.uint8)
        grains = [parts.ImageTexture(each, coded=False) for each in boards.grain or [level] * len(images)]
        floors = [
            self._add("floor.frag", floor, images[floor.page], grains[floor.page]) for floor in floor_surfaces(model)
        ]
        shell, ceiling = part_surfaces(model, lighting)
        room = self._add("part.frag", shell)
        above = (self._add("part.frag", ceiling), self._add("pane.frag", pane_surfaces(model, lighting)))
        plane = self._add("reflection.frag", floor_plane(model))
        self._shown = {
            "picture": [*floors, room, *above],
            "plan": [*floors, room],
            "coat": [plane],
            "sunlit": [room, above[0]],
        }
        coats = (boards.finish, boards.border_finish)
        self._coats = [(each.roughness, each.ior) for each in coats]
        corners = [np.asarray(model.bounds, float), *(part.vertices for part in model.parts)]
        self._far = 2 * float(np.linalg.norm(np.ptp(np.concatenate(corners), axis=0))) + 10

        if lighting.sun is not None and lighting.sun.beams:
            self._draw_shadow_map(shadow_map_view(lighting.sun.direction, model.bounds))
        found = build_reflection_atlas(model, lighting, self._uniforms["unseen"])
        self._uniforms |= found.screens
        self._coat_uniforms = found.uniforms
        self._atlas = parts.ImageTexture(found.image)

    def _draw_shadow_map(self, view: ShadowMapView) -> None:
        """Draw how far the room lies behind a plane towards the sun, for shadows on all that is not floor."""
        camera = self._parts.WindowCamera(view.window, True, 0.0, view.far)
        self._renderer.uniforms = {"exposure": np.ones(3), "beam_count": 0}
        with self._through(camera, view.pose, "sunlit"):
            _, depth = self._renderer.draw(self._scene, *view.size)
        depth = np.where(depth > 0, depth, np.float32(1e6))[::-1, :, None]
        self._maps["shadow_map"] = self._parts.ImageTexture(np.repeat(depth, 3, axis=2))
        self._uniforms |= view.uniforms

    def _add(self, fragment: str, arrays: Arrays | None, *images: object) -> Any:  # noqa: ANN401
        """Put a surface into the scene, drawn by a fragment shader; return its mesh, or None for no surface."""
        if arrays is None:
            return None
        mesh = self._parts.pyrender.Mesh(
            [self._parts.Surface(fragment, *arrays.fields(), *images)], name=f"{len(self._scene.meshes):04d}"
        )
        self._scene.add(mesh)
        return mesh

    def close(self) -> None:
        """Free the device's memory; the context stays."""
        self._context.activate()
        self._renderer.maps = self._maps
        self._renderer.delete()

    def draw(self, camera: Camera, exposure: float | Array, title: str = "", variant: str = "") -> Picture:
        """Draw one picture.

        Args:
            camera: where from, and how large.
            exposure: what scene radiance is multiplied by, one value or one for each of R, G, B (`exposure_for`).
            title, variant: what the picture says it shows.
        """
        width, height = camera.size
        if width < 1 or height < 1:
            raise RenderError(f"a picture of {width} x {height} pixels can't be drawn")
        self._context.activate()
        gain = np.broadcast_to(np.asarray(exposure, float), 3).astype(np.float32)
        seen = np.zeros((height, width, 3), np.float32)
        depth = np.zeros((height, width), np.float32)
        across = min(width, self._longest)
        strips = math.ceil(height / max(1, min(self._longest, self._tile // across)))
        down = math.ceil(height / strips)
        with self._coat_maps(camera) as coats:
            for y in (min(each * down, height - down) for each in range(strips)):
                for x in (min(each, width - across) for each in range(0, width, across)):
                    box = (x, y, x + across, y + down)
                    part = self._draw_tile(camera, gain, box, coats)
                    seen[y : box[3], x : box[2]], depth[y : box[3], x : box[2]] = part
        # Of a brightest channel m above 1 the shaders wrote 2 - 1 / m, so that multisamples resolve smoothly; undo it.
        brightest = np.maximum(np.maximum(seen[..., 0], seen[..., 1]), seen[..., 2])[..., None]
        whole = 1 / np.maximum(2 - brightest, np.float32(1 / 2048))
        exposed = np.where(brightest > 1, seen * whole / np.maximum(brightest, np.float32(1)), seen)
        rgb = to_bytes(exposed)
        if camera.fov is None:
            rgb[depth == 0] = PAPER
        return Picture(camera, title, variant, rgb, (exposed / gain).astype(np.float32), depth)

    def _draw_tile(self, camera: Camera, gain: Any, box: Box, coats: dict[str, Any]) -> tuple[Any, Any]:  # noqa: ANN401
        width, height = camera.size
        whole = 1 + 2 * OVERSCAN
        pixels = np.array([width, height, width, height]) * whole
        corner = np.array([box[0] + OVERSCAN * width, height - box[3] + OVERSCAN * height])
        self._renderer.maps = self._maps | coats
        self._renderer.uniforms = self._uniforms | {
            "exposure": gain.astype(float),
            "evenness": EVENNESS if camera.fov is None else 0.0,
            "parallel_view": camera.axes()[2] if camera.fov is None else np.zeros(3),
            "screen": np.array([1 / SCALE, 1 / SCALE, *corner]) / pixels,
        }
        with self._seen_by(camera, box, "plan" if camera.fov is None else "picture"):
            return self._renderer.draw(self._scene, box[2] - box[0], box[3] - box[1])

    @contextmanager
    def _coat_maps(self, camera: Camera) -> Iterator[dict[str, Any]]:
        """Yield what the coats mirror of the room, as the whole picture sees it and a margin more; nothing for a
        parallel projection."""
        if camera.fov is None:
            yield {}
            return
        width, height = camera.size
        rim = (round(OVERSCAN * width), round(OVERSCAN * height))
        box = (-rim[0], -rim[1], width + rim[0], height + rim[1])
        coarser = max(1.0, math.sqrt(width * height / COAT_PIXELS))
        sides = ((b - a) / coarser / HALVES for a, b in ((box[0], box[2]), (box[1], box[3])))
        size = [HALVES * max(1, min(self._longest // HALVES, round(side))) for side in sides]
        coats = {each: self._parts.Layer(*size, 0) for each in dict.fromkeys(self._coats)}
        self._renderer.maps = {"reflection_atlas": self._atlas}
        try:
            for (roughness, ior), layer in coats.items():
                self._renderer.uniforms = self._coat_uniforms | {"facet_alpha": roughness, "facet_ior": ior}
                with self._seen_by(camera, box, "coat"):
                    self._renderer.paint(self._scene, layer)
            yield {"field_coat": coats[self._coats[0]], "border_coat": coats[self._coats[1]]}
        finally:
            for layer in coats.values():
                layer.delete()

    @contextmanager
    def _seen_by(self, camera: Camera, box: Box, what: str) -> Iterator[None]:
        """Put a camera that sees the pixels of `box` into the scene, and show what is called `what` alone."""
        parallel = camera.fov is None
        window = self._parts.WindowCamera(picture_window(camera, box), parallel, 0.0 if parallel else NEAR, self._far)
        with self._through(window, pose(camera), what):
            yield

    @contextmanager
    def _through(self, camera: Any, matrix: Array, what: str) -> Iterator[None]:  # noqa: ANN401
        """Put the engine's own camera into the scene, and show what is called `what` alone."""
        node = self._parts.pyrender.Node(camera=camera, matrix=matrix)
        for mesh in self._scene.meshes:
            mesh.is_visible = any(mesh is each for each in self._shown[what])
        self._scene.add_node(node)
        try:
            yield
        finally:
            self._scene.remove_node(node)


def floor_plane(model: Model) -> Arrays:
    """Return the plane z = 0 under all that is drawn, and `ROUND` more for boards that lie unevenly."""
    plan = np.concatenate([np.asarray(model.bounds, float)[:, :2], *(mesh.vertices[:, :2] for mesh in model.floor)])
    (x0, y0), (x1, y1) = plan.min(axis=0) - ROUND, plan.max(axis=0) + ROUND
    corners = np.array([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], np.float32)
    nothing = np.zeros((4, 4), np.float32)
    faces = np.array([(0, 1, 2), (0, 2, 3)], np.int32)
    return Arrays(corners, nothing[:, :3], nothing[:, :2], nothing, nothing[:, :3], faces)


def pose(camera: Camera) -> Array:
    """Return the camera's pose as a (4, 4) matrix from its axes to the world."""
    matrix = np.eye(4)
    matrix[:3, :3] = camera.axes().T
    matrix[:3, 3] = camera.position
    return matrix


def picture_window(camera: Camera, box: tuple[int, int, int, int]) -> tuple[float, float, float, float]:
    """Return (left, right, bottom, top) of the pixels box = (x0, y0, x1, y1), y down, on the picture plane at
    distance 1, or in metres for a parallel projection."""
    width, height = camera.size
    pixel = (camera.span if camera.fov is None else 2 * np.tan(camera.fov / 2)) / width
    x0, y0, x1, y1 = box
    return (x0 - width / 2) * pixel, (x1 - width / 2) * pixel, (height / 2 - y1) * pixel, (height / 2 - y0) * pixel
