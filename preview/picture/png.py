"""A picture as a PNG file that says what it is."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from PIL import Image
from PIL.PngImagePlugin import PngInfo

from preview.files import writable_folder, write_whole
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
    writable_folder(path.parent)
    data = BytesIO()
    Image.fromarray(picture.rgb).save(data, "PNG", pnginfo=info)
    return write_whole(path, data.getvalue())
