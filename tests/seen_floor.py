"""What a picture has of a room's floor, counted by rays in short steps, with nothing of the program's own counting."""

import numpy as np
from shapely import MultiPoint, contains_xy, prepare, union_all


def share_of_floor(camera, room, count=24, **other):
    """Return the share of a picture that is the room's own floor: each ray goes on until it leaves the room or is
    lower than furniture that it passes. `other`: eye, fov, shift, heading (radians) in place of the camera's."""
    eye = np.array([*camera.position[:2], other.get("eye", camera.position[2])])
    forward = camera.target - camera.position
    heading = other.get("heading", np.arctan2(forward[1], forward[0]))
    tilt = np.arcsin(-forward[2] / np.linalg.norm(forward)) if "heading" not in other else 0.0
    ahead = np.array([np.cos(tilt) * np.cos(heading), np.cos(tilt) * np.sin(heading), -np.sin(tilt)])
    right = np.array([np.sin(heading), -np.cos(heading), 0.0])
    half = np.tan(other.get("fov", camera.fov) / 2)
    tall = half * camera.size[1] / camera.size[0]
    aside, up = other.get("shift", camera.shift)
    steps = (np.arange(count) + 0.5) / count * 2 - 1
    x, y = (each.ravel()[:, None] for each in np.meshgrid(aside + half * steps, up + tall * steps))
    rays = ahead + x * right + y * np.cross(right, ahead)
    rays = rays[rays[:, 2] < -1e-9]
    feet = eye[:2] + (eye[2] / -rays[:, 2])[:, None] * rays[:, :2]
    feet = feet[contains_xy(room.floor, *feet.T)]
    if not len(feet):
        return 0.0
    share = np.linspace(0, 1, 80)
    path = eye[:2] + share[:, None] * (feet - eye[:2])[:, None]
    air = _air(room)
    clear = contains_xy(air, path[..., 0], path[..., 1]).all(axis=1)
    for each in room.obstacles:
        low = eye[2] * (1 - share) < each.height
        clear &= ~(contains_xy(each.polygon, path[..., 0], path[..., 1]) & low).any(axis=1)
    return clear.sum() / count**2


def most_floor(camera, room, turns=range(0, 360, 30)):
    """Return the most that a level camera shows of the floor from there, turned by any of `turns` (degrees), with the
    eye from 1.2 m to 1.6 m, a field of 50 to 75 degrees, and the horizon in the picture."""
    best = 0.0
    for eye in (1.2, 1.6):
        for fov in np.radians([50, 62, 75]):
            half = np.tan(fov / 2) * camera.size[1] / camera.size[0]
            for turn in np.radians(turns):
                way = np.arctan2(*(camera.target - camera.position)[1::-1]) + turn
                best = max(best, share_of_floor(camera, room, 16, eye=eye, fov=fov, shift=(0, -half), heading=way))
    return best


def _air(room):
    """The room and its ways out, a hair larger; a way out is the hull of its jambs here and on the far side."""
    ways = []
    for each in (one for one in room.openings if one.passable):
        back = (each.depth + each.beyond) * each.inward
        ways.append(MultiPoint([each.a, each.b, each.a - back, each.b - back]).convex_hull)
    air = union_all([room.outline, *ways]).buffer(1e-3)
    prepare(air)
    return air
