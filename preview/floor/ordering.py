"""What to buy for the field: boards with their spares, as area, as length, and as the trade's waste."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.floor.layout import Layout
from preview.floor.packing import spare_boards


@dataclass(frozen=True)
class Order:
    """Boards to buy: `cut` for the layout and `spare`; their `area`, square metres, and `length`, metres, of wood
    without joints; `added` is by what share that area is more than the field's, as the trade gives waste."""

    cut: int
    spare: int
    area: float
    length: float
    added: float

    @property
    def boards(self) -> int:
        """All boards to buy."""
        return self.cut + self.spare


def order(layout: Layout, cut: int) -> Order:
    """Return what to buy where the field takes `cut` boards."""
    spare, board = spare_boards(cut), layout.board
    length = (cut + spare) * board.average
    area = length * board.width
    field = float(layout.measures["field_area"])
    return Order(cut, spare, area, length, area / field - 1 if field else 0.0)


@dataclass(frozen=True)
class Growth:
    """What boards that are not true to size add up to, metres.

    `ten` is how far ten boards reach, as `Facts.ten` says; `along` by how much
    the field grows from its near end to its far one where every board is `error` wider, `wide` from side to side then,
    and `across` from side to side where every board is `error` longer.
    """

    error: float
    ten: float
    along: float
    wide: float
    across: float


def growth(layout: Layout, error: float) -> Growth:
    """Return what an `error` (metres) in every board's width, or length, does to the field.

    How far apart boards and courses lie is the pattern's (`preview.floor.patterns`).
    """
    facts = layout.facts
    reach = float(np.hypot(*(layout.chalk_line[1] - layout.chalk_line[0])))
    ten = 10 / facts.boards_a_step * facts.corner_step
    across = (layout.count * each * error for each in (facts.wide, facts.across))
    return Growth(error, ten, reach * facts.along * error, *across)
