"""A camera and the pinhole (or parallel) projection it stands for: the only place that projects or casts rays."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Window = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Camera:
    """Where a picture is taken from.

    position (3,) and target (3,), metres; up (3,); `fov` horizontal field of view where there is no shift, radians
    (None: parallel projection, `span` metres across the picture's width); size (width, height) in pixels. `shift`
    (right, up) moves the picture over the picture plane as a shift lens does, tangents of angles from the axis; a
    level camera then shows more floor while verticals stay vertical. `remarks` are what the picture can't keep or show,
    in words for who asked for it.
    """

    name: str
    position: Array
    target: Array
    up: Array
    fov: float | None
    span: float
    size: tuple[int, int]
    shift: tuple[float, float] = (0.0, 0.0)
    remarks: tuple[str, ...] = ()

    @cached_property
    def axes(self) -> Array:
        """The unit right, up and backward axes as rows of a (3, 3) array."""
        back = self.position - self.target
        back = back / np.linalg.norm(back)
        right = _cross(self.up, back)
        right = right / np.linalg.norm(right)
        return np.stack([right, _cross(back, right), back])

    def pose(self) -> Array:
        """Return the (4, 4) matrix from the camera's axes to the world."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.axes.T
        matrix[:3, 3] = self.position
        return matrix

    @property
    def tilt(self) -> float:
        """How far the axis points below the horizontal, radians."""
        return float(np.arcsin(np.clip(self.axes[2, 2], -1, 1)))

    @property
    def pixel(self) -> float:
        """A pixel's side on the picture plane at distance 1 from the eye, or in metres for a parallel projection."""
        return (self.span if self.fov is None else 2 * float(np.tan(self.fov / 2))) / self.size[0]

    def window(self, box: tuple[float, float, float, float] | None = None) -> Window:
        """Return (left, right, bottom, top) of the pixels box = (x0, y0, x1, y1), y down, by default the whole
        picture, on the picture plane at distance 1, or in metres for a parallel projection: what `glFrustum` and
        `glOrtho` take. It lies off the axis by `shift`."""
        width, height = self.size
        x0, y0, x1, y1 = box or (0, 0, width, height)
        right, up = self.shift
        return (
            right + (x0 - width / 2) * self.pixel,
            right + (x1 - width / 2) * self.pixel,
            up + (height / 2 - y1) * self.pixel,
            up + (height / 2 - y0) * self.pixel,
        )

    def ahead(self, points: Array) -> Array:
        """Return how far points (n, 3) lie before the eye along the axis, metres (n,)."""
        return np.asarray(-(np.asarray(points, float) - self.position) @ self.axes[2])

    def project(self, points: Array) -> Array:
        """Return pixel positions (n, 2) of points (n, 3): x right, y down, (0, 0) the outer corner of the first pixel.

        Pinhole: x = w/2 + f (X/Z - shift), y = h/2 - f (Y/Z - shift) with f = w / (2 tan(fov / 2)).
        """
        left, _, _, top = self.window()
        x, y, z = self.axes @ (np.asarray(points, float) - self.position).T
        away = 1.0 if self.fov is None else -z
        return np.stack([(x / away - left) / self.pixel, (top - y / away) / self.pixel], axis=-1)

    def places(self, depth: NDArray[np.floating]) -> Array:
        """Return the world points (h, w, 3) that a picture's pixels show at their middles, by how far they lie ahead
        (h, w), metres."""
        width, height = self.size
        left, _, _, top = self.window()
        x, y = np.meshgrid(left + (np.arange(width) + 0.5) * self.pixel, top - (np.arange(height) + 0.5) * self.pixel)
        far = np.asarray(depth, float)
        apart = far if self.fov is not None else np.ones_like(far)
        return np.asarray(self.position + np.stack([x * apart, y * apart, -far], axis=-1) @ self.axes)

    def rays(self, pixels: Array) -> Array:
        """Return the directions (n, 3), 1 long along the axis, in which the eye of a pinhole sees pixel positions
        (n, 2): `project` backwards."""
        left, _, _, top = self.window()
        x, y = np.asarray(pixels, float).T
        toward = np.stack([left + x * self.pixel, top - y * self.pixel, -np.ones(len(x))], axis=-1)
        return np.asarray(toward @ self.axes)


def _cross(one: Array, other: Array) -> Array:
    """Return the cross product of two vectors (3,); numpy's takes ten times as long for a single pair."""
    (a, b, c), (x, y, z) = one, other
    return np.array([b * z - c * y, c * x - a * z, a * y - b * x])
