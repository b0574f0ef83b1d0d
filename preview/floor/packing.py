"""How many boards the field takes, with and without its offcuts used again.

A board gives several pieces where their reaches along it, and a kerf between any two, are no longer than it. Pieces
are set end to end by their whole reach, so that the plan can always be sawn, though slanted ends might lie closer.

A piece that keeps an end of its board needs one with its groove, or its tongue, still on: a board has two of them,
whatever its length. A piece sawn at both ends comes from the middle of any board, a piece that keeps both is a board.

- Boards grooved all round and joined by splines have two ends alike, and may be turned: of the pieces that keep one
  end any two may come from one board.
- Boards with tongue and groove come as left and right blocks, grooved at the near end and
  tongued at the far one: only a piece that keeps the one and a piece that keeps the other, of one hand, may share one.

The pairs are as many as there can be, which for two pieces a board is exact: sorted, the longest that finds a partner
takes one, and the pieces that would go with it go with any shorter one too. The pieces from the middle then fill what
is left, long ones first, each in the first board with room. `Cutting.least` is a number that no plan goes below.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from preview.distinct import distinct
from preview.floor.blank_sides import ENDS, kept_ends
from preview.floor.blanks import board_extents
from preview.floor.layout import Pieces, Role

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

KERF = 0.003175
"""What a saw cut takes, 1/8 in (metres). Common practice, no published source."""

EXACT = 1e-9
"""Lengths that fit to this (metres) fit."""

SPARES = 0.02
"""Boards set aside for miscuts, flaws and later repairs, as a share of those to cut. Common practice, no published
source: one in fifty on top of what the layout itself wastes, two boards at least."""

FEWEST_SPARES = 2

NONE, NEAR, FAR, BOTH = range(len(ENDS))


@dataclass(frozen=True)
class Cutting:
    """Boards for a field.

    `apart` with no offcut used again, one for every place of the pattern that the field touches; `reused` with
    offcuts used again where boards are grooved all round; `tongued` the same with tongue and groove; `least` what no
    plan for boards grooved all round goes below.
    """

    apart: int
    reused: int
    tongued: int
    least: int


def cutting(pieces: Pieces, length: float, kerf: float = KERF) -> Cutting:
    """Return the boards of `length` (metres, without joint) that the field boards among `pieces` take."""
    board = pieces.role == Role.BOARD
    if np.any(np.abs(np.diff(pieces.size[board, 0])) > EXACT):
        return _mixed(pieces.take(board), length, kerf)
    whole = int((board & pieces.whole).sum())
    cut = board & ~pieces.whole
    chosen = pieces.take(cut)
    lengths = np.minimum(cut_lengths(pieces), length)
    keeps, right = kept_ends(chosen), chosen.hand == 1
    # Square ends serve either hand; where they are mitred, each hand is cut from its own, and a kerf is as wide as its
    # slant along the board.
    mitred = bool(chosen.skew.any())
    lots = [chosen.hand == hand for hand in distinct(chosen.hand)] if mitred else [np.ones(len(chosen), bool)]
    kerf *= float(np.sqrt(1 + np.max(chosen.skew**2, initial=0.0)))
    reused = tongued = least = 0
    for lot in lots:
        own = lengths[lot], keeps[lot], right[lot]
        grooved, tongues = (len(cutting_plan(*own, length, kerf, tongued=each)) for each in (False, True))
        reused += min(grooved, tongues)  # what tongues allow, grooves all round allow too
        tongued += tongues
        ends = own[0][(own[1] == NEAR) | (own[1] == FAR)]
        bound = int((own[1] == BOTH).sum()) + len(ends) - len(_pairs_alike(ends, length, kerf))
        least += max(bound, least_blanks(own[0], length, kerf))
    return Cutting(len(distinct(pieces.key[board], axis=0)), whole + reused, whole + tongued, whole + least)


def _mixed(boards: Pieces, longest: float, kerf: float) -> Cutting:
    """Return the boards of a field in which boards of several lengths, up to `longest`, are mixed, as they come.

    An offcut serves by the end that it still has: what is left of a piece that keeps its near end ends a piece that
    keeps its far one. The shortest offcut with room for the shortest such piece takes it, and so on, by which as many
    offcuts are used as can be.
    """
    places, count = np.unique(boards.key, axis=0, return_counts=True)
    chosen = boards.take(~boards.whole)
    lengths, keeps = cut_lengths(boards), kept_ends(chosen)
    once = dict(zip(map(tuple, places.tolist()), count.tolist(), strict=True))
    alone = np.array([once[each] == 1 for each in map(tuple, chosen.key.tolist())], bool)
    whole = boards.take(boards.whole)
    joint = 0.0
    if len(whole):
        low, high = board_extents(whole.polygons, whole)
        joint = float((whole.size[:, 0] - (high - low)[:, 0]).min())
    left = chosen.size[:, 0] - joint - lengths - kerf
    offcuts, wanted = np.sort(left[alone & (keeps == NEAR)]), np.sort(lengths[alone & (keeps == FAR)])
    used = 0
    for offcut in offcuts:
        used += int(used < len(wanted) and wanted[used] <= offcut + EXACT)
    return Cutting(
        len(places), len(places) - used, len(places) - used, len(whole) + least_blanks(lengths, longest, kerf)
    )


def cut_lengths(pieces: Pieces) -> Array:
    """Return the reach along the board of every cut field piece, (m,) metres."""
    cut = (pieces.role == Role.BOARD) & ~pieces.whole
    low, high = board_extents(pieces.polygons[cut], pieces.take(cut))
    reach: Array = high[:, 0] - low[:, 0]
    return reach


def cutting_plan(
    lengths: Array, keeps: Ints, right: NDArray[np.bool_], blank: float, kerf: float = KERF, *, tongued: bool
) -> list[list[int]]:
    """Return which pieces come from which board.

    Args:
        lengths: (m,) reach of every piece along its board, metres, none above `blank`.
        keeps: (m,) which ends it keeps, an index of `ENDS`.
        right: (m,) whether it is of a right-leaning board.
        blank: length of a board, metres.
        kerf: what a cut takes, metres.
        tongued: whether boards have tongue and groove; else they are grooved all round.
    """
    plan = [[int(piece)] for piece in np.flatnonzero(keeps == BOTH)]
    if tongued:
        groups = [[np.flatnonzero((keeps == end) & (right == hand)) for end in (NEAR, FAR)] for hand in (False, True)]
        pairs = [(near[a], far[b]) for near, far in groups for a, b in _pairs(lengths[near], lengths[far], blank, kerf)]
    else:
        ends = np.flatnonzero((keeps == NEAR) | (keeps == FAR))
        pairs = [(ends[a], ends[b]) for a, b in _pairs_alike(lengths[ends], blank, kerf)]
    plan += [[int(one), int(other)] for one, other in pairs]
    paired = {piece for pair in pairs for piece in pair}
    plan += [[int(piece)] for piece in np.flatnonzero((keeps == NEAR) | (keeps == FAR)) if piece not in paired]
    middles = np.flatnonzero(keeps == NONE)
    rooms = [blank - sum(lengths[piece] + kerf for piece in board) for board in plan]
    return _filled(plan, rooms, middles[np.argsort(-lengths[middles], kind="stable")], lengths, blank, kerf)


def _pairs_alike(lengths: Array, blank: float, kerf: float) -> list[tuple[int, int]]:
    """Return as many pairs of n pieces as fit a board, as places in `lengths` (n,)."""
    order = np.argsort(lengths, kind="stable")
    low, high, found = 0, len(order) - 1, []
    while low < high:
        if lengths[order[low]] + lengths[order[high]] + kerf <= blank + EXACT:
            found.append((int(order[low]), int(order[high])))
            low += 1
        high -= 1
    return found


def _pairs(near: Array, far: Array, blank: float, kerf: float) -> list[tuple[int, int]]:
    """Return as many pairs of one of n and one of m pieces as fit a board, as places in `near` (n,) and `far` (m,)."""
    first, second = np.argsort(-near, kind="stable"), np.argsort(far, kind="stable")
    at, found = 0, []
    for one in first:
        if at < len(second) and near[one] + far[second[at]] + kerf <= blank + EXACT:
            found.append((int(one), int(second[at])))
            at += 1
    return found


def _filled(
    plan: list[list[int]], rooms: list[float], pieces: Ints, lengths: Array, blank: float, kerf: float
) -> list[list[int]]:
    """Return the plan with more pieces in it, each in the first board with room, else in a new one."""
    free = np.array([*rooms, *[blank] * len(pieces)])
    boards = [list(each) for each in plan]
    for piece in pieces:
        number = int(np.argmax(free >= lengths[piece] - EXACT))
        if number >= len(boards):
            boards.append([])
        boards[number].append(int(piece))
        free[number] -= lengths[piece] + kerf
    return boards


def least_blanks(lengths: Array, blank: float, kerf: float = KERF) -> int:
    """Return a number of blanks that no plan goes below: the bound L2 of S. Martello and P. Toth, "Lower bounds and
    reduction procedures for the bin packing problem", Discrete Applied Mathematics 28 (1990) 59-70 (from memory).

    For any length a up to half a blank, pieces over half a blank stand alone; those between a and a half fill first
    what pieces of at most (blank - a) leave, the rest new blanks. The best a gives the bound.
    """
    full = blank + kerf
    sizes = np.sort(lengths) + kerf
    best = 0
    for a in (0.0, *distinct(sizes[sizes <= full / 2 + EXACT])):
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
