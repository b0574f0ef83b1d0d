"""Floor visibility: what an eye in the room sees of the floor by straight lines against walls and obstacles, no
drawing."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.picture.view.camera import Camera
from preview.prepared import prepared
from preview.room.room import Room, RoomOpening

Array = NDArray[np.float64]

TOO_TALL_TO_STAND_ON = 0.15  # metres; a flush or raised hearth may be stood on
GRID = (32, 20)  # rays across and down a picture


def passage(opening: RoomOpening) -> Polygon:
    """Return the way through a wall in plan, from a little inside the room to as far as the next room is shown."""
    inner, outer = 0.01 * opening.inward, -(opening.depth + opening.beyond) * opening.inward
    return Polygon([opening.a + inner, opening.b + inner, opening.b + outer, opening.a + outer])


@lru_cache(maxsize=4)
def _air(room: Room) -> Polygon | MultiPolygon:
    """Return where nothing but furniture stops a look, in plan."""
    return shapely.union_all([room.outline, *(passage(each) for each in room.openings if each.passable)]).buffer(1e-6)


def visible_floor(points: Array, eye: Array, room: Room) -> NDArray[np.bool_]:
    """Return which floor points (n, 2) the eye (3,) sees past walls and obstacles, (n,)."""
    start = np.broadcast_to(eye[:2], points.shape)
    lines = shapely.linestrings(np.stack([start, points], axis=1))
    seen = shapely.covers(prepared(_air(room)), lines)
    distance = np.hypot(*(points - eye[:2]).T)
    for obstacle in room.obstacles:
        crossing = np.flatnonzero(seen & shapely.intersects(prepared(obstacle.polygon), lines))
        # The ray comes down to the floor, so it is lowest where it leaves the obstacle.
        through = shapely.intersection(lines[crossing], obstacle.polygon)
        ends, which = shapely.get_coordinates(through, return_index=True)
        which = crossing[which]
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
    return float(shows_floor(camera, room).mean())


def shows_floor(camera: Camera, room: Room, rows: int = GRID[1]) -> NDArray[np.bool_]:
    """Return where rays of a grid over a pinhole picture meet the room's own floor, (rows, GRID[0]); more rows than
    GRID[1] go on below the picture."""
    width, height = camera.size
    x, y = np.meshgrid((np.arange(GRID[0]) + 0.5) / GRID[0] * width, (np.arange(rows) + 0.5) / GRID[1] * height)
    rays = camera.rays(np.column_stack([x.ravel(), y.ravel()]))
    found = np.zeros(len(rays), bool)
    down = np.flatnonzero(rays[:, 2] < -1e-6)
    points = camera.position[:2] + (camera.position[2] / -rays[down, 2])[:, None] * rays[down, :2]
    on_floor = shapely.contains_xy(prepared(room.floor), points[:, 0], points[:, 1])
    found[down[on_floor]] = visible_floor(points[on_floor], camera.position, room)
    return found.reshape(rows, GRID[0])


def floor_samples(floor: Polygon | MultiPolygon) -> Array:
    """Return about 600 points spread evenly over a floor, (n, 2)."""
    xmin, ymin, xmax, ymax = floor.bounds
    step = np.sqrt(floor.area / 600)
    x, y = (
        each.ravel()
        for each in np.meshgrid(np.arange(xmin + step / 2, xmax, step), np.arange(ymin + step / 2, ymax, step))
    )
    return np.column_stack([x, y])[shapely.contains_xy(floor, x, y)]


def in_picture(points: Array, camera: Camera, room: Room) -> NDArray[np.bool_]:
    """Return which floor points (n, 2) a pinhole picture shows, (n,)."""
    places = np.column_stack([points, np.zeros(len(points))])
    found = camera.ahead(places) > 0.05
    pixels = camera.project(places[found])
    found[found] = ((pixels >= 0) & (pixels <= camera.size)).all(axis=1)
    found[found] = visible_floor(points[found], camera.position, room)
    return found
