"""Where pictures are taken from: a scene's viewpoints as cameras, and viewpoints proposed where it has none."""

from __future__ import annotations

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.errors import Place, SceneError
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import (
    TOO_TALL_TO_STAND_ON,
    floor_share,
    mirrors_window,
    passage,
    visible_floor,
)
from preview.room.room import Room, RoomOpening
from preview.scene.job import Target, Viewpoint
from preview.vectors import unit

Array = NDArray[np.float64]
Size = tuple[int, int]

EYE = 1.6  # standing eye height, metres (5 ft 3 in); common practice, no published source
FIELD = np.radians(60)  # horizontal field of view of proposed viewpoints
ENOUGH = 0.35  # share of a proposed picture that is floor, where the room allows it (by choice)
TURNS = (0, *(sign * turn for turn in range(10, 80, 10) for sign in (1, -1)))  # from an opening's sight line, degrees
CLOSE = 0.06  # nearer to a wall than this and the picture would look into it, metres
PLAN_CUT = 0.145  # metres: a plan is cut just over the baseboard, so that no sill or worktop hides the floor
PLAN_MARGIN = 0.06  # of the picture's smaller side, round the walls
PLAN_STRIP = 0.09  # of the picture's height, below, for the scale bar
DEFAULT_SIZE = (1600, 1000)
UP = np.array([0.0, 0.0, 1.0])


def camera_for(viewpoint: Viewpoint, room: Room, size: Size, place: Place | None = None) -> Camera:
    """Return the camera of a viewpoint.

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
    stand = _standing(viewpoint.at, room)
    _check_standing(viewpoint, stand, room, place)
    position = np.array([*stand, viewpoint.eye])
    look = _looked_at(viewpoint.look, room, viewpoint.eye)
    if np.hypot(*(look - position)[:2]) < 1e-3:
        raise SceneError(
            place, f"viewpoint {viewpoint.name!r} looks at the spot it stands on", "give it another place to look at"
        )
    return Camera(viewpoint.name, position, look, UP, viewpoint.fov, 0.0, size)


def propose_viewpoints(room: Room, size: Size = DEFAULT_SIZE, first: str | None = None) -> tuple[Viewpoint, ...]:
    """Return viewpoints for a scene that gives none: one from each door or cased opening, one from the corner that sees
    most floor, and a plan.

    The eye is at standing height, the field 60 degrees wide, and the camera is tipped down just so far that floor
    fills half of the picture; walls and obstacles in the way are taken into account. From an opening one looks along
    its sight line where that shows enough floor (`ENOUGH`), else aside as little as is needed; an opening from which
    no way does, as across a corridor, is left out where another viewpoint has it. The opening `first`, on which the
    floor is centred, comes before the others.
    """
    openings = sorted((each for each in room.openings if each.passable), key=lambda each: each.name != first)
    views = [_through(each, room, size) for each in openings if not _fault(_standing(_at(each), room), EYE, room)]
    corner = _widest_corner(room)
    if corner is not None:
        stand, heading = corner
        at = Target("point", point=(float(stand[0]), float(stand[1]), None))
        views.append(_tipped("from the corner", at, heading, room, size))
    shares = [floor_share(camera_for(each, room, size), room) for each in views]
    if max(shares, default=0.0) >= ENOUGH:
        views = [view for view, share in zip(views, shares, strict=True) if share >= ENOUGH]
    return (*views, Viewpoint("plan", "plan", None, EYE, None, float(FIELD)))


def _at(opening: RoomOpening) -> Target:
    return Target("opening", name=opening.name)


def _through(opening: RoomOpening, room: Room, size: Size) -> Viewpoint:
    """Return the viewpoint from an opening that is turned least from its sight line, on which the floor is decided, of
    those that show enough floor, or the one that shows most."""
    best: tuple[float, Viewpoint] | None = None
    for turn in TURNS:
        heading = unit(float(np.arctan2(opening.inward[1], opening.inward[0])) + np.radians(turn))
        view = _tipped(f"from the {opening.name}", _at(opening), heading, room, size)
        share = floor_share(camera_for(view, room, size), room)
        if share >= ENOUGH:
            return view
        if best is None or share > best[0]:
            best = share, view
    assert best is not None
    return best[1]


def plan_camera(name: str, room: Room, size: Size) -> Camera:
    """Return the camera of a plan: straight down, to scale, +y up, the walls and a strip for the scale bar inside."""
    width, height = size
    xmin, ymin, xmax, ymax = room.outline.buffer(room.wall_thickness, join_style="mitre").bounds
    margin = PLAN_MARGIN * min(size)
    strip = PLAN_STRIP * height
    pixel = max((xmax - xmin) / (width - 2 * margin), (ymax - ymin) / (height - 2 * margin - strip))
    middle = np.array([(xmin + xmax) / 2, (ymin + ymax) / 2 - strip * pixel / 2])
    cut = min(PLAN_CUT, 0.9 * room.height)
    position = np.array([*middle, cut])
    return Camera(name, position, position - UP, np.array([0.0, 1.0, 0.0]), None, pixel * width, size)


def _standing(at: Target | None, room: Room) -> Array:
    """Return where a viewpoint stands, (2,): in a cased opening, just inside a door, before a window."""
    if at is not None and at.kind == "opening" and at.name is not None:
        opening = room.opening(at.name)
        inside = {"cased opening": -opening.depth / 2, "door": 0.1, "window": 0.3}[opening.kind]
        return opening.middle + inside * opening.inward
    return _spot(at, room)


def _spot(target: Target | None, room: Room) -> Array:
    if target is None or target.kind == "center":
        return np.array(room.field.centroid.coords[0])
    if target.kind == "point" and target.point is not None:
        return np.array(target.point[:2], float)
    if target.kind == "opening" and target.name is not None:
        return room.opening(target.name).middle
    named = {each.name: each.polygon for each in (room.obstacles if target.kind == "obstacle" else room.vents)}
    return np.array(named[str(target.name)].centroid.coords[0])


def _looked_at(look: Target | None, room: Room, eye: float) -> Array:
    """Return the point (3,) looked at: on the floor, unless a height is given; openings at half the eye's
    height, obstacles at half their own."""
    height = 0.0
    if look is not None and look.kind == "point" and look.point is not None and look.point[2] is not None:
        height = look.point[2]
    elif look is not None and look.kind == "opening":
        height = eye / 2
    elif look is not None and look.kind == "obstacle":
        height = min(eye, *(each.height for each in room.obstacles if each.name == look.name)) / 2
    return np.array([*_spot(look, room), height])


def _check_standing(viewpoint: Viewpoint, stand: Array, room: Room, place: Place | None) -> None:
    fault = _fault(stand, viewpoint.eye, room)
    if fault:
        raise SceneError(place, f"viewpoint {viewpoint.name!r} {fault}", "move it to where one can stand")


def _fault(stand: Array, eye: float, room: Room) -> str:
    """Say why one can't stand there, or return an empty text."""
    if not 0 < eye < room.height:
        return "has its eye above the ceiling" if eye > 0 else "has its eye below the floor"
    point = shapely.Point(*stand)
    for obstacle in room.obstacles:
        if obstacle.height > TOO_TALL_TO_STAND_ON and obstacle.polygon.buffer(CLOSE).contains(point):
            return f"stands inside the {obstacle.name}"
    if any(passage(each).contains(point) for each in room.openings if each.passable):
        return ""
    if not room.outline.contains(point):
        near = room.outline.distance(point) <= room.wall_thickness
        return "stands inside a wall" if near else "stands outside the room"
    return "stands inside a wall" if room.outline.exterior.distance(point) < CLOSE else ""


