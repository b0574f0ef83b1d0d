"""A finished picture."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.files import write_whole
from preview.picture.view.camera import Camera
from preview.png import encode_png

NATURE = "Wood is a natural material: real boards differ from each other and from this picture."


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
        """Write the picture as a PNG file, whole or not at all, and return its path; its folder is made if missing.

        Raises:
            UsageError: it can't be written there.
        """
        return write_whole(Path(path), self.png())

    def png(self) -> bytes:
        """Return the picture as a PNG with an sRGB chunk and text chunks: Title, Variant, Viewpoint, Comment,
        Software."""
        return encode_png(Image.fromarray(self.rgb), self.words())

    def words(self) -> dict[str, str]:
        """Return what a file of the picture says of it, by keyword."""
        return {"Title": self.title, "Variant": self.variant, "Viewpoint": self.camera.name, "Comment": NATURE}
