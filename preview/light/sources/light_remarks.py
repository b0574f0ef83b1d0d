"""What must be said of a light before anything is drawn in it."""

from __future__ import annotations

from preview.light.sources.sun_position import sun_angles
from preview.scene.job import LightChoice


def light_remarks(light: LightChoice) -> tuple[str, ...]:
    """Return warnings about a sun that does not shine as one would expect: hidden by cloud, or below the horizon."""
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
