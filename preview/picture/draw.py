"""Drawing: one upload of a model, then as many pictures as are wanted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from functools import cache
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.errors import RenderError
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.device.arrays import Value, VertexArrays
from preview.picture.device.gl_platform import choose_platform, missing_library
from preview.picture.floor_faces import floor_surfaces, line_width
from preview.picture.highlights import hold_highlights
from preview.picture.light_uniforms import light_uniforms
from preview.picture.picture import Picture
from preview.picture.reflection.reflection_atlas import build_reflection_atlas
from preview.picture.sun.shadow_map import ShadowMapView, shadow_map_view
from preview.picture.surfaces import pane_surfaces, part_surfaces
from preview.picture.tone import to_bytes
from preview.picture.view.camera import Camera
from preview.wood.boards import Boards
from preview.wood.strip import LEVEL_FIBRE

if TYPE_CHECKING:
    from preview.picture.device.engine import Context, ImageTexture, Texture
    from preview.picture.device.stage import WindowCamera

SAMPLES = 4  # multisamples a pixel; what Mesa's software driver offers
TILE = 2_400_000  # pixels drawn at once; with samples, and colour and depth, some 60 bytes each
NEAR = 0.05  # metres before the eye
EVENNESS = 1.0  # share of a plan's light that is the same everywhere, so that the floor reads from edge to edge
# Of the wood's reflection, what the fibres carry. No measured share was read: by it the two leans of a herringbone come
# about as far apart as boards of one lean. In the shader of those who measured finished wood (woodreflectance.sl by
# S. Westin, read), it would be a fibre colour of 2 for maple, where they say that theirs were mostly more than 1.
FIBRE_SHARE = 0.12
HAIRLINE = 0.0002  # metres: half of what is dark of a tight joint, where dust and finish gather; by eye
PAPER = (250, 249, 247)  # sRGB bytes round a plan

MOST_OVER = np.float32(1.72)  # of `resolvable` in common.glsl: 200,000 times white, under its limit of 2
ROUND = 0.3  # metres
OVERSCAN = 0.12  # of the picture's sides, drawn round it for reflections
# Of what a coat mirrors, of the picture proper; each as large as a picture's pixel or larger. FLIP beside one for each
# pixel 0.002 to 0.006, with a quarter as many 0.004 to 0.013 (tests/benchmarks/convergence.py).
COAT_PIXELS = 180_000
HALVES = 32  # the sides of what is drawn for reflections are multiples of this: every driver halves them alike

F32 = NDArray[np.float32]
Array = NDArray[np.float64]
PixelBox = tuple[int, int, int, int]


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
    with (
        closing(_load_engine().Context()) as context,
        closing(Engine(context, model, boards, lighting, tile or TILE, fibre)) as engine,
    ):
        yield engine


def check_drawing() -> None:
    """Raise RenderError where OpenGL is missing or does not start, before anything slow is done for a picture."""
    _load_engine().Context().close()


@cache
def gl_driver() -> str:
    """Return maker, name and release of what draws pictures here, asked once a process: two that differ may draw a
    pixel otherwise.

    Raises:
        RenderError: OpenGL is missing or does not start.
    """
    with closing(_load_engine().Context()) as context:
        return str(context.driver())


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
        self, context: Context, model: Model, boards: Boards, lighting: Lighting, tile: int, fibre: bool
    ) -> None:
        from preview.picture.device.buffers import largest_side
        from preview.picture.device.engine import ImageTexture
        from preview.picture.device.stage import Stage

        self._context = context
        self.renderer_name: str = context.renderer()
        self._stage = Stage(SAMPLES)
        self._tile, self._longest = tile, largest_side()
        lit = light_uniforms(model, boards, lighting)
        groove, gap = line_width(model)
        self._uniforms: dict[str, Value] = {
            **lit.uniforms,
            "fibre_share": FIBRE_SHARE if fibre else 0.0,
            "bevel": groove,
            "gap": max(gap, HAIRLINE * fibre),
            "stone_clouds": float(fibre),
        }
        self._maps: dict[str, Texture] = {name: ImageTexture(image) for name, image in lit.maps.items()}
        images = [ImageTexture(page) for page in boards.pages]
        level = np.full((8, 8, 3), LEVEL_FIBRE, np.uint8)
        grains = [ImageTexture(each, coded=False) for each in boards.grain or [level] * len(images)]
        floors = [
            self._add("floor.frag", floor, images[floor.page], grains[floor.page]) for floor in floor_surfaces(model)
        ]
        shell, ceiling = (self._add("part.frag", each) for each in part_surfaces(model, lighting))
        panes = self._add("pane.frag", pane_surfaces(model, lighting))
        plane = self._add("reflection.frag", floor_plane(model))
        self._shown = {
            name: [each for each in surfaces if each is not None]
            for name, surfaces in {
                "picture": [*floors, shell, ceiling, panes],
                "plan": [*floors, shell],
                "coat": [plane],
                "sunlit": [shell, ceiling],
            }.items()
        }
        self._coats = [(each.roughness, each.ior) for each in boards.finishes]
        corners = [np.asarray(model.bounds, float), *(part.vertices for part in model.parts)]
        self._far = 2 * float(np.linalg.norm(np.ptp(np.concatenate(corners), axis=0))) + 10

        if lighting.sun is not None and lighting.sun.beams:
            self._draw_shadow_map(shadow_map_view(lighting.sun.direction, model.bounds))
        found = build_reflection_atlas(model, lighting, lit.unseen)
        self._uniforms |= found.screens
        self._coat_uniforms = found.uniforms
        self._atlas = ImageTexture(found.image)

    def _draw_shadow_map(self, view: ShadowMapView) -> None:
        """Draw how far the room lies behind a plane towards the sun, for shadows on all that is not floor."""
        from preview.picture.device.engine import ImageTexture
        from preview.picture.device.stage import WindowCamera

        camera = WindowCamera(view.window, True, 0.0, view.far)
        plain: dict[str, Value] = {"exposure": np.ones(3), "beam_count": 0}
        _, depth = self._stage.draw(self._shown["sunlit"], camera, view.pose, view.size, plain, {})
        depth = np.where(depth > 0, depth, np.float32(1e6))[::-1, :, None]
        self._maps["shadow_map"] = ImageTexture(np.repeat(depth, 3, axis=2))
        self._uniforms |= view.uniforms

    def _add(
        self,
        fragment: str,
        arrays: VertexArrays | None,
        image: ImageTexture | None = None,
        second: ImageTexture | None = None,
    ) -> int | None:
        """Put a surface on the stage, drawn by a fragment shader; return its number, or None for no surface."""
        from preview.picture.device.engine import ShadedSurface

        return None if arrays is None else self._stage.add(ShadedSurface(fragment, arrays, image, second))

    def close(self) -> None:
        """Free the device's memory; the context stays."""
        self._context.activate()
        self._stage.delete(self._maps)

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
        exposed = _resolved(seen)
        rgb = to_bytes(hold_highlights(exposed) if camera.fov is not None else exposed)
        if camera.fov is None:
            rgb[depth == 0] = PAPER
        return Picture(camera, title, variant, rgb, (exposed / gain).astype(np.float32), depth)

    def _draw_tile(self, camera: Camera, gain: F32, box: PixelBox, coats: Mapping[str, Texture]) -> tuple[F32, F32]:
        width, height = camera.size
        whole = 1 + 2 * OVERSCAN
        pixels = np.array([width, height, width, height]) * whole
        corner = np.array([box[0] + OVERSCAN * width, height - box[3] + OVERSCAN * height])
        uniforms: dict[str, Value] = self._uniforms | {
            "exposure": gain.astype(float),
            "evenness": EVENNESS if camera.fov is None else 0.0,
            "parallel_view": camera.axes()[2] if camera.fov is None else np.zeros(3),
            "screen": np.array([1, 1, *corner]) / pixels,
        }
        return self._stage.draw(
            self._shown["plan" if camera.fov is None else "picture"],
            self._window(camera, box),
            camera.pose(),
            (box[2] - box[0], box[3] - box[1]),
            uniforms,
            {**self._maps, **coats},
        )

    @contextmanager
    def _coat_maps(self, camera: Camera) -> Iterator[Mapping[str, Texture]]:
        """Yield what the coats mirror of the room, as the whole picture sees it and a margin more; nothing for a
        parallel projection."""
        if camera.fov is None:
            yield {}
            return
        from preview.picture.device.engine import Layer

        width, height = camera.size
        rim = (round(OVERSCAN * width), round(OVERSCAN * height))
        box = (-rim[0], -rim[1], width + rim[0], height + rim[1])
        coarser = max(1.0, math.sqrt(width * height / COAT_PIXELS))
        across, down = (
            HALVES * max(1, min(self._longest // HALVES, round(side / coarser / HALVES)))
            for side in (box[2] - box[0], box[3] - box[1])
        )
        coats = {each: Layer(across, down, 0) for each in dict.fromkeys(self._coats)}
        try:
            for (roughness, ior), layer in coats.items():
                uniforms = self._coat_uniforms | {"facet_alpha": roughness, "facet_ior": ior}
                maps = {"reflection_atlas": self._atlas}
                self._stage.paint(layer, self._shown["coat"], self._window(camera, box), camera.pose(), uniforms, maps)
            names = ("field_coat", "border_coat", "strip_coat")
            yield {name: coats[each] for name, each in zip(names, self._coats, strict=True)}
        finally:
            for layer in coats.values():
                layer.delete()

    def _window(self, camera: Camera, box: PixelBox) -> WindowCamera:
        """Return the device's camera that sees the pixels of `box`."""
        from preview.picture.device.stage import WindowCamera

        parallel = camera.fov is None
        return WindowCamera(camera.window(box), parallel, 0.0 if parallel else NEAR, self._far)


def _resolved(seen: F32) -> F32:
    """Return exposed radiance as it was before the shaders compressed it over 1 (`resolvable` in common.glsl)."""
    brightest = np.maximum(np.maximum(seen[..., 0], seen[..., 1]), seen[..., 2])[..., None]
    over = np.clip(brightest - 1, 0, MOST_OVER)
    return np.where(over > 0, seen * np.exp(over / (1 - over / 2)) / np.maximum(brightest, np.float32(1)), seen)


def floor_plane(model: Model) -> VertexArrays:
    """Return the plane z = 0 under all that is drawn, and `ROUND` more for boards that lie unevenly."""
    plan = np.concatenate([np.asarray(model.bounds, float)[:, :2], *(mesh.vertices[:, :2] for mesh in model.floor)])
    (x0, y0), (x1, y1) = plan.min(axis=0) - ROUND, plan.max(axis=0) + ROUND
    corners = np.array([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], np.float32)
    nothing = np.zeros((4, 4), np.float32)
    faces = np.array([(0, 1, 2), (0, 2, 3)], np.int32)
    return VertexArrays(corners, nothing[:, :3], nothing[:, :2], nothing, nothing[:, :3], faces)
