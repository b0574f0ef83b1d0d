"""Surfaces on the device, and the cameras that see them. Import it as `engine`, whose renderer draws them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager

import numpy as np
from numpy.typing import NDArray

from preview.picture.device.arrays import F32, Value
from preview.picture.device.engine import FloatRenderer, Layers, ShadedSurface, Texture, pyrender

Array = NDArray[np.float64]


class WindowCamera(pyrender.Camera):
    """A camera that sees the rectangle `window` = (left, right, bottom, top) of the picture plane: at distance 1 of
    the eye, or in metres for a parallel projection. An off-centre window is a tile of a larger picture."""

    def __init__(self, window: tuple[float, float, float, float], parallel: bool, near: float, far: float) -> None:
        super().__init__(znear=near, zfar=far)
        self.window, self.parallel = window, parallel

    def get_projection_matrix(self, width: int | None = None, height: int | None = None) -> NDArray[np.float64]:
        """Return the (4, 4) matrix to clip space (OpenGL 4.1 reference, glFrustum and glOrtho)."""
        left, right, bottom, top = self.window
        near, far = self.znear, self.zfar
        matrix = np.zeros((4, 4))
        matrix[0, 0], matrix[1, 1] = 2 / (right - left), 2 / (top - bottom)
        middle = (right + left) / (right - left), (top + bottom) / (top - bottom)
        if self.parallel:
            matrix[0, 3], matrix[1, 3] = -middle[0], -middle[1]
            matrix[2, 2], matrix[2, 3], matrix[3, 3] = -2 / (far - near), -(far + near) / (far - near), 1
        else:
            matrix[0, 2], matrix[1, 2] = middle
            matrix[2, 2], matrix[2, 3] = -(far + near) / (far - near), -2 * far * near / (far - near)
            matrix[3, 2] = -1
        return matrix


class Stage:
    """Surfaces on the device, and what draws them. Surfaces are known by the number that `add` gave them."""

    def __init__(self, samples: int) -> None:
        self._renderer = FloatRenderer(samples)
        self._scene = pyrender.Scene(bg_color=[0, 0, 0, 0])
        self._nodes: dict[int, pyrender.Node] = {}
        self._next = 0

    def add(self, surface: ShadedSurface, order: int) -> int:
        """Put a surface on the stage and return its number. Those of a lower `order` are drawn first, of one order
        those that were added first."""
        number, self._next = self._next, self._next + 1
        self._nodes[number] = self._scene.add(pyrender.Mesh([surface], name=f"{order:02d} {number:09d}"))
        return number

    def remove(self, numbers: Collection[int]) -> None:
        """Take surfaces off the stage; what no other one shares is freed when something is drawn next."""
        for number in numbers:
            self._scene.remove_node(self._nodes.pop(number))

    def draw(
        self, shown: Collection[int], camera: WindowCamera, pose: Array, size: tuple[int, int],
        uniforms: Mapping[str, Value], maps: Mapping[str, Texture], between: Callable[[], None] | None = None,
    ) -> tuple[F32, F32]:  # fmt: skip
        """Return a picture (height, width, 3) of the surfaces `shown` as the shaders wrote it, and depth (height,
        width) in metres, 0 where nothing is.

        Args:
            shown: numbers of surfaces.
            camera, pose: where from; (4, 4) from the camera's axes to the world.
            size: width and height, pixels.
            uniforms, maps: what the shaders are given by name; others of their uniforms stay as they were.
            between: as in `FloatRenderer.draw`.
        """
        with self._through(shown, camera, pose, uniforms, maps):
            return self._renderer.draw(self._scene, *size, between)

    def depth(self, shown: Collection[int], camera: WindowCamera, pose: Array, size: tuple[int, int]) -> F32:
        """Return the depth of the surfaces `shown`, as `draw` does; no colour is worked out."""
        with self._through(shown, camera, pose, {}, {}):
            return self._renderer.depth(self._scene, *size)

    def paint(
        self, layers: Layers, number: int, shown: Collection[int], camera: WindowCamera, pose: Array,
        uniforms: Mapping[str, Value], maps: Mapping[str, Texture],
    ) -> None:  # fmt: skip
        """Draw the same on to one of `layers`, which are none of `maps`; the last of them comes last."""
        with self._through(shown, camera, pose, uniforms, maps):
            self._renderer.paint(self._scene, layers, number)

    @contextmanager
    def _through(
        self, shown: Collection[int], camera: WindowCamera, pose: Array,
        uniforms: Mapping[str, Value], maps: Mapping[str, Texture],
    ) -> Iterator[None]:  # fmt: skip
        self._renderer.uniforms, self._renderer.maps = uniforms, maps
        for number, mesh in self._nodes.items():
            mesh.mesh.is_visible = number in shown
        node = pyrender.Node(camera=camera, matrix=pose)
        self._scene.add_node(node)
        try:
            yield
        finally:
            self._scene.remove_node(node)

    def delete(self) -> None:
        """Free all that lies in the context, but maps."""
        self._renderer.delete()
