"""The one file that touches pyrender's private parts: its GL platforms, shader cache, renderer and textures.

Import it only after `gl_platform.choose_platform()`. What is relied upon, and tested by
tests/unit/test_pyrender_private_parts.py, of pyrender 0.1.45:

- `np.infty`, which numpy 2 dropped, is used by its meshes;
- `ShaderProgram` takes its texts from its own `_load`, and `Renderer` its programs from `_get_primitive_program`;
- `Renderer` asks `_get_primitive_program`, `_sorted_mesh_nodes`, `_bind_lighting`, `_configure_main_framebuffer` and
  `_read_main_framebuffer` of itself, and keeps its buffers in the `_main_*` attributes;
- `Primitive` lays out positions, normals, tangents, texcoord_0 and color_0 in this order;
- `platforms.egl` starts EGL within assertions;
- `EGLPlatform` keeps `_egl_display` and `_egl_context`;
- `Texture` has `_add_to_context` and `_texid`;
- PyOpenGL 3.1.0 keeps the names of types it can pass in `FormatHandler.by_name(...).check`.
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import suppress
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from preview.picture.bands import in_bands
from preview.picture.device.arrays import Value, VertexArrays
from preview.picture.device.gl_platform import choose_platform, missing_library, with_assertions
from preview.picture.device.mipmaps import float_mipmaps, mipmaps
from preview.picture.device.shader_text import shader_text

if not hasattr(np, "infty"):
    vars(np)["infty"] = np.inf

from OpenGL.plugins import FormatHandler

# The release of PyOpenGL that pyrender asks for knows byref() by the module it said it was of before Python 3.12.
FormatHandler.by_name("ctypesparameter").check.append("_ctypes.CArgObject")

import OpenGL.GL as gl
import pyrender
from OpenGL.raw.GL.VERSION.GL_1_1 import glReadPixels as read_pixels_into
from pyrender.constants import RenderFlags
from pyrender.renderer import Renderer
from pyrender.shader_program import ShaderProgram

from preview.picture.device.buffers import depth_buffer, half_float_buffers

F32 = NDArray[np.float32]

MOST_SIZES = 3  # of pictures, whose buffers stay: the coarse, the full and a page's thumbnails
COUNTS = ("beam_count", "screen_count")  # uniforms that are 0 in most rooms
STRIP = 800_000  # pixels, about, that are drawn between two looks at whether the picture is still wanted
TILE_ROWS = 64  # that a software driver draws at once; strips are of whole ones


class Platform(Protocol):
    """What pyrender calls a platform: something that makes an OpenGL context."""

    def init_context(self) -> None:
        """Make the context."""

    def make_current(self) -> None:
        """Send GL calls there."""

    def delete_context(self) -> None:
        """Destroy it."""


class Context:
    """A current OpenGL context without a window: EGL, a GPU's where one starts, or pyrender's hidden window."""

    def __init__(self) -> None:
        self.platform: Platform
        problems: list[object] = []
        for candidate in _platforms():
            try:
                candidate.init_context()
                candidate.make_current()
                gl.glGetString(gl.GL_RENDERER)
            except Exception as problem:  # EGL fails by assertion, by PyOpenGL's errors, or by ctypes'; try the next
                problems.append(problem)
                with suppress(Exception):  # what failed to start may fail to end
                    let_go(candidate)
            else:
                self.platform = candidate
                return
        raise missing_library(problems)

    def renderer(self) -> str:
        """Return the name of what draws, as OpenGL gives it."""
        return _gl_text(gl.GL_RENDERER)

    def driver(self) -> str:
        """Return who made what draws, its name and its release, as OpenGL gives them."""
        return ", ".join(_gl_text(each) for each in (gl.GL_VENDOR, gl.GL_RENDERER, gl.GL_VERSION))

    def activate(self) -> None:
        """Make this context the one that GL calls go to; several may be open at once."""
        self.platform.make_current()

    def close(self) -> None:
        """Give the context back. EGL's display is left open: ending it would end every other context on it."""
        let_go(self.platform)


def _gl_text(name: int) -> str:
    text = gl.glGetString(name)
    return text.decode(errors="replace") if isinstance(text, bytes) else str(text)


