"""How finely a floor is seen: the pixels that a metre of it fills where a camera comes nearest to it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import passage
from preview.room.room import Room

STEP = 0.05  # metres between the places of a floor that are tried
MARGIN = 1.1  # wood is drawn a little finer than it is seen, so that its finest lines stay lines between pixels
LEAST = 0.02  # metres before the eye, so that a camera on the floor asks for no more than can be drawn


def floor_density(cameras: Sequence[Camera], room: Room) -> float:
    """Return the pixels a metre at which the cameras see the floor of a room, or of what is shown of the next one, at
    its nearest, and a margin more; 0 where none sees any."""
    shown = shapely.union_all([room.outline, *(passage(each) for each in room.openings if each.passable)])
    low_x, low_y, high_x, high_y = shown.bounds
    x, y = (np.arange(low, high + STEP, STEP) for low, high in ((low_x, high_x), (low_y, high_y)))
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    places = places[shapely.contains_xy(shown.buffer(STEP), places[:, 0], places[:, 1])]
    points = np.column_stack([places, np.zeros(len(places))])
    return MARGIN * max((_finest(camera, points) for camera in cameras), default=0.0)


def _finest(camera: Camera, points: NDArray[np.float64]) -> float:
    """Return the pixels a metre, square to the line of sight, of the nearest of the points (n, 3) that are in view."""
    if camera.fov is None:
        return 1 / camera.pixel
    ahead = camera.ahead(points)
    points, ahead = points[ahead > LEAST], ahead[ahead > LEAST]
    pixel = camera.project(points)
    seen = np.all((pixel >= 0) & (pixel <= camera.size), axis=1)
    return 1 / camera.pixel / float(ahead[seen].min()) if seen.any() else 0.0
