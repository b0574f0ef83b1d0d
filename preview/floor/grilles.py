"""Floor grilles: a flush wooden frame with bars, cut into the floor exactly; below the slots is the duct."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from preview.floor.blanks import cut_pieces
from preview.floor.layout import Pieces, Role
from preview.room.room import Room, RoomVent

FRAME = 0.019
"""Width of a grille's frame, metres, about 3/4 in (common practice, no published source)."""

BAR = 0.0095
"""Bars and the slots between them are about this wide, metres, 3/8 in (common practice, no published source)."""


def lay_grilles(room: Room) -> tuple[Pieces, tuple[Polygon, ...]]:
    """Return one piece per vent, its frame and bars in one with the slots as holes, and all slots.

    Bars run along the vent, evenly divided; the grain runs with them. The key is the vent's number, from 0, and 0.
    """
    slots = [vent_slots(vent) for vent in room.vents]
    grilles = [
        Polygon(vent.polygon.exterior, [slot.exterior.coords[::-1] for slot in inside])
        for vent, inside in zip(room.vents, slots, strict=True)
    ]
    pieces = cut_pieces(
        grilles,
        Role.GRILLE,
        np.array([vent.angle for vent in room.vents]),
        np.array([(index, 0) for index in range(len(grilles))]),
    )
    return pieces, tuple(slot for inside in slots for slot in inside)


def vent_slots(vent: RoomVent) -> list[Polygon]:
    """Return a vent's slots: rectangles along it, between its frame and its bars, metres; none if it is all frame."""
    along, across = vent.size
    clear_along, clear_across = along - 2 * FRAME, across - 2 * FRAME
    if min(clear_along, clear_across) < BAR:
        return []
    bars = max(0, round((clear_across / BAR - 1) / 2))
    slot = clear_across / (2 * bars + 1)
    low = -clear_across / 2 + 2 * slot * np.arange(bars + 1)
    cos, sin = np.cos(vent.angle), np.sin(vent.angle)
    corners = [
        [(-clear_along / 2, y), (clear_along / 2, y), (clear_along / 2, y + slot), (-clear_along / 2, y + slot)]
        for y in low
    ]
    placed = np.array(corners) @ np.array([[cos, sin], [-sin, cos]]) + vent.center
    return list(shapely.polygons(placed))