def let_go(platform: Platform) -> None:
    """Destroy the context of a platform and leave the platform no handle of it.

    A platform destroys whatever context its handle names, and ends the display, once more when it is collected; by
    then a new context may live at that address.
    """
    handles = vars(platform)
    if "_egl_context" not in handles:
        platform.delete_context()
        return
    from OpenGL.EGL import EGL_NO_CONTEXT, EGL_NO_SURFACE, eglDestroyContext, eglMakeCurrent

    display, context = handles["_egl_display"], handles["_egl_context"]
    handles["_egl_display"] = handles["_egl_context"] = None
    if context:
        eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT)
        eglDestroyContext(display, context)


def _platforms() -> list[Platform]:
    """Return the platforms to try, best first: EGL devices with a graphics card behind them, then software."""
    if choose_platform() == "egl":
        if not __debug__:
            with_assertions("pyrender.platforms.egl")
        from pyrender.platforms.egl import EGLDevice, EGLPlatform, query_devices

        devices = query_devices() or [EGLDevice()]
        wanted = os.environ.get("EGL_DEVICE_ID")
        if wanted is not None and wanted.isdigit() and int(wanted) < len(devices):
            devices = [devices[int(wanted)]]
        devices.sort(key=lambda device: device.name is None)
        return [EGLPlatform(1, 1, device=device) for device in devices]
    if choose_platform() == "osmesa":
        from pyrender.platforms.osmesa import OSMesaPlatform

        return [OSMesaPlatform(1, 1)]
    from pyrender.platforms.pyglet_platform import PygletPlatform

    return [PygletPlatform(1, 1)]


class Program(ShaderProgram):
    """A shader program of `surface.vert` and another file of `shaders`, in which there are none of what the uniforms
    named `absent` count: a software driver runs branches and loops once, whether any pixel takes them or not."""

    def __init__(self, fragment: str, absent: Collection[str] = ()) -> None:
        super().__init__("surface.vert", fragment)
        self._absent = absent

    def _load(self, shader_filename: str) -> str:
        text = shader_text(shader_filename)
        for name in self._absent:
            text = text.replace(f"uniform int {name};", f"const int {name} = 0;")
        return text


class ImageTexture(pyrender.Texture):
    """A texture of our own: image (h, w, 3 or 4, or 1 of float32), row 0 at v = 0; uint8 has mipmaps, made in linear
    light where it is `coded` in sRGB, which the shader then decodes; float32 is taken as it is, of four channels as
    half floats with mipmaps. The alpha of an image of three is 0."""

    def __init__(self, image: NDArray[np.uint8] | F32, coded: bool = True) -> None:
        super().__init__(width=image.shape[1], height=image.shape[0], source_channels="RGB")
        self.image = image if image.flags.c_contiguous else image.copy()
        self.coded = coded

    def _levels(self) -> Sequence[NDArray[np.uint8] | F32]:
        if self.image.dtype == np.uint8:
            return mipmaps(self.image.view(np.uint8)) if self.coded else [self.image]
        return float_mipmaps(self.image.view(np.float32)) if self.image.shape[2] == 4 else [self.image]

    def _add_to_context(self) -> None:
        self._texid = gl.glGenTextures(1)
        gl.glBindTexture(gl.GL_TEXTURE_2D, self._texid)
        gl.glPixelStorei(gl.GL_UNPACK_ALIGNMENT, 1)
        bytes_, channels = self.image.dtype == np.uint8, self.image.shape[2]
        four = channels == 4
        of_bytes, of_floats = {3: gl.GL_RGB8, 4: gl.GL_RGBA8}, {1: gl.GL_R32F, 3: gl.GL_RGB32F, 4: gl.GL_RGBA16F}
        internal = (of_bytes if bytes_ else of_floats)[channels]
        kind, order = (
            gl.GL_UNSIGNED_BYTE if bytes_ else gl.GL_FLOAT,
            {1: gl.GL_RED, 3: gl.GL_RGB, 4: gl.GL_RGBA}[channels],
        )
        levels = self._levels()
        if four and not bytes_:
            gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_MAX_LEVEL, len(levels) - 1)
        for number, level in enumerate(levels):
            height, width = level.shape[:2]
            gl.glTexImage2D(gl.GL_TEXTURE_2D, number, internal, width, height, 0, order, kind, level)
        if not four:
            gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_SWIZZLE_A, gl.GL_ZERO)
        gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_MAG_FILTER, gl.GL_LINEAR)
        gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_WRAP_S, gl.GL_CLAMP_TO_EDGE)
        gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_WRAP_T, gl.GL_CLAMP_TO_EDGE)
        least = gl.GL_LINEAR_MIPMAP_LINEAR if bytes_ or len(levels) > 1 else gl.GL_LINEAR
        gl.glTexParameteri(gl.GL_TEXTURE_2D, gl.GL_TEXTURE_MIN_FILTER, least)
        if bytes_ and not self.coded:
            gl.glGenerateMipmap(gl.GL_TEXTURE_2D)
        gl.glBindTexture(gl.GL_TEXTURE_2D, 0)


