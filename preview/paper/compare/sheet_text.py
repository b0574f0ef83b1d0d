"""Text of a sheet in lines that are broken before they are set, so that it is known how much of the page it takes."""

from __future__ import annotations

from dataclasses import dataclass

from preview.fonts import Weight, extent
from preview.paper.typesetting import WITHIN

LEADING = 1.2
"""From one line to the next, of the letters' size."""

READABLE = 7.0
"""Points: nothing on a page is set smaller. Small print of forms is 6 to 8 (common practice, no published source)."""

LABEL = 8 * 25.4 / 72
"""Millimetres, 8 points: what is written into pictures and plans."""


@dataclass(frozen=True)
class TextBlock:
    """Lines of one size (points), weight and colour, one under the other."""

    lines: tuple[str, ...]
    size: float
    weight: Weight = "Regular"
    fill: str = "ink"

    @property
    def height(self) -> float:
        """How much of the page they take, points."""
        return len(self.lines) * self.size * LEADING


def text_block(
    text: str, size: float, width: float, weight: Weight = "Regular", fill: str = "ink", most: int | None = None
) -> TextBlock:
    """Return a text in lines no wider than `width` points, and no more than `most`: what is left over is cut off."""
    return TextBlock(tuple(wrapped(text, size, width, weight, most)), size, weight, fill)


def wrapped(text: str, size: float, width: float, weight: Weight = "Regular", most: int | None = None) -> list[str]:
    """Return the lines of a text; a word that is longer than a line is broken where the line ends."""
    lines: list[str] = []
    line = ""
    for word in _words(text):
        longer = f"{line} {word}" if line else word
        if _wide(longer, size, weight) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        while _wide(word, size, weight) > width and len(word) > 1:
            keep = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or _wide(word[:n], size, weight) <= width)
            lines.append(word[:keep])
            word = word[keep:]
        line = word
    lines = [*lines, line] if line else lines
    if most is not None and len(lines) > most:
        last = lines[most - 1]
        while last and _wide(f"{last}…", size, weight) > width:
            last = last[:-1].rstrip()
        lines = [*lines[: most - 1], f"{last}…"]
    return lines


def _words(text: str) -> list[str]:
    """Return the words of a text, lengths and sizes as one word each."""
    return WITHIN.sub("\u00a0", " ".join(text.split())).split(" ")


def _wide(text: str, size: float, weight: Weight) -> float:
    return extent(text, weight)[0] * size
