"""Reflection proxies: the large upright faces of a room, as plan lines with a height: what a ray that leaves the floor
meets first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from preview.model.model import Model, Pane, Part
from preview.picture.shared import DEEPEST_GLASS, MAX_PROXIES, PAST_PANES

F32 = NDArray[np.float32]
Array = NDArray[np.float64]

LEAST_AREA = 0.3  # m2; smaller faces are found in the drawing
NEXT_ROOM = 10.0  # metres that one sees into it
LOW, FILLED = 0.5, 0.8  # trim counts that fills its outline, as a column does and a casing doesn't, and is not low
LAID = 0.01  # metres within which a slab lies on furniture
LEAST_RECESS = 0.02  # metres that panes are taken to lie behind their wall, at least
GAP = 0.01  # metres in plan that part a plane's faces
FOOT = 0.2  # metres over the floor from which a face no longer counts as standing on it


def reflection_proxies(model: Model) -> tuple[Array, Array]:
    """Return plan lines with the room on their left: starts (n, 3) of x, y and the height over the floor, and runs
    (n, 3) of x, y and how far one sees in through it, metres: by a window's recess or into the next room; below 0 for
    furniture, which is whole and has nothing before it."""
    walls = [part for part in model.parts if part.surface == "wall"]
    solids = [[part] for part in model.parts if part.surface in ("cabinet", "trim")]
    found = [each for parts in (walls, *solids) if parts for each in _faces(parts, model.panes)]
    tops = [np.asarray(part.vertices, float) for part in model.parts if part.surface == "stone" and len(part.vertices)]
    found = [(area, np.append(start[:2], _with_its_top(start, run, tops)), run) for area, start, run in found]
    found.sort(key=lambda each: -each[0])
    lines = np.array([each[1:] for each in found[:MAX_PROXIES]]).reshape(-1, 2, 3)
    return lines[:, 0], lines[:, 1]


def _with_its_top(start: Array, run: Array, tops: Sequence[Array]) -> float:
    """Return the height of a face, of furniture with the slab that lies on it."""
    if run[2] >= 0:
        return float(start[2])
    middle = start[:2] + run[:2] / 2
    for slab in tops:
        (x0, y0, low), (x1, y1, high) = slab.min(axis=0), slab.max(axis=0)
        if abs(low - start[2]) < LAID and x0 <= middle[0] <= x1 and y0 <= middle[1] <= y1:
            return float(high)
    return float(start[2])


def _faces(parts: Sequence[Part], panes: Sequence[Pane]) -> Iterator[tuple[float, Array, Array]]:
    """Yield area, start and run of each face of parts of one kind that is upright, large enough and stands on the
    floor: what lies in one plane without a gap in plan is one."""
    kind = parts[0].surface
    corners = np.concatenate([np.asarray(part.vertices, float)[part.faces] for part in parts])
    normal = np.concatenate([np.asarray(part.normals, float)[part.faces[:, 0]] for part in parts])
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(cross, axis=1) / 2
    offset = np.einsum("fk,fk->f", normal, corners[:, 0])
    upright = np.flatnonzero(np.abs(normal[:, 2]) < 1e-3)
    key = np.round(np.column_stack([normal[:, :2], offset])[upright], 3)
    planes, which = np.unique(key, axis=0, return_inverse=True)
    for number, plane in enumerate(planes):
        in_plane = upright[which.ravel() == number]
        for own in _without_gaps(corners[in_plane, :, :2] @ np.array([plane[1], -plane[0]]), in_plane):
            points, whole = corners[own].reshape(-1, 3), float(area[own].sum())
            if whole < LEAST_AREA or points[:, 2].min() > FOOT:
                continue
            reach = points[:, :2] @ np.array([plane[1], -plane[0]])
            first, last = points[reach.argmin(), :2], points[reach.argmax(), :2]
            high = float(points[:, 2].max())
            if kind == "trim" and whole < FILLED * np.ptp(reach) * max(high, LOW):
                continue
            depth = _depth(first, last, plane, panes) if kind == "wall" else -1.0
            yield whole, np.array([*first, high]), np.array([*(last - first), depth])


def _without_gaps(reach: Array, own: NDArray[np.int64]) -> Iterator[NDArray[np.int64]]:
    """Yield the triangles `own` (t,) of one plane in groups that touch in plan; `reach` (t, 3) of their corners."""
    low, high = reach.min(axis=1), reach.max(axis=1)
    order = np.argsort(low, kind="stable")
    farthest = np.maximum.accumulate(high[order])
    starts = np.flatnonzero(np.append(True, low[order][1:] > farthest[:-1] + GAP))
    for group in np.split(order, starts[1:]):
        yield own[group]


def _depth(first: Array, last: Array, plane: Array, panes: Sequence[Pane]) -> float:
    """Return how far one sees in through a wall whose plane is (normal x, y, offset)."""
    depth, length = 0.0, float(np.linalg.norm(last - first))
    for pane in panes:
        plan = np.asarray(pane.corners)[:, :2]
        behind = float((plane[2] - plan @ plane[:2]).mean())
        along = float((plan.mean(axis=0) - first) @ (last - first)) / length
        if np.asarray(pane.inward)[:2] @ plane[:2] > 0.99 and -0.01 < behind < DEEPEST_GLASS and 0 < along < length:
            depth = max(depth, max(behind, LEAST_RECESS) + PAST_PANES if pane.glazed else NEXT_ROOM)
    return depth
