"""A camera and the pinhole (or parallel) projection it stands for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Camera:
    """Where a picture is taken from.

    position (3,) and target (3,), metres; up (3,); `fov` horizontal field of view, radians (None: parallel
    projection, `span` metres across the picture's width); size (width, height) in pixels.
    """

    name: str
    position: Array
    target: Array
    up: Array
    fov: float | None
    span: float
    size: tuple[int, int]

    def axes(self) -> Array:
        """Return the unit right, up and backward axes as rows of a (3, 3) array."""
        back = self.position - self.target
        back = back / np.linalg.norm(back)
        right = np.cross(self.up, back)
        right = right / np.linalg.norm(right)
        return np.stack([right, np.cross(back, right), back])

    def project(self, points: Array) -> Array:
        """Return pixel positions (n, 2) of points (n, 3): x right, y down, (0, 0) the outer corner of the first pixel.

        Pinhole: x = w/2 + f X/Z, y = h/2 - f Y/Z with f = w / (2 tan(fov / 2)).
        """
        width, height = self.size
        x, y, z = self.axes() @ (np.asarray(points, float) - self.position).T
        scale = width / self.span if self.fov is None else width / (2 * np.tan(self.fov / 2)) / -z
        return np.stack([width / 2 + scale * x, height / 2 - scale * y], axis=-1)