class Layers(pyrender.Texture):
    """`count` pictures of one size in half floats that are drawn first, one after another, and looked up by shaders
    later, with mipmaps; RGBA, one over the other, row 0 of the first below."""

    def __init__(self, width: int, height: int, samples: int, count: int) -> None:
        super().__init__(width=width, height=height, source_channels="RGBA")
        self.samples, self.count = samples, count
        self.frames: tuple[int, int] = (0, 0)
        self._buffers: list[int] = []

    def _add_to_context(self) -> None:
        self._texid = gl.glGenTextures(1)
        gl.glBindTexture(gl.GL_TEXTURE_2D, self._texid)
        high = self.count * self.height
        gl.glTexImage2D(gl.GL_TEXTURE_2D, 0, gl.GL_RGBA16F, self.width, high, 0, gl.GL_RGBA, gl.GL_FLOAT, None)
        for name, value in (
            (gl.GL_TEXTURE_MAG_FILTER, gl.GL_LINEAR),
            (gl.GL_TEXTURE_MIN_FILTER, gl.GL_LINEAR_MIPMAP_LINEAR),
            (gl.GL_TEXTURE_WRAP_S, gl.GL_CLAMP_TO_EDGE),
            (gl.GL_TEXTURE_WRAP_T, gl.GL_CLAMP_TO_EDGE),
        ):
            gl.glTexParameteri(gl.GL_TEXTURE_2D, name, value)
        drawn, *self._buffers = half_float_buffers((self.width, self.height), self.samples)
        whole = int(gl.glGenFramebuffers(1))
        gl.glBindFramebuffer(gl.GL_DRAW_FRAMEBUFFER, whole)
        gl.glFramebufferTexture2D(gl.GL_DRAW_FRAMEBUFFER, gl.GL_COLOR_ATTACHMENT0, gl.GL_TEXTURE_2D, self._texid, 0)
        gl.glBindTexture(gl.GL_TEXTURE_2D, 0)
        self.frames = (drawn, whole)

    def finish(self, number: int) -> None:
        """Bring the samples together into the picture of that number; with the last, make all mipmaps."""
        wide, high = self.width, self.height
        gl.glBindFramebuffer(gl.GL_READ_FRAMEBUFFER, self.frames[0])
        gl.glBindFramebuffer(gl.GL_DRAW_FRAMEBUFFER, self.frames[1])
        place = (0, number * high, wide, (number + 1) * high)
        gl.glBlitFramebuffer(0, 0, wide, high, *place, gl.GL_COLOR_BUFFER_BIT, gl.GL_NEAREST)
        if number == self.count - 1:
            gl.glBindTexture(gl.GL_TEXTURE_2D, self._texid)
            gl.glGenerateMipmap(gl.GL_TEXTURE_2D)
            gl.glBindTexture(gl.GL_TEXTURE_2D, 0)

    def delete(self) -> None:
        """Free it."""
        if self._in_context():
            gl.glDeleteFramebuffers(2, list(self.frames))
            gl.glDeleteRenderbuffers(2, self._buffers)
        super().delete()


class ShadedSurface(pyrender.Primitive):
    """VertexArrays drawn by our `fragment` shader, which calls the textures `image` and `second` base_color_texture and
    normal_texture."""

    def __init__(
        self, fragment: str, arrays: VertexArrays, image: ImageTexture | None = None, second: ImageTexture | None = None
    ) -> None:
        opaque = np.ones(len(arrays.colour), np.float32)
        super().__init__(
            positions=arrays.positions,
            normals=arrays.normals,
            texcoord_0=arrays.uv,
            tangents=arrays.extra,
            color_0=np.column_stack([arrays.colour, opaque]).astype(np.float32),
            indices=arrays.faces,
            material=pyrender.MetallicRoughnessMaterial(doubleSided=True, baseColorTexture=image, normalTexture=second),
        )
        self.fragment = fragment


Texture: TypeAlias = ImageTexture | Layers


