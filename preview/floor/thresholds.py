"""Thresholds: one piece across each doorway, where the next room's floor runs on."""

from __future__ import annotations

import numpy as np
from shapely import Polygon

from preview.floor.blanks import cut_pieces
from preview.floor.layout import Pieces, Role
from preview.room.room import Room


def lay_thresholds(room: Room) -> Pieces:
    """Return one piece per door or cased opening: from the floor's outer edge through the wall, jamb to jamb.

    Its grain runs along the wall; the key is the opening's number, from 0, and 0.
    """
    edge = room.edge
    pieces, grain, key = [], [], []
    for index, opening in enumerate(room.openings):
        if not opening.passable:
            continue
        inside, outside = edge * opening.inward, -opening.depth * opening.inward
        pieces.append(Polygon([opening.a + outside, opening.b + outside, opening.b + inside, opening.a + inside]))
        along = opening.b - opening.a
        grain.append(np.arctan2(along[1], along[0]))
        key.append((index, 0))
    return cut_pieces(pieces, Role.THRESHOLD, np.array(grain), np.array(key))
