"""Pictures for comparisons, without drawing any: a grey room, floor as far as one sees."""

from __future__ import annotations

import numpy as np

from preview.floor.laid import LaidFloor
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera

SIZE = (400, 250)


def eye(floor: LaidFloor, size: tuple[int, int] = SIZE, depth: np.ndarray | None = None, shade: int = 128) -> Picture:
    """A picture from the first way in, level with its sight line and tipped to the floor; else from the south-west."""
    passable = [each for each in floor.room.openings if each.passable]
    if passable:
        position, target = passable[0].middle, passable[0].middle + 4 * passable[0].inward
    else:
        west, south, east, north = floor.room.outline.bounds
        position, target = np.array([west + 0.3, south + 0.3]), np.array([(west + east) / 2, (south + north) / 2])
    camera = Camera(
        "eye",
        np.array([*position, 1.6]),
        np.array([*target, 0.6]),
        np.array([0.0, 0.0, 1.0]),
        np.radians(60),
        0.0,
        size,
    )
    rgb = np.full((size[1], size[0], 3), shade, np.uint8)
    far = np.full((size[1], size[0]), 100.0, np.float32) if depth is None else depth
    return Picture(camera, floor.job.title, floor.job.variant, rgb, np.zeros((0, 0, 3), np.float32), far)
