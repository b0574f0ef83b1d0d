"""The walls by whose lengths a room's size is told."""

from __future__ import annotations

import numpy as np

from preview.room.outline import inward
from preview.room.room import Room
from preview.vectors import steps_round

ACROSS = np.radians(30)
"""Walls at less than this to each other lie the same way: one of them is dimensioned."""


def main_walls(room: Room) -> list[int]:
    """Return the walls, from 0, whose lengths tell a room's size: the longest, and the longest of those that stand
    across to it; of equal ones that below or on the left, where drawings have their dimensions."""
    steps = steps_round(room.corners)
    lengths = np.hypot(*steps.T)
    ways, outward = steps / lengths[:, None], -inward(room.corners)
    order = sorted(range(len(lengths)), key=lambda n: (-round(lengths[n], 3), float(outward[n] @ [0.7, 1.0])))
    first = order[0]
    across = [n for n in order if abs(ways[n][0] * ways[first][1] - ways[n][1] * ways[first][0]) > np.sin(ACROSS)]
    return [first, *across[:1]]
