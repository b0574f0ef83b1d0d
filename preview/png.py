"""Images as PNG data that says what it shows."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO

from PIL import Image
from PIL.PngImagePlugin import PngInfo

from preview.version import release

PERCEPTUAL = b"\x00"  # rendering intent of the sRGB chunk (PNG specification, third edition, 11.3.2.5)


def encode_png(image: Image.Image, words: Mapping[str, str]) -> bytes:
    """Return an RGB image as a PNG with an sRGB chunk and text chunks: `words` by keyword, then Software."""
    info = PngInfo()
    info.add(b"sRGB", PERCEPTUAL)
    for key, text in {**words, "Software": f"herringbone-preview {release()}"}.items():
        info.add_text(key, text) if text.isascii() else info.add_itxt(key, text)
    data = BytesIO()
    image.save(data, "PNG", pnginfo=info)
    return data.getvalue()
