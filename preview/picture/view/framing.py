"""How a picture is framed: a level camera, so that verticals stay vertical, and a shift that brings the floor in.

One composes as photographers of interiors do: as much wall as leaves the floor its share. Where what is looked at lies
farther down than `MOST_SHIFT` reaches, the camera tips, and says so.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import GRID, shows_floor
from preview.room.room import Room
from preview.vectors import unit

Array = NDArray[np.float64]
Size = tuple[int, int]

UP = np.array([0.0, 0.0, 1.0])
MOST_SHIFT = 0.5  # of the picture's height: the horizon lies at its upper edge; beyond that the camera tips
COMPOSED = 0.42  # share of floor that a picture is composed for
ENOUGH = 0.37  # share of floor with which one is content, by a coarse grid; what is promised is 0.35
LEAST_OF_MOST = 0.9  # of the floor that could be shown, with which one is content where that is little
EDGE = 0.08  # of the picture's height, that what is looked at keeps from its lower edge
STEPS = GRID[1] // 2  # steps of shift that are tried, each a row of the grid: up to `MOST_SHIFT`


def aimed(name: str, eye: Array, heading: Array, tilt: float, fov: float, size: Size, aside: float = 0.0) -> Camera:
    """Return a camera at `eye` (3,) whose axis runs along `heading` (2,), `tilt` radians below the horizontal; `aside`
    is its shift to the right."""
    axis = np.array([*(np.cos(tilt) * heading), -np.sin(tilt)])
    return Camera(name, eye, eye + axis, UP, fov, 0.0, size, (aside, 0.0))


def composed(camera: Camera, room: Room, hold: Array) -> tuple[Camera, float]:
    """Return the camera shifted down by the least with which floor fills `COMPOSED` of the picture, or by that with
    which it fills most, and what it fills.

    Args:
        camera: without shift down.
        hold: points (n, 3) that are to be in the picture where a shift can bring them in.
    """
    height = camera.size[1]
    rows = shows_floor(camera, room, GRID[1] + STEPS)
    shares = np.array([rows[step : step + GRID[1]].mean() for step in range(STEPS + 1)])
    least = 0
    if len(hold):
        lowest = float(camera.project(hold)[:, 1].max()) / height
        least = int(np.clip(np.ceil((lowest - (1 - EDGE)) * GRID[1]), 0, STEPS))
    enough = np.flatnonzero(shares[least:] >= COMPOSED)
    step = least + int(enough[0] if len(enough) else np.argmax(shares[least:]))
    return _down(camera, step / GRID[1]), float(shares[step])


def centred(camera: Camera, point: Array) -> Camera:
    """Return the camera shifted so that a point (3,) lies in the middle of the picture's height, or as near to it as
    `MOST_SHIFT` allows."""
    y = float(camera.project(point[None])[0, 1]) / camera.size[1]
    return _down(camera, float(np.clip(y - 0.5, -MOST_SHIFT, MOST_SHIFT)))


def holds(camera: Camera, points: Array) -> bool:
    """Return whether points (n, 3) lie in the picture's height, `EDGE` inside it."""
    if (camera.ahead(points) <= 0).any():
        return False
    y = camera.project(points)[:, 1] / camera.size[1]
    return bool(((y > EDGE / 2) & (y < 1 - EDGE / 2)).all())


def tipped(camera: Camera, point: Array, what: str) -> Camera:
    """Return the camera tipped so that a point (3,) lies in the middle, with a remark that says so."""
    way = point - camera.position
    tilt = float(np.arctan2(-way[2], np.hypot(*way[:2])))
    heading = unit(float(np.arctan2(way[1], way[0])))
    turned = aimed(camera.name, camera.position, heading, tilt, float(camera.fov or 1.0), camera.size)
    down = "down" if tilt > 0 else "up"
    remark = (
        f"{camera.name!r} is tipped {abs(np.degrees(tilt)):.0f} degrees {down} to show {what}, so upright lines lean"
    )
    return replace(turned, remarks=(remark,))


def _down(camera: Camera, share: float) -> Camera:
    """Return the camera shifted down by a share of the picture's height."""
    return replace(camera, shift=(camera.shift[0], camera.shift[1] - share * camera.size[1] * camera.pixel))
