"""The typeface of everything written into pictures: Source Sans Pro, which a package carries (SIL OFL 1.1)."""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from typing import Literal

from PIL import ImageFont

Weight = Literal["Regular", "Semibold", "It"]


@cache
def font(size: int, weight: Weight = "Regular") -> ImageFont.FreeTypeFont:
    """Return the typeface at `size` pixels."""
    with as_file(files("font_source_sans_pro") / "files" / f"SourceSansPro-{weight}.ttf") as path:
        return ImageFont.truetype(str(path), size)


def wrap(text: str, face: ImageFont.FreeTypeFont, width: float, lines: int) -> list[str]:
    """Break `text` at spaces into at most `lines` lines no wider than `width` pixels; what is left over is cut off.

    A cut is shown by an ellipsis. A single word wider than the line is cut too.
    """
    found: list[str] = []
    rest = text.split()
    while rest and len(found) < lines:
        line = rest.pop(0)
        while rest and face.getlength(f"{line} {rest[0]}") <= width:
            line += f" {rest.pop(0)}"
        found.append(line)
    if rest:
        found[-1] += f" {' '.join(rest)}"
    return [_cut(line, face, width) for line in found]


def _cut(line: str, face: ImageFont.FreeTypeFont, width: float) -> str:
    if face.getlength(line) <= width:
        return line
    keep = len(line)
    while keep > 1 and face.getlength(line[:keep].rstrip() + "…") > width:
        keep -= max(1, keep // 20)
    return line[:keep].rstrip() + "…"
