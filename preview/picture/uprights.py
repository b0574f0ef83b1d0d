"""The large upright faces of a room, as plan lines with a height: what a ray that leaves the floor meets first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from preview.model.model import Model, Pane, Part

F32 = NDArray[np.float32]
Array = NDArray[np.float64]

MOST = 48  # as in reflection.frag; of more, the largest are taken
LEAST_AREA = 0.3  # m2; smaller faces are found in the drawing
WALL = 0.6  # metres; glass stands less far back than this
NEXT_ROOM = 10.0  # metres that one sees into it
LOW, FILLED = 0.5, 0.8  # trim counts that fills its outline, as a column does and a casing doesn't, and is not low
FOOT = 0.2  # metres over the floor from which a face no longer counts as standing on it


def uprights(model: Model) -> tuple[Array, Array]:
    """Return plan lines with the room on their left: starts (n, 3) of x, y and the height over the floor, and runs
    (n, 3) of x, y and how far one sees in through it, metres: by a window's recess or into the next room; below 0 for
    furniture, which is whole and has nothing before it."""
    found = [
        each
        for part in model.parts
        if part.surface in ("wall", "cabinet", "trim")
        for each in _faces(part, model.panes)
    ]
    found.sort(key=lambda each: -each[0])
    lines = np.array([each[1:] for each in found[:MOST]]).reshape(-1, 2, 3)
    return lines[:, 0], lines[:, 1]


def _faces(part: Part, panes: Sequence[Pane]) -> Iterator[tuple[float, Array, Array]]:
    """Yield area, start and run of each plane of a part that is upright, large enough and stands on the floor."""
    corners = np.asarray(part.vertices, float)[part.faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(cross, axis=1) / 2
    normal = np.asarray(part.normals, float)[part.faces[:, 0]]
    offset = np.einsum("fk,fk->f", normal, corners[:, 0])
    upright = np.abs(normal[:, 2]) < 1e-3
    key = np.round(np.column_stack([normal[:, :2], offset])[upright], 3)
    for plane in np.unique(key, axis=0):
        own = np.flatnonzero(upright)[(key == plane).all(axis=1)]
        points = corners[own].reshape(-1, 3)
        if area[own].sum() < LEAST_AREA or points[:, 2].min() > FOOT:
            continue
        reach = points[:, :2] @ np.array([plane[1], -plane[0]])
        first, last = points[reach.argmin(), :2], points[reach.argmax(), :2]
        if part.surface == "trim" and area[own].sum() < FILLED * np.ptp(reach) * max(points[:, 2].max(), LOW):
            continue
        yield (
            float(area[own].sum()),
            np.array([*first, points[:, 2].max()]),
            np.array([*(last - first), _depth(first, last, plane, panes) if part.surface == "wall" else -1.0]),
        )


def _depth(first: Array, last: Array, plane: Array, panes: Sequence[Pane]) -> float:
    """Return how far one sees in through a wall whose plane is (normal x, y, offset)."""
    depth, length = 0.0, float(np.linalg.norm(last - first))
    for pane in panes:
        plan = np.asarray(pane.corners)[:, :2]
        behind = float((plane[2] - plan @ plane[:2]).mean())
        along = float((plan.mean(axis=0) - first) @ (last - first)) / length
        if np.asarray(pane.inward)[:2] @ plane[:2] > 0.99 and -0.01 < behind < WALL and 0 < along < length:
            depth = max(depth, behind + 0.05 if pane.glazed else NEXT_ROOM)
    return depth
