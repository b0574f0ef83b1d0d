"""A picture as a PNG file that says what it is."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from PIL import Image
from PIL.PngImagePlugin import PngInfo

from preview.errors import UsageError
from preview.picture.picture import Picture

NATURE = "Wood is a natural material: real boards differ from each other and from this picture."
PERCEPTUAL = b"\x00"  # rendering intent of the sRGB chunk (PNG specification, third edition, 11.3.2.5)


def save_png(picture: Picture, path: str | Path, version: str) -> Path:
    """Write a picture, whole or not at all, and return its path.

    The file has an sRGB chunk and text chunks: Title, Variant, Viewpoint, Software, Comment.

    Raises:
        UsageError: the folder can't be written.
    """
    path = Path(path)
    info = PngInfo()
    info.add(b"sRGB", PERCEPTUAL)
    for key, text in (
        ("Title", picture.title),
        ("Variant", picture.variant),
        ("Viewpoint", picture.camera.name),
        ("Software", f"herringbone-preview {version}"),
        ("Comment", NATURE),
    ):
        info.add_itxt(key, text) if not text.isascii() else info.add_text(key, text)
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=".png")
        with os.fdopen(handle, "wb") as file:
            Image.fromarray(picture.rgb).save(file, "PNG", pnginfo=info)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as problem:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        raise UsageError(
            f"can't write {path}: {problem.strerror or problem}; give a folder that can be written"
        ) from None
    return path
