"""How much room a text takes on paper, from the metrics of the typeface that it is set in."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import Polygon, affinity

from preview.fonts import Weight, extent

WIDER = 1.12
"""A viewer without the typeface takes another, and the usual ones run this much wider: a figure of Arial is 0.556 em
(from memory), one of Source Sans 0.497."""

CLEAR = 0.25  # mm, white that is kept round every text


def text_width(text: str, size: float, weight: Weight = "Regular") -> float:
    """Return the width of `text` set at `size` mm, a little generously; letters of wide scripts take 1 em."""
    wide = sum(ord(each) > 0x2E7F for each in text)
    return max(WIDER * extent(text, weight)[0], wide) * size


def text_box(
    at: ArrayLike, text: str, size: float, turn: float = 0.0, style: Mapping[str, object] | None = None
) -> Polygon:
    """Return what a text takes on paper with the white round it, mm.

    Args:
        at: (2,) where its line begins, or its middle where the style's `text_anchor` is "middle".
        text, size: what is written, and how large, mm.
        turn: degrees clockwise on paper, about `at`.
        style: attributes of the text, of which anchor, weight and slant count.
    """
    style = style or {}
    weight: Weight = "Semibold" if str(style.get("font_weight", 400)) >= "600" else "Regular"
    if style.get("font_style") == "italic":
        weight = "It"
    _, rise, fall = extent(text, weight)
    x, y = np.asarray(at, float)
    width = text_width(text, size, weight)
    left = x - width / 2 if style.get("text_anchor") == "middle" else x
    shape = shapely.box(left - CLEAR, y - rise * size - CLEAR, left + width + CLEAR, y + fall * size + CLEAR)
    return affinity.rotate(shape, turn, origin=(float(x), float(y))) if turn else shape


def fit_text(text: str, size: float, width: float) -> tuple[str, float]:
    """Return `text` and a size at which it is no wider than `width` mm: set smaller where it is long, cut with an
    ellipsis where very long."""
    size = max(min(size, size * width / max(text_width(text, size), 1e-9)), 0.72 * size)
    while text_width(text, size) > width and len(text) > 4:
        text = text[:-2].rstrip("… ") + "…"
    return text, size