def _tipped(name: str, at: Target, heading: Array, room: Room, size: Size) -> Viewpoint:
    """Return the viewpoint that looks along `heading` (2,), tipped down until floor fills half of the picture, or as
    much of it as can be."""
    stand = _standing(at, room)
    best: tuple[float, Viewpoint] | None = None
    for pitch in np.radians(np.arange(6, 41, 2.0)):
        ahead = stand + 3.0 * heading
        look = Target("point", point=(float(ahead[0]), float(ahead[1]), float(EYE - 3.0 * np.tan(pitch))))
        view = Viewpoint(name, "eye", at, EYE, look, float(FIELD))
        share = floor_share(camera_for(view, room, size), room)
        if best is None or share > best[0]:
            best = (share, view)
        if share >= 0.52:
            return view
    assert best is not None
    return best[1]


def _widest_corner(room: Room) -> tuple[Array, Array] | None:
    """Return where to stand and the heading (2,) of the corner whose 60 degree view holds most floor, that
    in which a window stands mirrored not counted."""
    floor = _samples(room.floor)
    free = room.outline.buffer(-0.3)
    for obstacle in room.obstacles:
        if obstacle.height > TOO_TALL_TO_STAND_ON:
            free = free.difference(obstacle.polygon.buffer(0.3))
    best: tuple[int, Array, Array] | None = None
    for corner in np.asarray(room.outline.exterior.coords)[:-1]:
        spot = shapely.Point(*corner)
        if free.is_empty or free.distance(spot) > 0.6:
            continue
        stand = np.array(shapely.ops.nearest_points(free, spot)[0].coords[0])
        eye = np.array([*stand, EYE])
        seen = floor[visible_floor(floor, eye, room)]
        seen = seen[~mirrors_window(seen, eye, room)]
        if not len(seen):
            continue
        angles = np.arctan2(*(seen - stand).T[::-1])
        for heading in np.radians(np.arange(0, 360, 5.0)):
            count = int((np.abs(np.angle(np.exp(1j * (angles - heading)))) < FIELD / 2).sum())
            if best is None or count > best[0]:
                best = count, stand, unit(heading)
    return None if best is None else best[1:]


def _samples(floor: Polygon | MultiPolygon) -> Array:
    """Return about 600 points spread evenly over a floor, (n, 2)."""
    xmin, ymin, xmax, ymax = floor.bounds
    step = np.sqrt(floor.area / 600)
    x, y = (
        each.ravel()
        for each in np.meshgrid(np.arange(xmin + step / 2, xmax, step), np.arange(ymin + step / 2, ymax, step))
    )
    return np.column_stack([x, y])[shapely.contains_xy(floor, x, y)]
