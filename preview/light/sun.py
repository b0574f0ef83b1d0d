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
    import pandas  # heavy: only where a sun is asked for
    from pvlib.solarposition import spa_python

    where = spa_python(pandas.DatetimeIndex([time]), latitude, longitude, delta_t=67.0)
    return float(where["elevation"].iloc[0]), float(where["azimuth"].iloc[0])


def sun_direction(elevation: float, azimuth: float, north: float) -> NDArray[np.float64]:
    """Return the unit vector to the sun in the room's frame, (3,).

    Elevation and azimuth in degrees as `sun_angles` gives them; `north` is the angle from +y to true north,
    clockwise, radians.
    """
    height, bearing = np.radians(elevation), np.radians(azimuth) + north
    return np.array([np.sin(bearing) * np.cos(height), np.cos(bearing) * np.cos(height), np.sin(height)])
