"""What is cut from sticks of flooring: boards at the stop block and, where it is of the same wood, the border."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import ceil, floor, hypot

from preview.floor.layout import Layout, Role
from preview.scene.job import Job

EXACT = 1e-9
"""Lengths that fit to this (metres) fit."""

ROUNDED = 0.001
"""Border pieces are cut a little long, to the next millimetre, so that equal ones count as equal."""


@dataclass(frozen=True)
class Saw:
    """What a cut takes, and what squaring each end of a stick takes, its cut included; metres."""

    kerf: float
    trim: float

    def room(self, stick: float) -> float:
        """Return what a stick has room for, metres, each piece counted with a kerf (see `takes`)."""
        return stick - 2 * self.trim + self.kerf

    def takes(self, piece: float) -> float:
        """Return what a piece takes of a stick's room, metres."""
        return piece + self.kerf


@dataclass(frozen=True)
class Needs:
    """`blocks` boards of `length`, metres, and the `border` as (length, count), long before short; empty where the
    border is not cut from the same sticks.

    Boards with mitred ends lie in a stick as parallelograms side by side: once a stick `slant` metres are lost, and
    along it a cut is `cut` times as long as the saw is thick.
    """

    blocks: int
    length: float
    border: tuple[tuple[float, int], ...] = ()
    slant: float = 0.0
    cut: float = 1.0

    def takes(self, saw: Saw) -> float:
        """Return what a board takes of a stick's room, metres."""
        return self.length + self.cut * saw.kerf

    def lost(self, saw: Saw) -> float:
        """Return what of a stick's room no board can have, metres: a room counts one kerf too many, straight across."""
        return self.slant - (self.cut - 1) * saw.kerf

    def blocks_in(self, room: float, saw: Saw) -> int:
        """Return how many boards come out of what has `room` (metres)."""
        return max(0, floor((room - self.lost(saw) + EXACT) / self.takes(saw)))


def needs_of(layout: Layout, job: Job, blocks: int) -> Needs:
    """Return what the floor takes of its sticks, where the field takes `blocks` boards.

    The border is cut from them too where it is as wide as the boards and of their wood.
    """
    same = abs(job.border.width - job.floor.board_width) < EXACT and _wood(job, "wood") == _wood(job, "border_wood")
    pieces = layout.pieces
    lengths = pieces.size[pieces.role == Role.BORDER, 0] if same else ()
    border = Counter(ceil(float(each) / ROUNDED - 1e-6) * ROUNDED for each in lengths)
    slant, board = layout.facts.slant, layout.board
    ordered = tuple(sorted(border.items(), reverse=True))
    return Needs(blocks, board.length, ordered, slant, hypot(1.0, slant / board.width))


def _wood(job: Job, name: str) -> tuple[str, ...]:
    wood = getattr(job, name)
    return wood.species, wood.cut, wood.grade
