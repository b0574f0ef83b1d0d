"""Small drawings of the pieces that words give corner by corner, for the card."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from preview.floor.cut_shapes import Marked, Shape
from preview.floor.layout import Layout

Ring = tuple[tuple[float, float], ...]

TALLEST, NARROWEST = 17.0, 1.8
"""Millimetres on paper: of the longest board, and of a board's width, under which a drawing shows nothing."""

MOST = 40
"""Pieces that are drawn; of more the words have to do."""


@dataclass(frozen=True)
class Sketch:
    """A piece called `name` on its board, `width` x `height` mm on paper: its rings from the top left."""

    name: str
    width: float
    height: float
    rings: tuple[Ring, ...]

    def told(self) -> dict[str, object]:
        """Return the drawing as a template takes it."""
        return vars(self)


def sketches(layout: Layout, shapes: Mapping[str, Shape]) -> dict[str, Sketch]:
    """Return a drawing for each of `shapes`, by its words, that only its corners tell: K1, K2 and so on, all to one
    scale; none where boards are so long that nothing would be seen."""
    marked = {words: shape for words, shape in shapes.items() if isinstance(shape, Marked)}
    longest = max((max(y for _, y in shape.rings[0]) for shape in marked.values()), default=0.0)
    if not marked or len(marked) > MOST or layout.board.width / longest * TALLEST < NARROWEST:
        return {}
    scale = TALLEST / longest
    return {
        words: _sketch(f"K{n}", shape, layout.board.width, scale) for n, (words, shape) in enumerate(marked.items(), 1)
    }


def _sketch(name: str, shape: Marked, width: float, scale: float) -> Sketch:
    tall = max(y for _, y in shape.rings[0])
    rings = tuple(tuple((round(x * scale, 3), round((tall - y) * scale, 3)) for x, y in ring) for ring in shape.rings)
    return Sketch(name, round(width * scale, 3), round(tall * scale, 3), rings)
