"""The decision view: from a doorway square along its sight line, in one-point perspective."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.sight_lines import sight_end
from preview.model.room_beyond import head, next_room, stands_open
from preview.picture.view.camera import Camera
from preview.picture.view.floor_visibility import floor_share, visible_floor
from preview.picture.view.framing import ENOUGH, LEAST_OF_MOST, MOST_SHIFT, Size, aimed, composed, holds, tipped
from preview.picture.view.standing import fault_of, standing
from preview.room.rays import first_wall
from preview.room.room import Room, RoomOpening
from preview.scene.job import Target
from preview.vectors import left_of

Array = NDArray[np.float64]

NARROWEST, WIDEST = np.radians(50), np.radians(75)  # horizontal field of view
WIDE = np.radians(65)  # where `WIDEST` can't hold both side baseboards
ALONG = 0.85  # of the sight line: from there on to the far wall both side baseboards are to be seen
MOST_ASIDE = 0.5  # of half the widest field, that the sight line lies off the middle to hold both baseboards
OFF_MIDDLE = 0.68  # of half the picture, the farthest that the line's end lies off its middle for that
BACK_STEP = 0.05  # metres
HEIGHTS = 9  # of a jamb, that are looked at
FIELDS = 5  # fields of view that are tried, the narrowest first
CLEAR = 0.03  # metres between what is pictured and the jambs
SPACE = 0.3  # metres behind the eye, to the next room's far wall
SHOULDERS = 0.25  # metres from the eye to a jamb, where one steps aside in an opening
BEFORE_END = 0.08  # metres before the far wall, where the line's end is looked for


def sight_view(
    name: str, opening: RoomOpening, eye: float, fov: float | None, tilt: float, room: Room, size: Size
) -> tuple[Camera, float]:
    """Return the camera that looks through an opening along its sight line, and the share of its picture that is floor.

    It stands as far back as the opening's jambs and head leave the picture free. Its field of view, where none is
    given, is the narrowest, from `NARROWEST` to `WIDEST`, that holds both side baseboards at the line's far end and
    shows enough floor; a wall that lies farther off on one side is brought in by a shift to that side. Where
    something hides the line's end, it steps aside in the opening; where that doesn't help, it says so. Where the end
    is too near for any shift it tips.
    """
    wide = float(np.hypot(*(opening.b - opening.a)))
    steps = np.arange(0.0, max(wide / 2 - SHOULDERS, 0.0) + 1e-9, 0.05)
    first: tuple[Camera, float] | None = None
    for aside in (sign * step for step in steps for sign in ((1, -1) if step else (1,))):
        if aside and not _end_is_seen(_eye(opening, next(_backs(opening, room)), aside, eye), opening, room):
            continue
        found = _from(name, opening, aside, eye, fov, tilt, room, size)
        if found is None:
            continue
        fair = first is None or found[1] >= min(ENOUGH, LEAST_OF_MOST * first[1])
        if fair and _end_is_seen(found[0].position, opening, room) and holds(found[0], _far_foot(opening, room)):
            return found
        first = first or found
    if first is None:  # no way back is free: just where one stands in it
        at = _standing_camera(name, opening, eye, fov or float(WIDE), tilt, room, size)
        first = composed(at, room, _far_foot(opening, room))
    camera, share = first
    if not holds(camera, _far_foot(opening, room)):
        what = f"where the sight line through the {opening.name} ends"
        tip = tipped(camera, _far_foot(opening, room)[0], what)
        return tip, floor_share(tip, room)
    if _end_is_seen(camera.position, opening, room):
        return camera, share
    what = _hides(camera, opening, room)
    remark = f"{name!r}: {what} hides where the sight line through the {opening.name} ends"
    return replace(camera, remarks=(*camera.remarks, remark)), share


def _standing_camera(
    name: str, opening: RoomOpening, eye: float, fov: float, tilt: float, room: Room, size: Size
) -> Camera:
    """Return the camera in the opening itself."""
    stand = standing(Target("opening", name=opening.name), room)
    return aimed(name, np.array([*stand, eye]), opening.inward, tilt, fov, size)


def _from(
    name: str, opening: RoomOpening, aside: float, eye: float, fov: float | None, tilt: float, room: Room, size: Size
) -> tuple[Camera, float] | None:
    """Return the view from `aside` metres to the left of the sight line, from as far back as can be; None where
    nothing fits."""
    limits = [fov / 2] * 2 if fov is not None else [NARROWEST / 2, WIDEST / 2]
    low, high = (float(np.tan(each)) for each in limits)
    sides = _baseboards(opening, room)
    best: tuple[tuple[bool, float], tuple[Camera, float]] | None = None
    for half in np.linspace(low, high, 1 if fov is not None else FIELDS):
        for back in _backs(opening, room):
            place = _eye(opening, back, aside, eye)
            shift, need = _both_baseboards(sides, back, aside, low, high)
            if half < need - 1e-9 and half < high - 1e-9:
                break  # a wider field
            camera = aimed(name, place, opening.inward, tilt, float(2 * np.arctan(half)), size, shift)
            if not _free(camera, opening, back) or fault_of(place[:2], eye, room):
                continue
            found = composed(camera, room, _far_foot(opening, room))
            held = holds(found[0], _far_foot(opening, room))
            if held and found[1] >= ENOUGH:
                return found
            if best is None or (held, found[1]) > best[0]:
                best = (held, found[1]), found
            break
    return None if best is None else best[1]


def _backs(opening: RoomOpening, room: Room) -> Iterator[float]:
    """Yield how far behind the wall's inside face one may stand, metres, the farthest first."""
    if not opening.passable:
        farthest = -0.3
    elif not stands_open(opening):
        farthest = -0.1
    else:
        beyond = next_room(opening, room)
        farthest = opening.depth / 2
        if beyond is not None:
            behind = (opening.middle - shapely.get_coordinates(beyond)) @ opening.inward
            farthest = max(farthest, float(behind.max()) - SPACE)
    yield from np.arange(farthest, min(-0.1, farthest) - 1e-9, -BACK_STEP)


