"""Viewpoints proposed where a scene has none, the best first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from preview.floor.sight_lines import sight_end
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import (
    TOO_TALL_TO_STAND_ON,
    floor_samples,
    in_picture,
    mirrors_window,
    visible_floor,
)
from preview.picture.view.framing import COMPOSED, ENOUGH, LEAST_OF_MOST, MOST_SHIFT, Size
from preview.picture.view.sight_view import WIDEST
from preview.picture.view.standing import fault_of, standing
from preview.picture.view.viewpoints import FIELD, framed
from preview.room.rays import first_wall
from preview.room.room import Room, RoomOpening
from preview.scene.job import Target, Viewpoint
from preview.vectors import left_of, unit

Array = NDArray[np.float64]

EYE = 1.6  # standing eye height, metres (5 ft 3 in); common practice, no published source
EYES = (1.6, 1.5, 1.4, 1.3, 1.2)  # the highest with which floor fills enough is taken
LITTLE_SHIFT, SOME_SHIFT = 0.3, 0.4  # of the picture's height: the horizon at 80 or 90 % of it, wall above eye level
FIELDS = (float(np.radians(65)), float(WIDEST))  # of views that are not along a sight line
TURNS = np.radians([-60, -30, 30, 60])  # from an opening's sight line, where nothing straight shows enough
LEVEL = 1e-6  # radians
HALL = 2.5  # a room that is this much longer than it is deep, seen from its long side, is looked along ...
HALL_DEPTH = 3.0  # ... unless it is deeper than this, metres
ALIKE, TURNED = 0.85, np.radians(25)  # a picture that shows so little but what another shows from about that side
FROM_WALLS = 0.3  # metres, where one stands in a corner
FAR = 4.0  # metres
CORNERS = 3  # that are looked at closely
POOR = 0.2  # share of floor under which a picture is not proposed where there is another
DEFAULT_SIZE = (1600, 1000)


@lru_cache(maxsize=8)
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
    corner = _corner_view(room, size)
    views += [corner] if corner is not None else []
    found = []
    for view in views:
        camera, share = framed(view, room, size)
        seen = in_picture(floor, camera, room)
        leads = view is not corner and view.name == f"from the {first}"
        order = (not leads, view is corner, share < ENOUGH, bool(camera.remarks), -int(seen.sum()))
        found.append(_Proposal(view, camera, share, seen, (abs(camera.tilt) > LEVEL, *order)))
    found.sort(key=lambda each: each.order)
    shown = ENOUGH if max((each.share for each in found), default=0.0) >= ENOUGH else POOR
    chosen: list[_Proposal] = []
    for each in found:
        tips, follows, from_corner, little, *_ = each.order
        fair = not tips and (each.share >= shown - 0.02 or not follows) and not (from_corner and little and chosen)
        if fair and not any(_alike(each, other) for other in chosen):
            chosen.append(each)
    chosen = chosen or found[:1]
    return (*(each.view for each in chosen), Viewpoint("plan", "plan", None, EYE, None, FIELD))


@dataclass(frozen=True, eq=False)
class _Proposal:
    """A view with the share of its picture that is floor, which of the floor's samples it shows (n,), and its order."""

    view: Viewpoint
    camera: Camera
    share: float
    seen: NDArray[np.bool_]
    order: tuple[bool | int, ...]


def _at(opening: RoomOpening) -> Target:
    return Target("opening", name=opening.name)


def _alike(one: _Proposal, other: _Proposal) -> bool:
    """Return whether two pictures are of one kind: the floor of one is in the other, from about the same side."""
    turn = np.arccos(np.clip(one.camera.axes[2] @ other.camera.axes[2], -1, 1))
    least = min(one.seen.sum(), other.seen.sum())
    return bool(turn < TURNED and (one.seen & other.seen).sum() >= ALIKE * max(1, least))


def _through(opening: RoomOpening, room: Room, size: Size) -> Viewpoint:
    """Return the view from an opening: along its sight line, or where that is short, along the room."""
    name = f"from the {opening.name}"
    reach = float(np.hypot(*(sight_end(room, opening) - opening.middle)))
    left = left_of(opening.inward)
    stand = opening.middle + reach / 2 * opening.inward
    sides = [hit.reach for way in (left, -left) if (hit := first_wall(room, stand, way)) is not None]
    free = not fault_of(stand, EYE, room)
    found = []
    if not free or reach >= HALL_DEPTH or sum(sides) <= HALL * reach:
        found = [_lowered(Viewpoint(name, "eye", _at(opening), EYE, None, None), room, size)]
    if free and (not found or found[0][1] < ENOUGH):
        found += [_facing(name, _point(stand), stand, way, room, size) for way in (left, -left)]
    view, share = _best(found)
    if share < ENOUGH and sum(sides) <= HALL * reach:
        heading, inside = np.arctan2(*opening.inward[::-1]), standing(_at(opening), room)
        turned = [unit(float(heading + turn)) for turn in TURNS]
        aside, more = _best([_facing(name, _at(opening), inside, way, room, size) for way in turned])
        return aside if LEAST_OF_MOST * more > share else view
    return view


