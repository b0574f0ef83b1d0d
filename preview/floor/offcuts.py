"""Ends sawn off where rows of mixed lengths end, which can begin other rows.

They are counted, and not taken off the boards to cut: where joints fall at random, a row that begins with an offcut has
its joints elsewhere, and whether each then keeps the stagger is found only as the rows are laid.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from preview.floor.blank_sides import kept_ends
from preview.floor.layout import Layout, Role
from preview.floor.packing import EXACT, NEAR, cut_lengths


@dataclass(frozen=True)
class Offcuts:
    """Of `sawn` ends that come off at the far ends of rows, `long_enough` can begin another, `length` metres in all."""

    sawn: int
    long_enough: int
    length: float


def row_offcuts(layout: Layout, least: float, kerf: float) -> Offcuts:
    """Return the ends sawn off in a layout, those of at least `least` metres apart; a cut takes `kerf` metres.

    A board that is laid in more than one piece has no end left over. An end that is sawn at an angle is as long as its
    shorter edge, which is what is left of it when it is squared.
    """
    boards = layout.pieces.take(layout.pieces.role == Role.BOARD)
    cut = boards.take(~boards.whole)
    laid = Counter(map(tuple, boards.key.tolist()))
    alone = np.array([laid[place] == 1 for place in map(tuple, cut.key.tolist())], bool)
    joint = layout.board.pitch[1] - layout.board.length
    left = (cut.size[:, 0] - joint - cut_lengths(boards) - kerf)[alone & (kept_ends(cut) == NEAR)]
    left = left[left > EXACT]
    enough = left[left >= least - EXACT]
    return Offcuts(len(left), len(enough), float(enough.sum()))
