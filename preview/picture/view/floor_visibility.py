"""Floor visibility: what an eye in the room sees of the floor by straight lines against walls and obstacles, no
drawing."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.picture.view.camera import Camera
from preview.room.room import Room, RoomOpening

Array = NDArray[np.float64]

TOO_TALL_TO_STAND_ON = 0.15  # metres; a flush or raised hearth may be stood on
GRID = (32, 20)  # rays across and down a picture


def passage(opening: RoomOpening) -> Polygon:
    """Return the way through a wall in plan, from a little inside the room to as far as the next room is shown."""
    inner, outer = 0.01 * opening.inward, -(opening.depth + opening.beyond) * opening.inward
    return Polygon([opening.a + inner, opening.b + inner, opening.b + outer, opening.a + outer])


def visible_floor(points: Array, eye: Array, room: Room) -> NDArray[np.bool_]:
    """Return which floor points (n, 2) the eye (3,) sees past walls and obstacles, (n,)."""
    start = np.broadcast_to(eye[:2], points.shape)
    lines = shapely.linestrings(np.stack([start, points], axis=1))
    air = shapely.union_all([room.outline, *(passage(each) for each in room.openings if each.passable)]).buffer(1e-6)
    shapely.prepare(air)
    seen = shapely.covers(air, lines)
    distance = np.hypot(*(points - eye[:2]).T)
    for obstacle in room.obstacles:
        # The ray comes down to the floor, so it is lowest where it leaves the obstacle.
        through = shapely.intersection(lines, obstacle.polygon)
        ends, which = shapely.get_coordinates(through, return_index=True)
        leaves = np.zeros(len(points))
        np.maximum.at(leaves, which, np.hypot(*(ends - eye[:2]).T))
        lowest = eye[2] * (1 - leaves / np.maximum(distance, 1e-9))
        seen &= ~((leaves > 0) & (lowest < obstacle.height))
    return seen


def mirrors_window(points: Array, eye: Array, room: Room) -> NDArray[np.bool_]:
    """Return at which floor points (n, 2) the eye (3,) would see a window of the room if the floor were a mirror, (n,).

    A ray that comes down to the floor along d, from the height of the eye, leaves it along d and is at s times the
    eye's height over the point s d further on.
    """
    found = np.zeros(len(points), bool)
    within = room.outline.buffer(1e-6)
    way = points - eye[:2]
    for window in (each for each in room.openings if not each.passable):
        along = window.b - window.a
        with np.errstate(divide="ignore", invalid="ignore"):
            reach = ((window.a - points) @ window.inward) / (way @ window.inward)
            hit = points + reach[:, None] * way
            place, height = (hit - window.a) @ along / (along @ along), reach * eye[2]
        met = (reach > 0) & (place > 0) & (place < 1) & (height > window.sill) & (height < window.sill + window.height)
        free = shapely.covers(within, shapely.linestrings(np.stack([points[met], hit[met]], axis=1)))
        found[np.flatnonzero(met)[free]] = True
    return found


def floor_share(camera: Camera, room: Room) -> float:
    """Return the share of a pinhole picture that the room's own floor fills, by a grid of rays."""
    return len(_seen(camera, room)) / (GRID[0] * GRID[1])


def _seen(camera: Camera, room: Room) -> Array:
    """Return the floor points (n, 2) that rays of a grid over a picture meet."""
    width, height = camera.size
    x, y = np.meshgrid((np.arange(GRID[0]) + 0.5) / GRID[0] * width, (np.arange(GRID[1]) + 0.5) / GRID[1] * height)
    focal = width / (2 * np.tan((camera.fov or np.pi / 3) / 2))
    rays = np.stack([(x - width / 2) / focal, (height / 2 - y) / focal, -np.ones_like(x)], axis=-1).reshape(-1, 3)
    rays = rays @ camera.axes()
    down = rays[:, 2] < -1e-6
    reach = camera.position[2] / -rays[down, 2]
    points = camera.position[:2] + reach[:, None] * rays[down, :2]
    on_floor = shapely.contains_xy(room.floor, points[:, 0], points[:, 1])
    points = points[on_floor]
    seen: Array = points[visible_floor(points, camera.position, room)]
    return seen
