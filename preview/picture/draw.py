"""Drawing: one upload of a model, then as many pictures as are wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.errors import RenderError
from preview.light.lighting import Lighting
from preview.model.model import Model
from preview.picture.camera import Camera
from preview.picture.gl_platform import choose_platform, missing_library
from preview.picture.picture import Picture
from preview.picture.surfaces import Arrays, floor_surfaces, light_uniforms, pane_surfaces, part_surfaces
from preview.picture.tone import to_bytes
from preview.wood.boards import Boards

SAMPLES = 4  # multisamples a pixel; what Mesa's software driver offers
SCALE = 2  # and each pixel is drawn as 2 x 2 of those
TILE = 600_000  # pixels drawn at once; with samples, and colour and depth, some 240 bytes each
NEAR = 0.05  # metres before the eye
EVENNESS = 0.85  # share of a plan's light that is the same everywhere, so that the floor reads from edge to edge
FIBRE_SHARE = 0.42  # of the wood's reflection that the fibres carry; by eye, until measured
PAPER = (250, 249, 247)  # sRGB bytes round a plan

Array = NDArray[np.float64]


@contextmanager
def open_engine(
    model: Model, boards: Boards, lighting: Lighting, tile: int | None = None, fibre: bool = True
) -> Iterator[Engine]:
    """Upload a lit model and yield the `Engine` that draws it; give everything back at the end.

    Args:
        model, boards, lighting: what is drawn.
        tile: how many pixels are drawn at once, by default `tile_size`; larger pictures are put together of tiles.
        fibre: whether wood has its fibre highlight; without it, it is matt under its coat.

    Raises:
        RenderError: OpenGL is missing or does not start.
    """
    engine = Engine(_load_engine(), model, boards, lighting, tile or tile_size(model), fibre)
    try:
        yield engine
    finally:
        engine.close()


def tile_size(model: Model) -> int:
    """Return how many pixels to draw at once: few keep memory small and warm, but every tile goes through all
    triangles, so a large floor gets up to four times as many."""
    triangles = sum(len(mesh.faces) for mesh in model.floor)
    return TILE * min(4, 1 + triangles // 50_000)


def _load_engine() -> ModuleType:
    choose_platform()
    try:
        from preview.picture import engine
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
        self, parts: ModuleType, model: Model, boards: Boards, lighting: Lighting, tile: int, fibre: bool
    ) -> None:
        self._parts = parts
        self._context = parts.Context()
        self.renderer_name: str = self._context.renderer()
        self._renderer = parts.FloatRenderer(SAMPLES, SCALE)
        self._tile, self._longest = tile, parts.largest_side() // SCALE
        self._uniforms, maps = light_uniforms(model, boards, lighting)
        self._uniforms["fibre_share"] = FIBRE_SHARE if fibre else 0.0
        self._renderer.maps = {name: parts.ImageTexture(image) for name, image in maps.items()}
        self._scene = parts.pyrender.Scene(bg_color=[0, 0, 0, 0])
        images = [parts.ImageTexture(page) for page in boards.pages]
        for floor in floor_surfaces(model):
            self._add("floor.frag", floor, images[floor.page])
        shell, ceiling = part_surfaces(model, lighting)
        self._add("part.frag", shell)
        above = (self._add("part.frag", ceiling), self._add("pane.frag", pane_surfaces(model, lighting)))
        self._above = [each for each in above if each is not None]
        corners = [np.asarray(model.bounds, float), *(part.vertices for part in model.parts)]
        self._far = 2 * float(np.linalg.norm(np.ptp(np.concatenate(corners), axis=0))) + 10

    def _add(self, fragment: str, arrays: Arrays | None, image: object = None) -> Any:  # noqa: ANN401
        """Put a surface into the scene, drawn by a fragment shader; return its mesh, or None for no surface."""
        if arrays is None:
            return None
        mesh = self._parts.pyrender.Mesh([self._parts.Surface(fragment, *arrays.fields(), image)])
        self._scene.add(mesh)
        return mesh

    def close(self) -> None:
        """Free the device's memory and give the context back."""
        self._context.activate()
        self._renderer.delete()
        self._context.close()

    def draw(self, camera: Camera, exposure: float, title: str = "", variant: str = "") -> Picture:
        """Draw one picture.

        Args:
            camera: where from, and how large.
            exposure: what scene radiance is multiplied by (see `exposure_for`).
            title, variant: what the picture says it shows.
        """
        width, height = camera.size
        if width < 1 or height < 1:
            raise RenderError(f"a picture of {width} x {height} pixels can't be drawn")
        self._context.activate()
        seen = np.zeros((height, width, 3), np.float32)
        depth = np.zeros((height, width), np.float32)
        across = min(width, self._longest)
        strips = math.ceil(height / max(1, min(self._longest, self._tile // across)))
        down = math.ceil(height / strips)
        for y in (min(each * down, height - down) for each in range(strips)):
            for x in (min(each, width - across) for each in range(0, width, across)):
                box = (x, y, x + across, y + down)
                seen[y : box[3], x : box[2]], depth[y : box[3], x : box[2]] = self._draw_tile(camera, exposure, box)
        # The shaders wrote c / (1 + max c), so that multisamples resolve smoothly; undo it.
        brightest = np.maximum(np.maximum(seen[..., 0], seen[..., 1]), seen[..., 2])[..., None]
        exposed = seen / np.maximum(1 - brightest, np.float32(1 / 2048))
        rgb = to_bytes(exposed)
        if camera.fov is None:
            rgb[depth == 0] = PAPER
        return Picture(camera, title, variant, rgb, exposed / np.float32(exposure), depth)

    def _draw_tile(self, camera: Camera, exposure: float, box: tuple[int, int, int, int]) -> tuple[Any, Any]:
        parallel = camera.fov is None
        node = self._parts.pyrender.Node(
            camera=self._parts.WindowCamera(
                picture_window(camera, box), parallel, 0.0 if parallel else NEAR, self._far
            ),
            matrix=pose(camera),
        )
        axes = camera.axes()
        self._renderer.uniforms = self._uniforms | {
            "exposure": float(exposure),
            "evenness": EVENNESS if parallel else 0.0,
            "parallel_view": axes[2] if parallel else np.zeros(3),
        }
        for mesh in self._above:
            mesh.is_visible = not parallel
        self._scene.add_node(node)
        try:
            return self._renderer.draw(self._scene, box[2] - box[0], box[3] - box[1])
        finally:
            self._scene.remove_node(node)


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


def exposure_for(
    lighting: Lighting, choice: Literal["auto"] | float, floor_albedo: tuple[float, float, float]
) -> float:
    """Return what scene radiance is multiplied by before tone mapping; one value for all variants of a viewpoint.

    "auto" meters the floor, whose radiance is E rho / pi: E halfway (in stops) between its mean illuminance and its
    log-average, so that a bright bay does not leave the rest in the dark. A floor of reflectance 0.30 is put at 0.31,
    and one darker or lighter keeps three quarters of its distance in stops, as a photographer would lift a dark floor
    a little and hold a pale one back. A number is an exposure value EV100: 1 stands for the luminance 1.2 x 2^EV that
    just saturates (ISO 12232's saturation-based speed; formula from memory).
    """
    if choice != "auto":
        return 1 / (1.2 * 2 ** float(choice))
    rho = float(np.dot([0.2126, 0.7152, 0.0722], floor_albedo))
    rho = min(max(rho, 0.01), 0.95)
    mean = max(lighting.mean_floor_lux, 1e-3)
    texels = lighting.floor.irradiance.reshape(-1, 3) @ np.array([0.2126, 0.7152, 0.0722])
    indoors = texels[texels > 0.02 * mean]
    log_average = float(np.exp(np.log(indoors).mean())) if len(indoors) else mean
    radiance = np.sqrt(mean * log_average) * rho / np.pi
    return float(0.31 * (rho / 0.30) ** 0.75 / radiance)
