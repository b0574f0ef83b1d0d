"""Lamps: the even light from the ceiling of a room that has no window, or whose scene asks for it."""

from __future__ import annotations

from preview.room.room import Room
from preview.scene.job import LightChoice

UPLIGHT = (
    1500.0  # lux on the ceiling, which leave about 1000 on the floor of a small pale room; assumed, no published source
)


def lamps_for(room: Room, light: LightChoice) -> float:
    """Return the illuminance, lux, of the ceiling by lamps nobody sees: the scene's, else 0 in a room with a window."""
    if light.lamps != "auto":
        return float(light.lamps)
    return UPLIGHT if windowless(room) else 0.0


def windowless(room: Room) -> bool:
    """Return whether no daylight comes in."""
    return not any(each.kind == "window" for each in room.openings)
