"""A finished picture."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.picture.camera import Camera


@dataclass(frozen=True, eq=False)
class Picture:
    """rgb (h, w, 3) uint8 sRGB; hdr (h, w, 3) float32 linear scene luminance; depth (h, w) metres, 0 for nothing."""

    camera: Camera
    title: str
    variant: str
    rgb: NDArray[np.uint8]
    hdr: NDArray[np.float32]
    depth: NDArray[np.float32]

    def save(self, path: str | Path) -> Path:
        """Write the picture as a PNG file, whole or not at all, and return its path.

        Raises:
            UsageError: it can't be written there.
        """
        from preview import __version__
        from preview.picture.png import save_png

        return save_png(self, path, __version__)
