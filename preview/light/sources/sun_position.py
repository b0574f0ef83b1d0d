"""Where the sun stands, seen from the room."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

ANGULAR_RADIUS = float(np.radians(0.53 / 2))  # mean, of the disc (0.53 degrees across)
ZERO = datetime(1899, 12, 31, 12, tzinfo=UTC)  # from which ephem counts days


def sun_angles(latitude: float, longitude: float, time: datetime) -> tuple[float, float]:
    """Return (elevation, azimuth clockwise from true north) of the sun, degrees, without refraction.

    Latitude and longitude in degrees, north and east positive; `time` carries its offset from UTC. Sea level. As ephem
    finds it, by the theory VSOP87 (Bretagnon & Francou 1988) and its own estimate of terrestrial less universal time.
    """
    import ephem  # only where a sun is asked for

    place = ephem.Observer()
    place.lat, place.lon, place.pressure = np.radians(latitude), np.radians(longitude), 0  # no air: no refraction
    place.date = (time - ZERO) / timedelta(days=1)
    sun = ephem.Sun(place)
    return float(np.degrees(sun.alt)), float(np.degrees(sun.az))


def sun_direction(elevation: float, azimuth: float, north: float) -> NDArray[np.float64]:
    """Return the unit vector to the sun in the room's frame, (3,).

    Elevation and azimuth in degrees as `sun_angles` gives them; `north` is the angle from +y to true north,
    clockwise, radians.
    """
    height, bearing = np.radians(elevation), np.radians(azimuth) + north
    return np.array([np.sin(bearing) * np.cos(height), np.cos(bearing) * np.cos(height), np.sin(height)])
