"""The typeface of everything written into pictures: Source Sans Pro, which a package carries (SIL OFL 1.1).

A text with letters that it lacks, such as Hebrew and Arabic, is set by the typesetter of the papers, which has faces
for them and sets them from right to left; a letter that it lacks too, such as an emoji, is an empty box.
"""

from __future__ import annotations

import io
from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from typing import Literal

from PIL import Image, ImageFilter, ImageFont, ImageOps

Weight = Literal["Regular", "Semibold", "It"]


@cache
def font(size: int, weight: Weight = "Regular") -> ImageFont.FreeTypeFont:
    """Return the typeface at `size` pixels."""
    with as_file(files("font_source_sans_pro") / "files" / f"SourceSansPro-{weight}.ttf") as path:
        return Typeface(str(path), size)


class Typeface(ImageFont.FreeTypeFont):
    """A typeface of Pillow's that has the typesetter set a text of which it lacks letters."""

    def getmask2(
        self,
        text: str | bytes,
        mode: str = "",
        direction: str | None = None,
        features: list[str] | None = None,
        language: str | None = None,
        stroke_width: float = 0,
        anchor: str | None = None,
        ink: int = 0,
        start: tuple[float, float] | None = None,
        *args: object,
        **kwargs: object,
    ) -> tuple[Image.core.ImagingCore, tuple[int, int]]:
        """Return the text as a mask, and where that lies from the point the text is drawn at; as Pillow asks for it."""
        if self._has_all(text):
            return super().getmask2(
                text, mode, direction, features, language, stroke_width, anchor, ink, start, *args, **kwargs
            )
        image, (left, top) = self._set(str(text), anchor)
        if stroke := round(stroke_width):
            image = ImageOps.expand(image, stroke).filter(ImageFilter.MaxFilter(2 * stroke + 1))
        return image.im, (left - stroke, top - stroke)

    def getlength(
        self,
        text: str | bytes,
        mode: str = "",
        direction: str | None = None,
        features: list[str] | None = None,
        language: str | None = None,
    ) -> float:
        """Return how far the text reaches, pixels."""
        if self._has_all(text):
            return super().getlength(text, mode, direction, features, language)
        return float(self._line(str(text)).width - 2 * _pad(self.size))

    def getbbox(
        self,
        text: str | bytes | bytearray,
        mode: str = "",
        direction: str | None = None,
        features: list[str] | None = None,
        language: str | None = None,
        stroke_width: float = 0,
        anchor: str | None = None,
    ) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom of what is inked, pixels from the point the text is drawn at."""
        if self._has_all(text):
            return super().getbbox(text, mode, direction, features, language, stroke_width, anchor)
        image, (x, y) = self._set(str(text), anchor)
        left, top, right, bottom = image.getbbox() or (0, 0, 0, 0)
        return (x + left - stroke_width, y + top - stroke_width, x + right + stroke_width, y + bottom + stroke_width)

    def _has_all(self, text: str | bytes | bytearray) -> bool:
        return not isinstance(text, str) or all(_has(str(self.path), each) for each in set(text))

    def _line(self, text: str) -> Image.Image:
        return _typeset(text, self.size, Path(str(self.path)).stem.rpartition("-")[2], self.getmetrics())

    def _set(self, text: str, anchor: str | None) -> tuple[Image.Image, tuple[int, int]]:
        """Return the set text, and where its corner lies from a point that is its `anchor`, as Pillow writes those."""
        across, along = (anchor or "la")[0], (anchor or "la")[1]
        image, pad, (up, down) = self._line(text), _pad(self.size), self.getmetrics()
        left = {"l": 0.0, "m": 0.5, "r": 1.0}[across] * (image.width - 2 * pad)
        top = {"a": 0.0, "t": 0.0, "m": (up + down) / 2, "s": up, "b": up + down, "d": up + down}[along]
        return image, (-round(left) - pad, -round(top) - pad)


@cache
def _has(path: str, letter: str) -> bool:
    """Whether a typeface has a letter: it draws something else than its box for a missing one."""
    if letter.isascii() or letter.isspace():
        return True
    face = ImageFont.truetype(path, 20)
    drawn, missing = (face.getmask(each) for each in (letter, "\ufffe"))
    return (drawn.size, bytes(drawn)) != (missing.size, bytes(missing))


def _pad(size: float) -> int:
    """Pixels left round a set text for what reaches out of its line."""
    return round(0.4 * size)


@cache
def _typeset(text: str, size: float, weight: str, metrics: tuple[int, int]) -> Image.Image:
    """Return one line set by the typesetter as a mask, `_pad` wider on every side than the line.

    metrics: of the typeface, how far it reaches over and under the line that letters stand on, pixels.
    """
    import typst

    up, down = metrics
    style = {"Regular": "", "Semibold": ", weight: 600", "It": ', style: "italic"'}[weight]
    page = (
        f"#set page(width: auto, height: auto, margin: {_pad(size)}pt, fill: none)\n"
        f'#set text(font: "Source Sans Pro", size: {size}pt, top-edge: {up}pt, bottom-edge: -{down}pt{style})\n'
        "#box(sys.inputs.text)"
    )
    with as_file(files("font_source_sans_pro") / "files") as faces:
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(faces)])
        made = typst.compile(page.encode(), font_paths=fonts, format="png", ppi=72.0, sys_inputs={"text": text})
    with Image.open(io.BytesIO(made)) as image:
        return image.getchannel("A")


@cache
def extent(text: str, weight: Weight = "Regular") -> tuple[float, float, float]:
    """Return how far a text reaches in ems: its width, how far it is inked over the line it stands on, and under it."""
    size = 1000 if all(each.isascii() or _has(str(font(20, weight).path), each) for each in text) else 100
    face = font(size, weight)
    left, top, right, bottom = face.getbbox(text, anchor="ls")
    return max(face.getlength(text), right, right - left) / size, max(0.0, -top / size), max(0.0, bottom / size)


def shortened(text: str, face: ImageFont.FreeTypeFont, width: float) -> str:
    """Return `text` on one line no wider than `width` pixels: what is left over is cut off, shown by an ellipsis."""
    line = " ".join(text.split())
    if face.getlength(line) <= width:
        return line
    keep = len(line)
    while keep > 1 and face.getlength(line[:keep].rstrip() + "…") > width:
        keep -= max(1, keep // 20)
    return line[:keep].rstrip() + "…"
