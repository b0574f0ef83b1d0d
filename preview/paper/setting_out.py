"""Where the layer's lines lie, as distances a tape can measure from named walls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from preview.floor.layout import Layout
from preview.room.room import Room

Array = NDArray[np.float64]
PLACES = 41  # along the chalk line, tried for taping across
ALONG = float(np.sin(np.radians(1.5)))  # a wall turned by less, as old walls are, still runs with the chalk line


@dataclass(frozen=True, eq=False)
class Tape:
    """One measurement: `length` metres from wall `wall` (counted from 1) at the point `foot` (2,) to `point` (2,)."""

    wall: int
    foot: Array
    point: Array
    length: float


@dataclass(frozen=True, eq=False)
class SettingOut:
    """The chalk line and the start point, taped from the walls.

    `left_near`, `right_near` reach the chalk line square across the run near its near end, `left_far`, `right_far`
    near its far end, each pair at one place, where the walls on both sides run with the chalk line if there is such a
    place: a distance to an angled wall is easily taped wrong. `near`, `far` are how far those places lie from the
    near end of the field, metres. `start` reaches the start point along the chalk line from the wall behind the near
    end. Left and right are those of someone who looks along the run.
    """

    near: float
    far: float
    left_near: Tape
    right_near: Tape
    left_far: Tape
    right_far: Tape
    start: Tape

    @property
    def parallel(self) -> bool:
        """Whether both walls run with the chalk line to a sixteenth of an inch, so that one pair of distances does."""
        pairs = (self.left_near, self.left_far), (self.right_near, self.right_far)
        return all(a.wall == b.wall and abs(a.length - b.length) < 0.0254 / 16 for a, b in pairs)


def set_out(room: Room, layout: Layout) -> SettingOut:
    """Return the distances that put `layout`'s chalk line and start point on the floor of `room`."""
    along, left = directions(layout)
    near, far = chalk_in_field(layout)
    length = float(np.hypot(*(far - near)))
    inside = min(layout.board.width, length / 2)
    places = [float(each) for each in np.linspace(inside, length - inside, PLACES)]
    pairs = [(tape(room, near + place * along, left), tape(room, near + place * along, -left)) for place in places]
    good = [number for number, pair in enumerate(pairs) if all(_runs_along(room, each, along) for each in pair)]
    first, last = (good[0], good[-1]) if good else (0, PLACES - 1)
    return SettingOut(
        near=places[first],
        far=places[last],
        left_near=pairs[first][0],
        right_near=pairs[first][1],
        left_far=pairs[last][0],
        right_far=pairs[last][1],
        start=tape(room, layout.start_point, -along),
    )


def _runs_along(room: Room, each: Tape, along: Array) -> bool:
    a, b = room.corners[each.wall - 1], room.corners[each.wall % len(room.corners)]
    step = (b - a) / np.hypot(*(b - a))
    return abs(float(step[0] * along[1] - step[1] * along[0])) < ALONG


def chalk_in_field(layout: Layout) -> Array:
    """Return the first and the last place, (2, 2) metres, where the chalk line crosses the field.

    In a room that isn't a rectangle the line may leave the field and come back between them.
    """
    crossed = shapely.get_coordinates(LineString(layout.chalk_line).intersection(layout.field))
    if len(crossed) == 0:
        return layout.chalk_line
    order = np.argsort(crossed @ directions(layout)[0])
    return crossed[order[[0, -1]]]


def directions(layout: Layout) -> tuple[Array, Array]:
    """Return unit vectors (2,) along the run and to the left of it."""
    along = np.array([np.cos(layout.run), np.sin(layout.run)])
    return along, np.array([-along[1], along[0]])


def looking(layout: Layout) -> str:
    """Return how one looks whose left and right are meant: along the run, as it lies on the plan."""
    ways = ("to the right on", "up", "to the left on", "down")
    return f"{ways[round(float(np.degrees(layout.run)) / 90) % 4]} the plan"


def tape(room: Room, point: Array, direction: Array) -> Tape:
    """Measure from `point` (2,) along the unit vector `direction` (2,) to the first wall face it meets.

    A ray p + t d meets the wall from a to b at fraction u of it where p + t d = a + u (b - a); solved by
    Cramer's rule for all walls at once. A point on the wall itself measures zero.

    Raises:
        ValueError: the ray meets no wall, which a point inside the room can't do.
    """
    a = room.corners
    span = np.roll(a, -1, axis=0) - a
    offset = a - point
    with np.errstate(divide="ignore", invalid="ignore"):
        across = direction[0] * span[:, 1] - direction[1] * span[:, 0]
        t = (offset[:, 0] * span[:, 1] - offset[:, 1] * span[:, 0]) / across
        u = (offset[:, 0] * direction[1] - offset[:, 1] * direction[0]) / across
    slack = 1e-9
    hits = np.where((np.abs(across) > 1e-12) & (t >= -slack) & (u >= -slack) & (u <= 1 + slack), t, np.inf)
    wall = int(np.argmin(hits))
    if not np.isfinite(hits[wall]):
        raise ValueError("a point outside the room has no wall to measure from")
    length = max(float(hits[wall]), 0.0)
    return Tape(wall + 1, point + length * direction, np.asarray(point, float), length)


def wall_lengths(room: Room) -> Array:
    """Return the length of each wall, (n,) metres."""
    return np.linalg.norm(np.roll(room.corners, -1, axis=0) - room.corners, axis=1)
