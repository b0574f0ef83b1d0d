"""What must be said of a light before anything is drawn in it."""

from __future__ import annotations

from collections.abc import Iterable

import shapely

from preview.light.sources.lamps import windowless
from preview.light.sources.sun_position import sun_angles
from preview.room.room import Room
from preview.scene.job import LightChoice, Opening

LITTLE_DAYLIGHT = 0.5
"""Average daylight factor, per cent, under which pictures are half in the dark: half of the least that BS 8206-2:2008
has for a room, 1 % for bedrooms (from memory)."""

NO_WINDOW = (
    "the scene has no window, so there is no daylight: pictures are drawn in even lamplight from the ceiling; "
    "add windows to see the floor by daylight"
)


def light_remarks(room: Room, openings: Iterable[Opening], light: LightChoice) -> tuple[str, ...]:
    """Return warnings of daylight that is none or little, and of a sun that does not shine as one would expect: hidden
    by cloud, or below the horizon."""
    if windowless(room):
        return (NO_WINDOW,)
    return (*_little_daylight(room, openings, light), *_sun_remarks(light))


def daylight_factor(room: Room, openings: Iterable[Opening]) -> float:
    """Return about how much of an overcast sky's light comes into a room, per cent, were nothing in front of it: the
    average daylight factor T W angle / (A (1 - R^2)).

    T is what glass and frames pass, W the windows' area, the angle that of the sky they see, degrees, A the area of all
    faces of the room and R their mean reflectance: P. J. Littlefair, "Average daylight factor: a simple basis for
    daylight design", BRE Information Paper 15/88 (formula and usual values from memory).
    """
    passed, seen, reflected = 0.6, 65.0, 0.5
    outline = shapely.Polygon(room.corners)
    faces = 2 * outline.area + outline.length * room.height
    glass = sum(each.width * (each.height or 0.0) for each in openings if each.kind == "window")
    return float(passed * glass * seen / (faces * (1 - reflected**2)))


def _little_daylight(room: Room, openings: Iterable[Opening], light: LightChoice) -> tuple[str, ...]:
    factor = daylight_factor(room, openings)
    if light.lamps != "auto" or factor >= LITTLE_DAYLIGHT:
        return ()
    return (
        f"little daylight comes into this room (a daylight factor of about {max(factor, 0.1):.1f} %; rooms that do "
        "without lamps in the day have 1 % or more): set the light's lamps to 500 to draw it with them on, or to 0 to "
        "keep to daylight",
    )


def _sun_remarks(light: LightChoice) -> tuple[str, ...]:
    sun = light.sun
    if sun is None:
        return ()
    if light.sky == "overcast":
        return ('an overcast sky hides the sun: write sky = "clear" for sunshine',)
    elevation, _ = sun_angles(sun.latitude, sun.longitude, sun.time)
    if elevation > 0:
        return ()
    when = sun.time.isoformat(sep=" ", timespec="minutes")
    deep = f"{-elevation:.0f}°" if elevation < -0.5 else "just"
    return (
        f"on {when} the sun is {deep} below the horizon at {sun.latitude:g}, {sun.longitude:g}: the room is drawn "
        "without sunshine; check the time, its offset from UTC, and the signs of latitude (north) and longitude (east)",
    )
