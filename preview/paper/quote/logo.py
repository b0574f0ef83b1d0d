"""A firm's logo made fit for a page: read with care, and made small.

What a file is, is decided by how it begins, never by its name: PNG, JPEG and SVG are read, and no other. An SVG is
drawn by the typesetter from the file alone: one that draws on anything outside itself is refused.
"""

from __future__ import annotations

import io
import re
import warnings
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

from preview.file_reading import NoFile, TooLarge, file_content
from preview.paper.quote.svg_drawing import TooSlow, drawn_svg
from preview.unfinished import scratch_folder

WIDEST, TALLEST = 900, 360  # pixels; about 400 dots an inch where it stands on the page
MOST_BYTES = 50_000_000
MOST_SVG_BYTES = 5_000_000
SVG = "{http://www.w3.org/2000/svg}"
RASTERS = {b"\x89PNG\r\n\x1a\n": "PNG", b"\xff\xd8\xff": "JPEG"}
"""How files begin: PNG specification, third edition, 5.2; start of image and of a marker in ITU-T T.81, annex B."""

WITHIN = ("#", "data:image/png", "data:image/jpeg")
"""How references begin that stay within a file."""

STYLED = re.compile(r"""(?:url\(|@import)\s*["']?\s*(?!url\()([^"')]*)""", re.IGNORECASE)
"""Addresses in a style sheet: CSS Values and Units level 4, url(); CSS Cascading and Inheritance level 4, @import."""

REMEDY = "save it as a PNG, JPEG or SVG of about 900 pixels"


class _Unusable(Exception):
    """A logo that can't be used; its message says why, as a clause."""


def small_logo(path: Path) -> tuple[bytes | None, str]:
    """Return a logo as a small PNG, and a warning: one of the two is empty.

    A quote can do without its logo, so that one which is missing, damaged, far too large or of another kind is only
    warned of.
    """
    try:
        image = _drawn(_content(path))
    except FileNotFoundError:
        return None, f"{path}: there is no such logo, so the quote has none; check firm.logo"
    except _Unusable as fault:
        return None, f"{path}: the logo is left out ({fault}); {REMEDY}"
    except OSError as fault:
        return None, f"{path}: the logo is left out (it can't be read: {fault.strerror or fault}); check firm.logo"
    image.thumbnail((WIDEST, TALLEST), Image.Resampling.LANCZOS)
    content = io.BytesIO()
    image.save(content, "PNG", optimize=True)
    return content.getvalue(), ""


def _content(path: Path) -> bytes:
    try:
        return file_content(path, MOST_BYTES)
    except NoFile:
        raise _Unusable("not a file") from None
    except TooLarge:
        raise _Unusable(f"over {MOST_BYTES / 1e6:.0f} MB") from None


def _drawn(content: bytes) -> Image.Image:
    kind = next((name for begins, name in RASTERS.items() if content.startswith(begins)), None)
    return _svg(content) if kind is None else _raster(content, kind)


def _raster(content: bytes, kind: str) -> Image.Image:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=[kind]) as opened:
                opened.draft("RGB", (2 * WIDEST, 2 * TALLEST))
                return opened.convert("RGBA")
    except Exception as fault:  # a picture library raises errors of many kinds for files that are none
        large = "Decompression" in type(fault).__name__
        raise _Unusable("too many pixels" if large else f"a damaged {kind}") from None


def _svg(content: bytes) -> Image.Image:
    """Return an SVG drawn as large as it is wanted at most, cut to what it shows."""
    written = _self_contained(content)
    with scratch_folder() as folder:
        try:
            made = drawn_svg(written, folder, WIDEST, TALLEST)
        except TooSlow:
            raise _Unusable("an SVG that takes too long to draw") from None
    if made is None:
        raise _Unusable("a damaged SVG")
    image = _raster(made, "PNG")
    shown = image.getchannel("A").getbbox()
    if shown is None:
        raise _Unusable("an SVG that shows nothing")
    return image.crop(shown)


def _self_contained(content: bytes) -> bytes:
    """Return an SVG written anew, without its document type and whatever is no element.

    Raises:
        _Unusable: it is no SVG, or draws on a file or an address outside itself.
    """
    if len(content) > MOST_SVG_BYTES:
        raise _Unusable(f"neither PNG nor JPEG, and over {MOST_SVG_BYTES / 1e6:.0f} MB")
    try:
        root = ET.fromstring(content)  # the parser fetches nothing, and limits how far entities may grow
        written = ET.tostring(root)
    except (ET.ParseError, ValueError, LookupError, RecursionError):
        raise _Unusable("neither PNG, JPEG nor SVG") from None
    if root.tag != f"{SVG}svg":
        raise _Unusable("neither PNG, JPEG nor SVG")
    if not all(found.startswith(WITHIN) for found in _references(root)):
        raise _Unusable("an SVG that draws on something outside itself")
    return written


def _references(root: ET.Element) -> Iterator[str]:
    """Yield what the elements of an SVG draw on: addresses of images, symbols, gradients, fonts and style sheets; not
    where a link leads, which nothing fetches."""
    for element in root.iter():
        for name, value in element.attrib.items():
            if name.rpartition("}")[2] == "href":
                if element.tag != f"{SVG}a":
                    yield value.strip()
            else:
                yield from STYLED.findall(value)
        if element.tag == f"{SVG}style":
            yield from STYLED.findall("".join(element.itertext()))
