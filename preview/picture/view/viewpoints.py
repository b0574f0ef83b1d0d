"""A scene's viewpoints as cameras."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from preview.errors import Place, SceneError
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import floor_share
from preview.picture.view.framing import UP, Size, aimed, centred, composed, holds, tipped
from preview.picture.view.sight_view import sight_view
from preview.picture.view.standing import check_standing, spot, standing
from preview.room.room import Room, RoomOpening
from preview.scene.job import Target, Viewpoint

Array = NDArray[np.float64]

FIELD = float(np.radians(60))  # horizontal field of view where none is given, and none is chosen
SQUARE = np.radians(12)  # a view from an opening that is turned by less from its sight line looks along it
PLAN_CUT = 0.145  # metres: a plan is cut just over the baseboard, so that no sill or worktop hides the floor
PLAN_MARGIN = 0.07  # of the picture's smaller side, round the walls, for names and dimensions
PLAN_STRIP = 0.09  # of the picture's height, below, for the scale bar


def camera_for(viewpoint: Viewpoint, room: Room, size: Size, place: Place | None = None) -> Camera:
    """Return the camera of a viewpoint: level, or tipped by its `tilt`, with the floor brought in by a shift.

    From an opening, along its sight line (or as good as along it), it is the decision view, see `sight_view`. Looking
    at a vent, or a point whose height is given, it has that in the middle; anything else is in it, and as much
    floor as is composed for. What a level camera can't show makes it tip, with a remark.

    Args:
        viewpoint: as the scene or `propose_viewpoints` has it.
        room: what its names stand for.
        size: of the picture, pixels.
        place: where the viewpoint stands in the scene file, for messages.

    Raises:
        SceneError: it stands outside the room, in a wall, in an obstacle, above the ceiling, or looks at itself.
    """
    if viewpoint.kind == "plan":
        return plan_camera(viewpoint.name, room, size)
    return framed(viewpoint, room, size, place)[0]


def framed(viewpoint: Viewpoint, room: Room, size: Size, place: Place | None = None) -> tuple[Camera, float]:
    """Return the camera of a viewpoint that is no plan, as `camera_for` does, and the share of its picture that is
    floor."""
    stand = standing(viewpoint.at, room)
    check_standing(viewpoint, stand, room, place)
    name, eye, fov = viewpoint.name, viewpoint.eye, viewpoint.fov
    opening = _opening(viewpoint.at, room)
    aim = spot(viewpoint.look, room)
    if opening is not None and _square(opening, viewpoint.look, aim - stand):
        return sight_view(name, opening, eye, fov, viewpoint.tilt, room, size)
    way = aim - stand
    if np.hypot(*way) < 1e-3:
        raise SceneError(
            place, f"viewpoint {name!r} looks at the spot it stands on", "give it another place to look at"
        )
    heading = way / np.hypot(*way)
    camera = aimed(name, np.array([*stand, eye]), heading, viewpoint.tilt, fov or FIELD, size)
    point, middle = _looked_at(viewpoint.look, aim)
    if middle:
        shifted = centred(camera, point) if camera.ahead(point[None])[0] > 0 else camera
        share = floor_share(shifted, room)
    else:
        shifted, share = composed(camera, room, point[None])
    if holds(shifted, point[None]):
        return shifted, share
    tip = tipped(camera, point, _told(viewpoint.look))
    return tip, floor_share(tip, room)


def plan_camera(name: str, room: Room, size: Size) -> Camera:
    """Return the camera of a plan: straight down, to scale, +y up, the walls and a strip for the scale bar inside.

    Its picture is no larger than `size`, and no larger than it takes to hold them: a plan fills its frame."""
    width, height = size
    xmin, ymin, xmax, ymax = room.outline.buffer(room.wall_thickness, join_style="mitre").bounds
    margin = PLAN_MARGIN * min(size)
    strip = PLAN_STRIP * height
    pixel = max((xmax - xmin) / (width - 2 * margin), (ymax - ymin) / (height - 2 * margin - strip))
    width = min(width, math.ceil((xmax - xmin) / pixel + 2 * margin))
    height = min(height, math.ceil((ymax - ymin) / pixel + 2 * margin + strip))
    middle = np.array([(xmin + xmax) / 2, (ymin + ymax) / 2 - strip * pixel / 2])
    cut = min(PLAN_CUT, 0.9 * room.height)
    position = np.array([*middle, cut])
    return Camera(name, position, position - UP, np.array([0.0, 1.0, 0.0]), None, pixel * width, (width, height))


def _opening(at: Target | None, room: Room) -> RoomOpening | None:
    return room.opening(at.name) if at is not None and at.kind == "opening" and at.name is not None else None


def _square(opening: RoomOpening, look: Target | None, way: Array) -> bool:
    """Return whether a view from an opening looks along its sight line: nothing else is said, or it nearly does."""
    if not opening.passable:
        return False
    if look is None:
        return True
    if look.kind == "vent" or (look.point is not None and look.point[2] is not None and look.point[2] > 0):
        return False
    return bool(way @ opening.inward > np.cos(SQUARE) * np.hypot(*way) > 0)


def _looked_at(look: Target | None, aim: Array) -> tuple[Array, bool]:
    """Return the point (3,) that is to be in the picture, at its foot where no height is given, and whether it is to
    be in the middle."""
    if look is not None and look.kind == "point" and look.point is not None and look.point[2] is not None:
        return np.array([*aim, look.point[2]]), True
    return np.array([*aim, 0.0]), look is not None and look.kind == "vent"


def _told(look: Target | None) -> str:
    """Return what is looked at in words."""
    kind = look.kind if look is not None else "center"
    name = look.name if look is not None else None
    return {"center": "the middle of the floor", "point": "that point", "vent": f"vent {name}"}.get(kind, f"the {name}")