class FloatRenderer(Renderer):
    """pyrender's renderer with our shaders, drawing into half-float buffers with so many samples a pixel.

    `uniforms` and `maps` are what the shaders are given by name.
    """

    _main_fb: int | None
    _main_fb_ms: int | None
    _main_fb_dims: tuple[int, int]

    def __init__(self, samples: int) -> None:
        super().__init__(1, 1)
        self.dpscale = 1
        self.samples = min(samples, int(gl.glGetIntegerv(gl.GL_MAX_SAMPLES)))
        self._painted: Layers | None = None
        self._shaded = True
        self._told: set[int] = set()
        self.uniforms: Mapping[str, Value] = {}
        self.maps: Mapping[str, Texture] = {}
        self._programs: dict[tuple[str, tuple[str, ...]], Program] = {}
        self._buffers: dict[tuple[int, int], tuple[int, ...]] = {}

    def draw(
        self, scene: pyrender.Scene, width: int, height: int, between: Callable[[], None] | None = None
    ) -> tuple[F32, F32]:
        """Return the picture (height, width, 3) as the shaders wrote it, and depth (height, width) in metres, 0 where
        nothing is.

        between: called between strips of the picture, which are drawn one after another for it; it may raise, and the
        picture is given up. A pixel is the same, drawn in a strip or all at once: only a scissor cuts them.
        """
        self.viewport_width, self.viewport_height = width, height
        self._prepare()
        if between is not None:
            self._draw_strips(scene, between)
        else:
            self.render(scene, RenderFlags.OFFSCREEN)
        return self._read_colour(), self._read_depth(scene)

    def depth(self, scene: pyrender.Scene, width: int, height: int) -> F32:
        """Return depth alone, as `draw` does: nothing is shaded, and the buffers for it are freed again."""
        self.viewport_width, self.viewport_height = width, height
        self._prepare()
        frames, buffers = zip(*(depth_buffer((width, height), each) for each in (0, self.samples)), strict=True)
        (self._main_fb, self._main_fb_ms), self._main_fb_dims = frames, (width, height)
        self._shaded = False
        try:
            self.render(scene, RenderFlags.OFFSCREEN)
            return self._read_depth(scene)
        finally:
            self._shaded, self._main_fb = True, None
            gl.glDeleteFramebuffers(2, list(frames))
            gl.glDeleteRenderbuffers(2, list(buffers))

    def _draw_strips(self, scene: pyrender.Scene, between: Callable[[], None]) -> None:
        height = self.viewport_height
        rows = TILE_ROWS * max(round(STRIP / self.viewport_width / TILE_ROWS), 1)
        gl.glEnable(gl.GL_SCISSOR_TEST)
        try:
            for low in range(0, height, rows):
                gl.glScissor(0, low, self.viewport_width, min(rows, height - low))
                self.render(scene, RenderFlags.OFFSCREEN)
                gl.glFinish()
                between()
        finally:
            gl.glDisable(gl.GL_SCISSOR_TEST)

    def paint(self, scene: pyrender.Scene, layers: Layers, number: int) -> None:
        """Draw the scene on to one of `layers`, which should not be among `maps`; the last of them comes last."""
        self.viewport_width, self.viewport_height = layers.width, layers.height
        self._prepare()
        if not layers._in_context():
            layers._add_to_context()
        drawn_before = self._main_fb_ms
        self._painted, self._main_fb_ms = layers, layers.frames[0]
        try:
            self.render(scene, RenderFlags.OFFSCREEN)
            layers.finish(number)
        finally:
            self._painted, self._main_fb_ms = None, drawn_before

    def _prepare(self) -> None:
        self._told.clear()
        for each in self.maps.values():
            if not each._in_context():
                each._add_to_context()

    def delete(self) -> None:
        """Free everything that lies in the context, but maps: they are whose they are."""
        self.maps = {}
        for program in self._programs.values():
            program.delete()
        self._programs = {}
        for size in list(self._buffers):
            self._free(size)
        super().delete()

    def __del__(self) -> None:
        """Leave everything: pyrender's would free by number what belongs to whichever context is current by then."""

    def _get_primitive_program(self, primitive: ShadedSurface, flags: int, program_flags: int) -> ShaderProgram:
        absent = tuple(name for name in COUNTS if self.uniforms.get(name) == 0)
        key = (primitive.fragment, absent) if self._shaded else ("depth.frag", ())
        if key not in self._programs:
            program = self._programs[key] = Program(*key)
            program._add_to_context()
        return self._programs[key]

    def _sorted_mesh_nodes(self, scene: pyrender.Scene) -> list[pyrender.Node]:
        """Draw in the order of the meshes' names, so that the same scene gives the same bytes."""
        return sorted(scene.mesh_nodes, key=lambda node: node.mesh.name)

    def _bind_lighting(self, scene: pyrender.Scene, program: ShaderProgram, node: pyrender.Node, flags: int) -> None:
        for name, texture in self.maps.items():
            self._bind_texture(texture, name, program)
        if program._program_id in self._told:  # a program keeps its uniforms from one surface to the next
            return
        self._told.add(program._program_id)
        for name, value in self.uniforms.items():
            if isinstance(value, np.ndarray) and value.ndim == 2:
                where = gl.glGetUniformLocation(program._program_id, name)
                if where != -1:
                    many = gl.glUniform4fv if value.shape[1] == 4 else gl.glUniform3fv
                    many(where, len(value), np.ascontiguousarray(value, np.float32))
            else:
                program.set_uniform(name, value)

    def _configure_main_framebuffer(self) -> None:
        if self._painted is not None:
            return
        size = (self.viewport_width, self.viewport_height)
        if self._main_fb is not None and self._main_fb_dims == size:
            return
        if size in self._buffers:
            self._buffers[size] = self._buffers.pop(size)  # the last used stands last
        else:
            self._buffers[size] = (*half_float_buffers(size, 0), *half_float_buffers(size, self.samples))
        while len(self._buffers) > MOST_SIZES:
            self._free(next(iter(self._buffers)))
        self._use(size)

    def _free(self, size: tuple[int, int]) -> None:
        self._use(size)
        self._delete_main_framebuffer()
        del self._buffers[size]

    def _use(self, size: tuple[int, int]) -> None:
        """Draw into the buffers of a size from here on."""
        self._main_fb, self._main_cb, self._main_db, self._main_fb_ms, self._main_cb_ms, self._main_db_ms = (
            self._buffers[size]
        )
        self._main_fb_dims = size

    def _read_main_framebuffer(self, scene: pyrender.Scene, flags: int) -> None:
        """Nothing is read before all is drawn."""

    def _read_colour(self) -> F32:
        read = self._read(gl.GL_COLOR_BUFFER_BIT, gl.GL_LINEAR, (gl.GL_RGBA, gl.GL_HALF_FLOAT), (4,), np.float16)
        picture = np.empty((*read.shape[:2], 3), np.float32)

        def turn(rows: slice) -> None:
            picture[rows] = read[::-1, :, :3][rows]

        in_bands(turn, len(read))
        return picture

    def _read_depth(self, scene: pyrender.Scene) -> F32:
        read = self._read(gl.GL_DEPTH_BUFFER_BIT, gl.GL_NEAREST, (gl.GL_DEPTH_COMPONENT, gl.GL_FLOAT), (), np.float32)
        camera, metres = scene.main_camera_node.camera, np.empty_like(read)

        def turn(rows: slice) -> None:
            metres[rows] = _metres(read[::-1][rows], camera.znear, camera.zfar, camera.parallel)

        in_bands(turn, len(read))
        return metres

    def _read(
        self, buffer: int, way: int, kind: tuple[int, int], channels: tuple[int, ...], of: type[np.floating]
    ) -> NDArray[np.floating]:
        """Bring the samples of a buffer together and return them, row 0 below."""
        width, height = self._main_fb_dims
        gl.glBindFramebuffer(gl.GL_READ_FRAMEBUFFER, self._main_fb_ms)
        gl.glBindFramebuffer(gl.GL_DRAW_FRAMEBUFFER, self._main_fb)
        gl.glBlitFramebuffer(0, 0, width, height, 0, 0, width, height, buffer, way)
        gl.glBindFramebuffer(gl.GL_READ_FRAMEBUFFER, self._main_fb)
        gl.glPixelStorei(gl.GL_PACK_ALIGNMENT, 1)
        read = np.empty((height, width, *channels), of)
        read_pixels_into(0, 0, width, height, *kind, read.ctypes.data_as(ctypes.c_void_p))
        return read


def _metres(depth: F32, near: float, far: float, parallel: bool) -> F32:
    """Turn window depth 0..1 into metres from the eye's plane; 0 where nothing was drawn."""
    metres = near + depth * (far - near) if parallel else near * far / (far - depth * (far - near))
    return np.where(depth < 1, metres, 0).astype(np.float32)
