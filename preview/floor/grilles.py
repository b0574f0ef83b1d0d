"""Flush wooden floor grilles: a frame, bars along it, slots between them above the duct."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.floor.blanks import cut_pieces
from preview.floor.layout import Pieces, Role
from preview.room.room import Room, RoomVent
from preview.vectors import turned

Array = NDArray[np.float64]

FRAME = 0.01905
"""Width of a grille's frame, 3/4 in (metres). Common practice, no published source."""

BAR = 0.009525
"""Width of bars and of the slots between them, 3/8 in (metres). Common practice, no published source."""

LONGEST_SLOT = 0.1524
"""A slot longer than 6 in (metres) is divided by cross bars. Common practice, no published source."""

MOST_FRAME = 0.25
"""A frame takes at most this share of the grille's shorter side, so that small grilles still have slots."""


def lay_grilles(room: Room) -> tuple[Pieces, tuple[Polygon, ...]]:
    """Return a piece for each vent, its outer frame with the slots as holes, and all the slots.

    The grain runs along the longer side, as the bars do. Key: the vent's place among the room's vents, from 0, and 0.
    """
    pieces, grain, slots = [], [], []
    for vent in room.vents:
        holes = grille_slots(vent)
        outer = shapely.get_coordinates(vent.polygon)
        pieces.append(Polygon(outer, holes))
        grain.append(_frame(vent)[1])
        slots += [Polygon(hole) for hole in holes]
    key = [(number, 0) for number in range(len(pieces))]
    return cut_pieces(pieces, Role.GRILLE, np.array(grain), np.array(key)), tuple(slots)


def grille_slots(vent: RoomVent) -> Array:
    """Return the slots of a vent's grille as rectangles, (m, 4, 2) metres, each anticlockwise."""
    rows, columns = _rows(vent), _columns(vent)
    return _placed(vent, [(a, low, b, high) for low, high in rows for a, b in columns])


def _frame(vent: RoomVent) -> tuple[tuple[float, float], float]:
    """Return (longer, shorter) outer sides and the direction of the longer."""
    length, across = vent.size
    return ((length, across), vent.angle) if length >= across else ((across, length), vent.angle + math.pi / 2)


def _inside(vent: RoomVent) -> tuple[float, float]:
    (length, across), _ = _frame(vent)
    frame = min(FRAME, MOST_FRAME * across)
    return length - 2 * frame, across - 2 * frame


def _rows(vent: RoomVent) -> list[tuple[float, float]]:
    """Return the slots' edges across the grille: slots and bars alike wide, as near to `BAR` as comes out even."""
    _, inside = _inside(vent)
    slots = max(1, round((inside / BAR + 1) / 2))
    width = inside / (2 * slots - 1)
    return [(2 * slot * width - inside / 2, (2 * slot + 1) * width - inside / 2) for slot in range(slots)]


def _columns(vent: RoomVent) -> list[tuple[float, float]]:
    """Return the slots' ends along the grille: all of one length, none over `LONGEST_SLOT`."""
    inside, _ = _inside(vent)
    count = max(1, math.ceil((inside + BAR) / (LONGEST_SLOT + BAR) - 1e-9))
    length = (inside - (count - 1) * BAR) / count
    starts = [slot * (length + BAR) - inside / 2 for slot in range(count)]
    return [(start, start + length) for start in starts]


def _placed(vent: RoomVent, boxes: list[tuple[float, float, float, float]]) -> Array:
    """Return boxes (low along, low across, high along, high across) round the grille's middle as plan rectangles."""
    a, b, c, d = np.array(boxes).T
    local = np.stack([np.stack([a, b], 1), np.stack([c, b], 1), np.stack([c, d], 1), np.stack([a, d], 1)], axis=1)
    return vent.center + turned(local, _frame(vent)[1])
