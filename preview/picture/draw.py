"""Drawing: a context kept open, models uploaded to it, then as many pictures as are wanted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from functools import cache
from types import ModuleType
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from preview.errors import RenderError
from preview.light.result.lighting import Lighting
from preview.model.model import Model
from preview.picture.bands import in_bands
from preview.picture.device.arrays import Value
from preview.picture.device.gl_platform import choose_platform, missing_library
from preview.picture.highlights import hold_highlights
from preview.picture.picture import Picture
from preview.picture.tone import to_bytes
from preview.picture.view.camera import Camera
from preview.wood.boards import Boards

if TYPE_CHECKING:
    from preview.light.geometry.ray_tracing import Hits
    from preview.picture.device.engine import Context, Texture
    from preview.picture.device.stage import WindowCamera
    from preview.picture.uploads import FloorUpload, RoomUpload

SAMPLES = 4  # multisamples a pixel; what Mesa's software driver offers
TILE = 2_400_000  # pixels drawn at once; with samples, and colour and depth, some 60 bytes each
NEAR = 0.05  # metres before the eye
EVENNESS = 1.0  # share of a plan's light that is the same everywhere, so that the floor reads from edge to edge
PAPER = (250, 249, 247)  # sRGB bytes round a plan

MOST_OVER = np.float32(1.72)  # of `resolvable` in common.glsl: 200,000 times white, under its limit of 2
OVERSCAN = 0.12  # of the picture's sides, drawn round it for reflections
# Of what a coat mirrors, of the picture proper; each as large as a picture's pixel or larger. FLIP beside one for each
# pixel 0.002 to 0.006, with a quarter as many 0.004 to 0.013 (tests/benchmarks/convergence.py).
COAT_PIXELS = 180_000
HALVES = 32  # the sides of what is drawn for reflections are multiples of this: every driver halves them alike

# What stays on the device of what was shown before.
MOST_ROOMS, MOST_FLOORS = 2, 6
MOST_PAGES = 60_000_000  # bytes of boards' pages; they lie there with their mipmaps, a third more

F32 = NDArray[np.float32]
Array = NDArray[np.float64]
PixelBox = tuple[int, int, int, int]
Upload = TypeVar("Upload")


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
    with empty_engine(tile, fibre) as engine:
        engine.show(model, boards, lighting)
        yield engine


@contextmanager
def empty_engine(tile: int | None = None, fibre: bool = True) -> Iterator[Engine]:
    """Yield an `Engine` that nothing was uploaded to yet; `tile` and `fibre` as in `open_engine`.

    Raises:
        RenderError: OpenGL is missing or does not start.
    """
    with closing(_load_engine().Context()) as context, closing(Engine(context, tile or TILE, fibre)) as engine:
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
    """A graphics context kept open: lit models are shown on it, and drawn. Made by `open_engine` and `empty_engine`."""

    def __init__(self, context: Context, tile: int, fibre: bool) -> None:
        from preview.picture.device.buffers import largest_side
        from preview.picture.device.stage import Stage
        from preview.picture.uploads import BoardTextures

        self._context = context
        self.renderer_name: str = context.renderer()
        self._stage = Stage(SAMPLES)
        self._tile, self._longest, self._fibre = tile, largest_side(), fibre
        self._textures = BoardTextures()
        self._rooms: Recent[RoomUpload] = Recent()
        self._floors: Recent[FloorUpload] = Recent()
        self._atlas_rays: Recent[list[Hits]] = Recent()

    def show(self, model: Model, boards: Boards, lighting: Lighting) -> None:
        """Show a lit model from here on. What of it was shown before, and is the same object, lies on the device
        already: the room with its light, the floor, its boards' pages. The last few rooms and floors stay there."""
        from preview.picture.uploads import FloorUpload, RoomUpload

        self._context.activate()
        shell = model.parts, model.panes, model.bounds
        self._room = self._rooms.of(
            (lighting, *shell),
            lambda: RoomUpload(self._stage, model, lighting, lambda trace: self._atlas_rays.of(shell, trace)),
        )
        self._floor = self._floors.of(
            (boards, model.floor, model.bounds),
            lambda: FloorUpload(self._stage, model, boards, self._textures, self._fibre),
        )
        while len(self._rooms) > MOST_ROOMS:
            self._rooms.take_oldest().delete()
        while len(self._atlas_rays) > MOST_ROOMS:
            self._atlas_rays.take_oldest()
        while len(self._floors) > MOST_FLOORS or (len(self._floors) > 1 and self._page_bytes() > MOST_PAGES):
            self._floors.take_oldest().delete()
        self._textures.keep_of(self._floors)
        self._uniforms: dict[str, Value] = self._room.uniforms | self._floor.uniforms

    def _page_bytes(self) -> int:
        return sum({id(page): page.nbytes for floor in self._floors for page in floor.pages}.values())

    def close(self) -> None:
        """Free the device's memory; the context stays."""
        self._context.activate()
        for each in (*self._rooms, *self._floors):
            each.delete()
        self._stage.delete()

    def draw(
        self,
        camera: Camera,
        exposure: float | Array,
        title: str = "",
        variant: str = "",
        between: Callable[[], None] | None = None,
        coat_pixels: int | None = None,
    ) -> Picture:
        """Draw one picture of what is shown.

        Args:
            camera: where from, and how large.
            exposure: what scene radiance is multiplied by, one value or one for each of R, G, B (`exposure_for`).
            title, variant: what the picture says it shows.
            between: called every now and then; it may raise, and the picture is given up. It is the same with it and
                without.
            coat_pixels: of what a coat mirrors, at least: more where it was drawn so of late. `COAT_PIXELS`, and no
                more, where it is None.
        """
        width, height = camera.size
        if width < 1 or height < 1:
            raise RenderError(f"a picture of {width} x {height} pixels can't be drawn")
        self._context.activate()
        gain = np.broadcast_to(np.asarray(exposure, float), 3).astype(np.float32)
        seen, depth = self._draw_tiles(camera, gain, self._coat_maps(camera, coat_pixels), between)
        radiance = np.empty_like(seen)

        def resolve(rows: slice) -> None:
            _resolve(seen[rows])
            np.divide(seen[rows], gain, out=radiance[rows])

        in_bands(resolve, height)
        rgb = to_bytes(hold_highlights(seen) if camera.fov is not None else seen)
        if camera.fov is None:
            rgb[depth == 0] = PAPER
        return Picture(camera, title, variant, rgb, radiance, depth)

    def _draw_tiles(
        self, camera: Camera, gain: F32, coats: Mapping[str, Texture], between: Callable[[], None] | None
    ) -> tuple[F32, F32]:
        """Return the picture (h, w, 3) as the shaders wrote it, and depth (h, w), put together of tiles."""
        width, height = camera.size
        across = min(width, self._longest)
        strips = math.ceil(height / max(1, min(self._longest, self._tile // across)))
        down = math.ceil(height / strips)
        if (across, down) == (width, height):
            return self._draw_tile(camera, gain, (0, 0, width, height), coats, between)
        seen, depth = np.empty((height, width, 3), np.float32), np.empty((height, width), np.float32)
        for y in (min(each * down, height - down) for each in range(strips)):
            for x in (min(each, width - across) for each in range(0, width, across)):
                box = (x, y, x + across, y + down)
                part = self._draw_tile(camera, gain, box, coats, between)
                seen[y : box[3], x : box[2]], depth[y : box[3], x : box[2]] = part
        return seen, depth

    def _draw_tile(
        self,
        camera: Camera,
        gain: F32,
        box: PixelBox,
        coats: Mapping[str, Texture],
        between: Callable[[], None] | None,
    ) -> tuple[F32, F32]:
        width, height = camera.size
        whole = 1 + 2 * OVERSCAN
        pixels = np.array([width, height, width, height]) * whole
        corner = np.array([box[0] + OVERSCAN * width, height - box[3] + OVERSCAN * height])
        uniforms: dict[str, Value] = self._uniforms | {
            "exposure": gain.astype(float),
            "evenness": EVENNESS if camera.fov is None else 0.0,
            "parallel_view": camera.axes[2] if camera.fov is None else np.zeros(3),
            "screen": np.array([1, 1, *corner]) / pixels,
        }
        room = self._room
        seen = room.shell if camera.fov is None else [*room.shell, *room.ceiling, *room.panes]
        return self._stage.draw(
            [*self._floor.boards, *seen],
            self._window(camera, box),
            camera.pose(),
            (box[2] - box[0], box[3] - box[1]),
            uniforms,
            {**room.maps, **coats},
            between,
        )

    def _coat_maps(self, camera: Camera, least: int | None) -> Mapping[str, Texture]:
        """Return what the coats mirror of the room, as the whole picture sees it and a margin more; nothing for a
        parallel projection. The room keeps what was drawn of it: another floor in the same light mirrors the same."""
        if camera.fov is None:
            return {}
        from preview.picture.device.engine import Layers
        from preview.picture.uploads import Eye

        width, height = camera.size
        rim = (OVERSCAN * width, OVERSCAN * height)
        window = self._window(camera, (-rim[0], -rim[1], width + rim[0], height + rim[1]))
        coarser = max(1.0, math.sqrt(width * height / (least or COAT_PIXELS)))
        floor, room = self._floor, self._room
        most = self._longest // len(floor.finishes)
        across, down = (
            HALVES * max(1, min(most // HALVES, round((side + 2 * beyond) / coarser / HALVES)))
            for side, beyond in zip(camera.size, rim, strict=True)
        )

        def drawn() -> Layers:
            coats = Layers(across, down, 0, len(floor.finishes))
            for number, (roughness, ior) in enumerate(floor.finishes):
                uniforms = room.coat_uniforms | {"facet_alpha": roughness, "facet_ior": ior}
                self._stage.paint(coats, number, floor.plane, window, camera.pose(), uniforms, room.coat_maps)
            return coats

        eye = Eye((*window.window, *camera.pose().ravel()), (tuple(floor.finishes), floor.plane_corners))
        return {"coats": room.coats(eye, (across, down), least is not None, drawn)}

    def _window(self, camera: Camera, box: tuple[float, float, float, float]) -> WindowCamera:
        """Return the device's camera that sees the pixels of `box`."""
        from preview.picture.device.stage import WindowCamera

        parallel = camera.fov is None
        return WindowCamera(camera.window(box), parallel, 0.0 if parallel else NEAR, self._room.far)


class Recent(Generic[Upload]):
    """What was made or uploaded of late, found by the very objects that it was made of; the latest used stands last."""

    def __init__(self) -> None:
        self._found: dict[tuple[int, ...], tuple[Upload, tuple[object, ...]]] = {}

    def of(self, objects: tuple[object, ...], make: Callable[[], Upload]) -> Upload:
        """Return what was made of these objects, made now where it wasn't."""
        key = tuple(map(id, objects))
        found = self._found.pop(key, None)
        self._found[key] = found = found or (make(), objects)  # held, so that no other object takes its number
        return found[0]

    def take_oldest(self) -> Upload:
        """Return what was used longest ago, which is no longer found."""
        return self._found.pop(next(iter(self._found)))[0]

    def __len__(self) -> int:
        return len(self._found)

    def __iter__(self) -> Iterator[Upload]:
        return iter([each for each, _ in self._found.values()])


def _resolve(seen: F32) -> None:
    """Make exposed radiance what it was before the shaders compressed it over 1 (`resolvable` in common.glsl)."""
    brightest = np.maximum(np.maximum(seen[..., 0], seen[..., 1]), seen[..., 2]).ravel()
    bright = np.flatnonzero(brightest > 1)
    most = brightest[bright]
    over = np.minimum(most - 1, MOST_OVER)
    seen.reshape(-1, 3)[bright] *= (np.exp(over / (1 - over / 2)) / most)[:, None]
