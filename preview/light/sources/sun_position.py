"""Where the sun stands, seen from the room."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from numpy.typing import NDArray

ANGULAR_RADIUS = float(np.radians(0.53 / 2))  # mean, of the disc (0.53 degrees across)


def sun_angles(latitude: float, longitude: float, time: datetime) -> tuple[float, float]:
    """Return (elevation, azimuth clockwise from true north) of the sun, degrees, without refraction.

    Latitude and longitude in degrees, north and east positive; `time` carries its offset from UTC. Sea level,
    12 degrees C. NREL's Solar Position Algorithm (Reda & Andreas 2004, NREL/TP-560-34302) as pvlib runs it, with
    its difference of terrestrial from universal time of 67 s.
    """
    from pvlib import spa  # heavy: only where a sun is asked for

    moment = np.array([time.timestamp()])
    found = spa.solar_position(moment, latitude, longitude, 0.0, 1013.25, 12.0, 67.0, 0.5667)
    _, _, _, elevation, azimuth, _ = (float(each[0]) for each in found)
    return elevation, azimuth


def sun_direction(elevation: float, azimuth: float, north: float) -> NDArray[np.float64]:
    """Return the unit vector to the sun in the room's frame, (3,).

    Elevation and azimuth in degrees as `sun_angles` gives them; `north` is the angle from +y to true north,
    clockwise, radians.
    """
    height, bearing = np.radians(elevation), np.radians(azimuth) + north
    return np.array([np.sin(bearing) * np.cos(height), np.cos(bearing) * np.cos(height), np.sin(height)])
