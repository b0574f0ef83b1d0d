"""Lamps for a room into which no daylight comes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from preview.room.room import Room

UPLIGHT = (
    1500.0  # lux on the ceiling, which leave about 1000 on the floor of a small pale room; assumed, no published source
)

NO_WINDOW = (
    "the scene has no window, so there is no daylight: pictures are drawn in even lamplight from the ceiling; "
    "add windows to see the floor by daylight"
)


def lamps_for(room: Room) -> float:
    """Return the illuminance, lux, of the ceiling by lamps nobody sees: 0 in a room that has a window."""
    return 0.0 if any(each.kind == "window" for each in room.openings) else UPLIGHT
