"""Where one stands to look round a finished floor, and the six cameras that see all of it from there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from preview.picture.view.camera import Camera
from preview.room.room import Room

Array = NDArray[np.float64]

EAST, NORTH, UP = np.eye(3)
FACES = ((EAST, UP), (-EAST, UP), (UP, -NORTH), (-UP, NORTH), (NORTH, UP), (-NORTH, UP))
"""Of each face of the cube, in the order in which browsers number them: where its camera looks, and what is up in its
picture. A cube's own directions are (east, up, north): left-handed, as those of cube maps are (OpenGL; from
memory)."""

LAP = np.radians(3.0)
"""Faces are drawn so much wider to every side and cut: what brings highlights down looks at what lies beside."""

INSIDE = 0.5  # metres from the walls that one stands at least
APART = 1.0  # metres between standing points, at least
EYE = 1.6  # metres over the floor
LOWERED = -0.25  # radians over the horizontal that one looks at most, so that one sees floor first


@dataclass(frozen=True, eq=False)
class StandingPoint:
    """A place to look round from: its `name`, the `eye` (3,), and where one looks first, radians: `bearing` from plan
    north to the east, `pitch` over the horizontal."""

    name: str
    eye: Array
    bearing: float
    pitch: float


def standing_points(cameras: Sequence[Camera], room: Room, most: int) -> list[StandingPoint]:
    """Return places within the room from which these cameras look, the first ones that lie apart, at most so many."""
    found: list[StandingPoint] = []
    for camera in cameras:
        eye = _inside(camera, room)
        if len(found) == most or not _apart(eye, found):
            continue
        ahead = -camera.axes[2]
        bearing = float(np.arctan2(ahead[0], ahead[1]))
        found.append(StandingPoint(camera.name, eye, bearing, min(float(np.arcsin(ahead[2])), LOWERED)))
    return found


def with_far_corner(found: Sequence[StandingPoint], room: Room) -> list[StandingPoint]:
    """Return places with a further one, in the corner that is farthest from them, looking over the floor; without it
    where all of the room is near them."""
    corners = shapely.get_coordinates(_free(room))
    away = [min(float(np.linalg.norm(each.eye[:2] - corner)) for each in found) for corner in corners]
    eye = np.array([*corners[int(np.argmax(away))], EYE])
    if not _apart(eye, found):
        return list(found)
    ahead = shapely.get_coordinates(room.floor.centroid)[0] - eye[:2]
    return [*found, StandingPoint("from the far corner", eye, float(np.arctan2(*ahead)), LOWERED)]


def _apart(eye: Array, found: Sequence[StandingPoint]) -> bool:
    return all(np.linalg.norm(each.eye[:2] - eye[:2]) >= APART for each in found)


def _free(room: Room) -> shapely.Geometry:
    """Return where one may stand: off the walls and not in what is tall."""
    inner = room.outline.buffer(-INSIDE)
    if inner.is_empty:
        inner = shapely.Point(*room.outline.representative_point().coords[0])
    for thing in room.obstacles:
        inner = inner.difference(thing.polygon.buffer(INSIDE / 2)) if thing.height > EYE / 2 else inner
    return inner


def _inside(camera: Camera, room: Room) -> Array:
    """Return a camera's eye, moved along its own way or, failing that, to the nearest place within the room."""
    inner, eye = _free(room), shapely.Point(*camera.position[:2])
    if not inner.contains(eye):
        ahead = -camera.axes[2][:2]
        way = shapely.LineString([eye, shapely.Point(*(camera.position[:2] + 6 * ahead))]).intersection(inner)
        _, eye = shapely.ops.nearest_points(eye, inner if way.is_empty else way)
    return np.array([eye.x, eye.y, max(float(camera.position[2]), 1.2)])


def face_cameras(point: StandingPoint, edge: int) -> list[Camera]:
    """Return the cameras of the six faces, which are `edge` pixels wide once `cut`."""
    size = edge + 2 * margin(edge)
    fov = 2 * float(np.arctan(size / edge))
    return [
        Camera(f"{point.name}, face {number}", point.eye, point.eye + ahead, up, fov, 0.0, (size, size))
        for number, (ahead, up) in enumerate(FACES, 1)
    ]


def margin(edge: int) -> int:
    """Return how many pixels a face is drawn wider to each side."""
    return int(np.ceil(edge / 2 * (np.tan(np.pi / 4 + LAP) - 1)))


def cut(face: NDArray[np.uint8], edge: int) -> NDArray[np.uint8]:
    """Return a face as it was drawn without its margin, (edge, edge, 3)."""
    rim = margin(edge)
    return face[rim : rim + edge, rim : rim + edge]