def _free(camera: Camera, opening: RoomOpening, back: float) -> bool:
    """Return whether a camera so far behind the wall's inside face, not yet shifted down, has neither jamb nor the head
    in its picture, whatever its shift down."""
    if back <= 0:
        return True
    along = (opening.b - opening.a) / np.hypot(*(opening.b - opening.a))
    jambs = np.repeat([opening.a + CLEAR * along, opening.b - CLEAR * along], HEIGHTS, axis=0)
    places = np.column_stack([jambs, np.tile(np.linspace(0, head(opening) - CLEAR, HEIGHTS), 2)])
    places = places[camera.ahead(places) > 0]
    x, y = (camera.project(places) / camera.size).T
    seen = (y > 0) & (y < 1 + MOST_SHIFT)
    return not (seen & (x > 0) & (x < 1)).any() and not (y[np.isclose(places[:, 2], head(opening) - CLEAR)] > 0).any()


def _baseboards(opening: RoomOpening, room: Room) -> tuple[float, float, float] | None:
    """Return how far into the room the sight line's far end is, about, and how far the walls lie there to the left and
    to the right of it, metres; None where there are none."""
    reach = ALONG * float((sight_end(room, opening) - opening.middle) @ opening.inward)
    left, near = left_of(opening.inward), opening.middle + reach * opening.inward
    sides = [each.reach for way in (left, -left) if (each := first_wall(room, near, way)) is not None]
    return (reach, sides[0], sides[1]) if len(sides) == 2 else None


def _both_baseboards(
    sides: tuple[float, float, float] | None, back: float, aside: float, low: float, high: float
) -> tuple[float, float]:
    """Return the shift to the right and the least tan of half the field with which both side baseboards (see
    `_baseboards`) are in the picture at the line's far end; no shift, and that of `WIDE`, where not even `high` holds
    them."""
    if sides is None:
        return 0.0, min(high, float(np.tan(WIDE / 2)))
    far = sides[0] + back
    to_left, to_right = sides[1] / far - aside / far, sides[2] / far + aside / far
    margin = 1.03
    if margin * max(to_left, to_right) <= high:
        return 0.0, max(low, margin * max(to_left, to_right))
    shift = float(np.clip((to_right - to_left) / 2, -MOST_ASIDE * high, MOST_ASIDE * high))
    need = max(margin * max(to_left + shift, to_right - shift), abs(shift) / OFF_MIDDLE)
    if need <= high:
        return shift, max(low, need)
    return 0.0, min(high, float(np.tan(WIDE / 2)))


def _far_foot(opening: RoomOpening, room: Room) -> Array:
    """Return the line's end and the far wall's foot, (n, 3), which are to be in the picture."""
    return np.array([[*line_end(opening, room), 0.0], [*sight_end(room, opening), 0.0]])


def _eye(opening: RoomOpening, back: float, aside: float, eye: float) -> Array:
    """Return the eye (3,) that is so far behind the wall's inside face, and to the left of the sight line."""
    return np.array([*(opening.middle - back * opening.inward + aside * left_of(opening.inward)), eye])


def _end_is_seen(eye: Array, opening: RoomOpening, room: Room) -> bool:
    """Return whether the floor at the line's far end is in sight of the eye (3,)."""
    return bool(visible_floor(line_end(opening, room)[None], eye, room)[0])


def line_end(opening: RoomOpening, room: Room) -> Array:
    """Return where the floor under a sight line ends, (2,): before the far wall, or before what stands against it."""
    middle, end = opening.middle, sight_end(room, opening)
    reach = float((end - middle) @ opening.inward)
    for _ in room.obstacles:
        last = shapely.Point(*(middle + (reach - 1e-3) * opening.inward))
        for each in room.obstacles:
            if each.polygon.buffer(0.02).contains(last):
                line = shapely.LineString([middle, middle + reach * opening.inward])
                met = shapely.get_coordinates(line.intersection(each.polygon.buffer(0.02)))
                reach = min(reach, float(((met - middle) @ opening.inward).min()))
    return np.asarray(middle + max(reach - BEFORE_END, 0.0) * opening.inward)


def _hides(camera: Camera, opening: RoomOpening, room: Room) -> str:
    """Return what stands between the eye and the line's end, in words."""
    way = shapely.LineString([camera.position[:2], line_end(opening, room)])
    met = [each for each in room.obstacles if each.polygon.intersects(way) and each.height > 0]
    if not met:
        return "a wall"
    tallest = max(met, key=lambda each: each.height)
    return f"the {tallest.name}"
