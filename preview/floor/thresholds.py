"""Threshold pieces: the wood in doorways, from the floor's outer edge through the wall to the next room's floor."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from preview.floor.blanks import cut_pieces
from preview.floor.layout import Pieces, Role
from preview.room.offset import parts, subtract
from preview.room.room import Room, RoomOpening


def lay_thresholds(room: Room) -> Pieces:
    """Return one piece for each door and cased opening, between its jambs, its grain along the wall.

    It reaches from the floor's outer edge, which runs straight past an opening (`build_room`), through
    the wall's thickness. What the floor or an earlier threshold has, as at a corner or a thin wall, it leaves to them.
    Key: the opening's place among the room's openings, from 0, and 0.
    """
    pieces: list[Polygon] = []
    grain, key = [], []
    for number, opening in enumerate(room.openings):
        if not opening.passable:
            continue
        taken = [
            other for other in (room.floor, *pieces) if shapely.area(other.intersection(_whole(room, opening))) > 0
        ]
        left = parts(subtract(_whole(room, opening), taken)) if taken else [_whole(room, opening)]
        if left:
            along = opening.b - opening.a
            pieces.append(max(left, key=lambda part: part.area))
            grain.append(np.arctan2(along[1], along[0]))
            key.append((number, 0))
    return cut_pieces(pieces, Role.THRESHOLD, np.array(grain), np.array(key))


def _whole(room: Room, opening: RoomOpening) -> Polygon:
    """Return the rectangle of a threshold that nothing stands in the way of."""
    inner = _edge_distance(room, opening) * opening.inward
    outer = -opening.depth * opening.inward
    return Polygon([opening.a + outer, opening.b + outer, opening.b + inner, opening.a + inner])


def _edge_distance(room: Room, opening: RoomOpening) -> float:
    """Return how far inside the wall the floor begins at an opening, metres: what the baseboard hides less the overlap.

    Measured on the floor itself, along the sight line; 0 where an obstacle stands right behind the opening.
    """
    ray = shapely.LineString([opening.middle, opening.middle + (room.baseboard + 1e-6) * opening.inward])
    reached = shapely.intersection(ray, room.floor)
    return room.baseboard if reached.is_empty else float(reached.distance(shapely.Point(opening.middle)))
