"""How many blanks the field takes, with and without its offcuts used again.

Every cut piece takes its reach along the board, and each saw cut between two pieces of one blank a kerf. A blank of
length L then yields pieces of lengths l where the sum of (l + kerf) is at most L + kerf: bin packing. An offcut's end
may be slanted; pieces are set end to end by their whole reach, so the plan can always be sawn, if not always best.

Whole boards take a blank each. For the rest `cutting` gives two numbers: what first-fit-decreasing needs, which is a
plan that works, and a lower bound that no plan can beat. Where they agree the number is exact. First-fit-decreasing
never takes more than 11/9 of the least plus 6/9 of a blank (G. Dosa, "The tight bound of first fit decreasing
bin-packing algorithm is FFD(I) <= 11/9 OPT(I) + 6/9", ESCAPE 2007; from memory).

It holds for boards whose offcuts fit on either side, as boards grooved all round and joined by a spline do; boards
with a tongue come in left and right, and re-use fewer of their offcuts.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from preview.floor.blanks import extents
from preview.floor.layout import Pieces, Role

Array = NDArray[np.float64]

KERF = 0.003175
"""What a saw cut takes, 1/8 in (metres). Common practice, no published source."""

EXACT = 1e-9
"""Lengths that fit to this (metres) fit."""


SPARES = 0.02
"""Boards kept back for miscuts, flaws and later repairs, as a share of those to cut. Common practice, no published
source: one in fifty on top of what the layout itself wastes, two boards at least."""

FEWEST_SPARES = 2


@dataclass(frozen=True)
class Cutting:
    """Blanks for a field: `apart` with no offcut used again (a blank for every lattice place that the field touches),
    `reused` by a plan that uses them, and `least`, which no plan along the length goes below."""

    apart: int
    reused: int
    least: int


def cutting(pieces: Pieces, length: float, kerf: float = KERF) -> Cutting:
    """Return the blanks of `length` (metres, without joint) that the field boards among `pieces` take."""
    board = pieces.role == Role.BOARD
    whole = int((board & pieces.whole).sum())
    lengths = np.minimum(cut_lengths(pieces), length)
    apart = len(np.unique(pieces.key[board], axis=0))
    return Cutting(apart, whole + len(first_fit(lengths, length, kerf)), whole + least_blanks(lengths, length, kerf))


def cut_lengths(pieces: Pieces) -> Array:
    """Return the reach along the board of every cut field piece, (m,) metres."""
    cut = (pieces.role == Role.BOARD) & ~pieces.whole
    low, high = extents(pieces.polygons[cut], pieces.grain[cut])
    reach: Array = high[:, 0] - low[:, 0]
    return reach


def first_fit(lengths: Array, blank: float, kerf: float = KERF) -> list[list[int]]:
    """Return which pieces come from which blank: long pieces first, each from the first blank with room for it."""
    room = np.full(len(lengths), blank + kerf)
    blanks: list[list[int]] = []
    for piece in np.argsort(-lengths, kind="stable"):
        number = int(np.argmax(room >= lengths[piece] + kerf - EXACT))
        if number == len(blanks):
            blanks.append([])
        blanks[number].append(int(piece))
        room[number] -= lengths[piece] + kerf
    return blanks


def least_blanks(lengths: Array, blank: float, kerf: float = KERF) -> int:
    """Return a number of blanks that no plan goes below: the bound L2 of S. Martello and P. Toth, "Lower bounds and
    reduction procedures for the bin packing problem", Discrete Applied Mathematics 28 (1990) 59-70 (from memory).

    For any length a up to half a blank, pieces over half a blank stand alone; those between a and a half fill first
    what pieces of at most (blank - a) leave, the rest new blanks. The best a gives the bound.
    """
    full = blank + kerf
    sizes = np.sort(lengths) + kerf
    best = 0
    for a in (0.0, *np.unique(sizes[sizes <= full / 2 + EXACT])):
        alone = int((sizes > full - a + EXACT).sum())
        paired = sizes[(sizes > full / 2 + EXACT) & (sizes <= full - a + EXACT)]
        small = sizes[(sizes >= a - EXACT) & (sizes <= full / 2 + EXACT)]
        more = ceil((small.sum() - (len(paired) * full - paired.sum())) / full - 1e-6)
        best = max(best, alone + len(paired) + max(0, more))
    return best


def spare_boards(boards: int) -> int:
    """Return how many boards to buy beyond the `boards` that the layout takes; none where it takes none."""
    return max(FEWEST_SPARES, ceil(SPARES * boards)) if boards else 0


def boxes(blanks: int, width: float, length: float, coverage: float) -> int:
    """Return how many boxes of `coverage` square metres hold `blanks` boards of `width` x `length` metres."""
    return ceil(blanks * width * length / coverage - 1e-9)
