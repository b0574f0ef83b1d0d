"""Viewpoints proposed where a scene has none, the best first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from preview.floor.sight_lines import sight_end
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import (
    TOO_TALL_TO_STAND_ON,
    floor_samples,
    floor_share,
    in_picture,
    mirrors_window,
    visible_floor,
)
from preview.picture.view.framing import COMPOSED, ENOUGH, MOST_SHIFT, Size
from preview.picture.view.sight_view import WIDEST
from preview.picture.view.standing import fault_of, standing
from preview.picture.view.viewpoints import FIELD, camera_for
from preview.room.rays import first_wall
from preview.room.room import Room, RoomOpening
from preview.scene.job import Target, Viewpoint
from preview.vectors import left_of, unit

Array = NDArray[np.float64]

EYE = 1.6  # standing eye height, metres (5 ft 3 in); common practice, no published source
EYES = (1.6, 1.5, 1.4, 1.3, 1.2)  # the highest with which floor fills enough is taken
LITTLE_SHIFT, SOME_SHIFT = 0.3, 0.4  # of the picture's height: the horizon at 80 or 90 % of it, wall above eye level
FIELDS = (float(np.radians(65)), float(WIDEST))  # of views that are not along a sight line
HALL = 2.5  # a room that is this much longer than it is deep, seen from its long side, is looked along ...
HALL_DEPTH = 3.0  # ... unless it is deeper than this, metres
ALIKE, TURNED = 0.7, np.radians(25)  # pictures that share so much of the floor, seen from about the same side
POOR = 0.2  # share of floor under which a picture is not proposed where there is another
DEFAULT_SIZE = (1600, 1000)


def propose_viewpoints(room: Room, size: Size = DEFAULT_SIZE, first: str | None = None) -> tuple[Viewpoint, ...]:
    """Return viewpoints for a scene that gives none, the best first: from doors and cased openings along their sight
    lines, from the corner that sees most floor, and a plan.

    The cameras are level, at standing height or as much lower, down to 1.2 m, as lets floor fill enough of the
    picture. From the long side of a hall, or where a sight line is too short to show floor, one looks along the room
    instead. Of views that show the same floor from about the same side the better one is proposed. The opening `first`,
    on which the floor is centred, comes before the others.
    """
    floor = floor_samples(room.floor)
    openings = [each for each in room.openings if each.passable and not fault_of(standing(_at(each), room), EYE, room)]
    views = [_through(each, room, size) for each in openings]
    leading = [each.name == first for each in openings]
    corner = _corner_view(room, size)
    if corner is not None:
        views, leading = [*views, corner], [*leading, False]
    cameras = [camera_for(each, room, size) for each in views]
    shares = [floor_share(each, room) for each in cameras]
    seen = [in_picture(floor, each, room) for each in cameras]
    order = sorted(
        range(len(views)),
        key=lambda k: (
            not leading[k],
            views[k] is corner,
            shares[k] < ENOUGH,
            bool(cameras[k].remarks),
            -seen[k].sum(),
        ),
    )
    chosen: list[int] = []
    for k in order:
        poor = shares[k] < (ENOUGH if max(shares) >= ENOUGH else POOR) - 0.02
        if not any(_alike(cameras[k], cameras[j], seen[k], seen[j]) for j in chosen) and (leading[k] or not poor):
            chosen.append(k)
    chosen = chosen or order[:1]
    return (*(views[k] for k in chosen), Viewpoint("plan", "plan", None, EYE, None, FIELD))


def _at(opening: RoomOpening) -> Target:
    return Target("opening", name=opening.name)


def _alike(one: Camera, other: Camera, seen: NDArray[np.bool_], also: NDArray[np.bool_]) -> bool:
    """Return whether two pictures are of one kind: they show the same floor from about the same side."""
    turn = np.arccos(np.clip(one.axes()[2] @ other.axes()[2], -1, 1))
    both, either = (seen & also).sum(), (seen | also).sum()
    return bool(turn < TURNED and both >= ALIKE * max(either, 1))


def _through(opening: RoomOpening, room: Room, size: Size) -> Viewpoint:
    """Return the view from an opening: along its sight line, or where that is short, along the room."""
    name = f"from the {opening.name}"
    straight = _lowered(Viewpoint(name, "eye", _at(opening), EYE, None, None), room, size)
    along = _along(name, opening, room, size)
    if along is None:
        return straight[0]
    (view, share), length = along
    reach = float(np.hypot(*(sight_end(room, opening) - opening.middle)))
    is_hall = reach < HALL_DEPTH and length > HALL * reach
    if is_hall or (straight[1] < ENOUGH and share > straight[1]):
        return view
    return straight[0]


def _along(name: str, opening: RoomOpening, room: Room, size: Size) -> tuple[tuple[Viewpoint, float], float] | None:
    """Return the view from before an opening, half way to the wall opposite, along the room, with what it shows of
    floor; and how long the room is there."""
    half = float(np.hypot(*(sight_end(room, opening) - opening.middle))) / 2
    stand = opening.middle + half * opening.inward
    if fault_of(stand, EYE, room):
        return None
    left = left_of(opening.inward)
    met = [(way, hit.reach) for way in (left, -left) if (hit := first_wall(room, stand, way)) is not None]
    if not met:
        return None
    found = [
        _lowered(Viewpoint(name, "eye", _point(stand), EYE, _point(stand + (reach - 0.05) * way), field), room, size)
        for way, reach in met
        if reach > 1.0
        for field in FIELDS
    ]
    return (_best(found), sum(reach for _, reach in met)) if found else None


def _corner_view(room: Room, size: Size) -> Viewpoint | None:
    found = _widest_corner(room)
    if found is None:
        return None
    stand, heading = found
    wall = first_wall(room, stand, heading)
    look = _point(stand + max((wall.reach if wall else 0.0) - 0.3, 0.5) * heading)
    views = [
        _lowered(Viewpoint("from the corner", "eye", _point(stand), EYE, look, field), room, size) for field in FIELDS
    ]
    return _best(views)[0]


def _best(found: list[tuple[Viewpoint, float]]) -> tuple[Viewpoint, float]:
    """Return the first view that shows enough floor, or the one that shows most."""
    return next((each for each in found if each[1] >= ENOUGH), max(found, key=lambda each: each[1]))


def _lowered(view: Viewpoint, room: Room, size: Size) -> tuple[Viewpoint, float]:
    """Return a view with the eye as high as lets floor fill enough of the picture, and what it fills."""
    found = []
    for eye in EYES:
        lower = replace(view, eye=eye)
        if eye < room.height and abs((camera := camera_for(lower, room, size)).tilt) < 1e-6:
            found.append((lower, floor_share(camera, room), -camera.shift[1] / (camera.pixel * size[1])))
    for least, most in ((COMPOSED, LITTLE_SHIFT), (ENOUGH, SOME_SHIFT), (ENOUGH, MOST_SHIFT)):
        for lower, share, shift in found:
            if share >= least and shift <= most + 1e-6:
                return lower, share
    return max(((lower, share) for lower, share, _ in found), key=lambda each: each[1], default=(view, 0.0))


def _point(place: Array) -> Target:
    return Target("point", point=(float(place[0]), float(place[1]), None))


def _widest_corner(room: Room) -> tuple[Array, Array] | None:
    """Return where to stand and the heading (2,) of the corner whose 60 degree view holds most floor, that
    in which a window stands mirrored not counted."""
    floor = floor_samples(room.floor)
    free = room.outline.buffer(-0.3)
    for obstacle in room.obstacles:
        if obstacle.height > TOO_TALL_TO_STAND_ON:
            free = free.difference(obstacle.polygon.buffer(0.3))
    best: tuple[int, Array, Array] | None = None
    for corner in np.asarray(room.outline.exterior.coords)[:-1]:
        place = shapely.Point(*corner)
        if free.is_empty or free.distance(place) > 0.6:
            continue
        stand = np.array(shapely.ops.nearest_points(free, place)[0].coords[0])
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
