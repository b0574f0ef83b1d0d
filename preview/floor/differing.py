"""Which pieces of one layout are not as in another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.layout import Layout, Role

SAME_AREA = 1e-4
"""Pieces of one place whose areas differ by less than this, square metres (1 cm2), are cut alike."""

SAME_SIZE = 1e-4
"""Boards whose sides differ by less than this, metres, are of one size."""


@dataclass(frozen=True, eq=False)
class Differing:
    """`pieces` (n,) bool, those of a layout that differ from another's; `same_boards` whether its boards have the
    other's size. Where they don't, every board differs, and `pieces` marks those that are cut at the sides."""

    pieces: NDArray[np.bool_]
    same_boards: bool


def differing(layout: Layout, other: Layout) -> Differing:
    """Return which field pieces of `layout` are cut otherwise than in `other`.

    A board keeps its place in the pattern when the centre line moves, so pieces are held against those of the same
    place: one differs where there is none in the other layout, or where what is left of the boards of that place
    differs by more than 1 cm2.
    """
    pieces, board = layout.pieces, layout.pieces.role == Role.BOARD
    here, there = (
        np.array([each.board.width, each.board.length, np.cos(each.run), np.sin(each.run)]) for each in (layout, other)
    )
    same = layout.facts.name == other.facts.name and layout.facts.corner_step == other.facts.corner_step
    if not same or np.abs(here - there).max() > SAME_SIZE:
        courses = pieces.course[board]
        last = np.isin(pieces.course, [courses.min(), courses.max()]) if len(courses) else board
        return Differing(board & last & ~pieces.whole, False)
    areas = _areas(other)
    own = _areas(layout)
    keys = [(int(pair), int(cell)) for pair, cell in pieces.key]
    found = np.array([abs(areas.get(key, -1.0) - own.get(key, 0.0)) > SAME_AREA for key in keys], bool)
    return Differing(board & found, True)


def _areas(layout: Layout) -> dict[tuple[int, int], float]:
    """Return what is left of the board of each place, square metres."""
    found: dict[tuple[int, int], float] = {}
    board = layout.pieces.role == Role.BOARD
    areas = shapely.area(layout.pieces.polygons[board])
    for (pair, cell), area in zip(layout.pieces.key[board].tolist(), areas.tolist(), strict=True):
        found[pair, cell] = found.get((pair, cell), 0.0) + area
    return found