def _facing(name: str, at: Target, stand: Array, way: Array, room: Room, size: Size) -> tuple[Viewpoint, float]:
    """Return the view from `at`, which is `stand` (2,), that way (2,), and the share of its picture that is floor."""
    look = _ahead(stand, way, room)
    return _best([_lowered(Viewpoint(name, "eye", at, EYE, look, field), room, size) for field in FIELDS])


def _corner_view(room: Room, size: Size) -> Viewpoint | None:
    """Return the view from the corner that shows most floor, that in which a window stands mirrored not counted."""
    floor = floor_samples(room.floor)
    corners = _corners(room, floor)
    found = [_from_corner(stand, heading, room, size, floor) for stand, heading in corners]
    if max((order[0] for order, _ in found), default=ENOUGH) < ENOUGH:  # every other way too
        ways = unit(np.radians(np.arange(0, 360, 30.0)))
        found += [_from_corner(stand, way, room, size, floor) for stand, _ in corners for way in ways]
    return max(found, key=lambda each: each[0])[1] if found else None


def _from_corner(
    stand: Array, heading: Array, room: Room, size: Size, floor: Array
) -> tuple[tuple[float, int], Viewpoint]:
    """Return a view from a corner after how good it is: by the share of its picture that is floor, where that is not
    enough, then by how many of the floor's samples (n, 2) it shows."""
    view, share = _facing("from the corner", _point(stand), stand, heading, room, size)
    camera = framed(view, room, size)[0]
    seen = floor[in_picture(floor, camera, room)]
    count = int((~mirrors_window(seen, camera.position, room)).sum()) if len(seen) else 0
    return (min(share, ENOUGH), count), view


def _best(found: list[tuple[Viewpoint, float]]) -> tuple[Viewpoint, float]:
    """Return the first view that shows enough floor, or the one that shows most."""
    best = max((each[1] for each in found), default=0.0)
    return next(each for each in found if each[1] >= min(best, ENOUGH))


def _lowered(view: Viewpoint, room: Room, size: Size) -> tuple[Viewpoint, float]:
    """Return a view with the eye as high as lets floor fill enough of the picture, and what it fills."""
    found = []
    for eye in EYES:
        if eye >= room.height:
            continue
        lower = replace(view, eye=eye)
        camera, share = framed(lower, room, size)
        shift = -camera.shift[1] / (camera.pixel * size[1])
        if abs(camera.tilt) < LEVEL:
            found.append((lower, share, shift))
        if found and share >= COMPOSED and shift <= LITTLE_SHIFT + 1e-6:
            break
    for least, most in ((COMPOSED, LITTLE_SHIFT), (ENOUGH, SOME_SHIFT), (ENOUGH, MOST_SHIFT)):
        for lower, share, shift in found:
            if share >= least and shift <= most + 1e-6:
                return lower, share
    return max(((lower, share) for lower, share, _ in found), key=lambda each: each[1], default=(view, 0.0))


def _ahead(stand: Array, heading: Array, room: Room) -> Target:
    """Return what one looks at along a heading (2,): a place before the wall there, far enough off to be in a level
    picture."""
    wall = first_wall(room, stand, heading)
    return _point(stand + max(0.0 if wall is None else wall.reach - FROM_WALLS, FAR) * heading)


def _point(place: Array) -> Target:
    return Target("point", point=(float(place[0]), float(place[1]), None))


def _corners(room: Room, floor: Array) -> list[tuple[Array, Array]]:
    """Return where to stand and the heading (2,) in the corners whose field of view holds most of the floor's samples
    (n, 2), `CORNERS` of them, the most first; samples in which a window stands mirrored are not counted."""
    free = room.outline.buffer(-FROM_WALLS)
    for obstacle in room.obstacles:
        if obstacle.height > TOO_TALL_TO_STAND_ON:
            free = free.difference(obstacle.polygon.buffer(FROM_WALLS))
    found: list[tuple[int, Array, Array]] = []
    for corner in np.asarray(room.outline.exterior.coords)[:-1]:
        place = shapely.Point(*corner)
        if free.is_empty or free.distance(place) > 2 * FROM_WALLS:
            continue
        stand = np.array(shapely.ops.nearest_points(free, place)[0].coords[0])
        eye = np.array([*stand, EYE])
        seen = floor[visible_floor(floor, eye, room)]
        seen = seen[~mirrors_window(seen, eye, room)]
        if not len(seen):
            continue
        angles = np.arctan2(*(seen - stand).T[::-1])
        headings = np.radians(np.arange(0, 360, 5.0))
        off = np.abs(np.angle(np.exp(1j * (angles - headings[:, None]))))
        counts = (off < FIELDS[0] / 2).sum(axis=1)
        found.append((int(counts.max()), stand, unit(float(headings[counts.argmax()]))))
    found.sort(key=lambda each: -each[0])
    return [(stand, heading) for _, stand, heading in found[:CORNERS]]
