"""The centre line: which way the courses run, through which place, and how far the field reaches each way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, pi, radians

import numpy as np
import shapely

from preview.errors import SceneError
from preview.floor.edges import Edge, field_edges, main_place
from preview.floor.layout import Array
from preview.floor.sides import Side
from preview.room.places import name_edge
from preview.room.room import Room
from preview.scene.job import Job
from preview.vectors import axes, steps_round

SQUARE = radians(1.0)
"""A sight line within this angle of the run counts as parallel to it."""


@dataclass(frozen=True, eq=False)
class Axis:
    """The centre line in plan.

    `run` radians; `frame` (2, 2) unit vectors along the run and across it to the right. In that frame (metres from
    the plan's origin) the line lies at `place` across and the field from `low` to `high` along; `middle` is the place
    of the field's own middle. `near` and `far` along, and `left` and `right` of the line, are the walls that bound
    the field most (a bay or a niche goes beyond them), or the field's reach where no wall is square. `remarks` are
    warnings; `sides` are the walls along the run.
    """

    run: float
    frame: Array
    place: float
    middle: float
    low: float
    high: float
    near: float
    far: float
    left: float
    right: float
    remarks: tuple[str, ...]
    sides: tuple[Side, ...] = ()


def find_axis(room: Room, job: Job) -> Axis:
    """Return the centre line that `job.floor.center` asks for.

    A sight line is square to its opening's wall. Where it does not run with the courses, the courses are turned to
    run with it: a centre line across them would centre nothing.

    Raises:
        SceneError: the line does not cross the field.
    """
    center, run = job.floor.center, job.floor.run
    remarks: tuple[str, ...] = ()
    sight = room.opening(center.opening) if center.kind == "opening" and center.opening else None
    if sight is not None:
        wanted = atan2(sight.inward[1], sight.inward[0])
        if run is None:
            run = wanted
        elif abs(_between(wanted, run)) > SQUARE:
            remarks = (
                f"the courses are to run at {degrees(run) % 360:.4g} degrees, but a floor that is centred on an "
                f"opening runs with its sight line: they are turned to that through {sight.name}, "
                f"{degrees(wanted) % 360:.4g} degrees",
            )
            run = wanted
    if run is None:
        run = _natural_run(room)
    frame = axes(run)
    low, high = _extent(room.field, frame)
    middle = float(low[1] + high[1]) / 2
    if sight is not None:
        place = float(frame[1] @ sight.middle)
    elif center.kind == "point" and center.point is not None:
        place = float(frame[1] @ np.array(center.point))
    else:
        place = middle
    if not low[1] < place < high[1]:
        raise SceneError(
            job.place("floor.center"),
            "the centre line lies outside the field that the boards cover",
            "centre on the room, on an opening that looks into the field, or on a point in it",
        )
    things = {each.name for each in room.obstacles}
    edges = tuple(each for each in field_edges(room.field, frame) if name_edge(room, each.middle) not in things)
    near, far = _bounds(main_place(edges, "near"), main_place(edges, "far"), float(low[0]), float(high[0]))
    left, right = _bounds(main_place(edges, "left"), main_place(edges, "right"), float(low[1]), float(high[1]), place)
    return Axis(
        run,
        frame,
        place,
        middle,
        float(low[0]),
        float(high[0]),
        near,
        far,
        place - left,
        right - place,
        remarks,
        _sides(room, edges, place),
    )


def _sides(room: Room, edges: Sequence[Edge], place: float) -> tuple[Side, ...]:
    """Return the walls along the run, each with how far out it reaches from the centre line at `place`."""
    found: dict[tuple[str, bool], Side] = {}
    for each in edges:
        if each.facing not in ("left", "right"):
            continue
        name, right = name_edge(room, each.middle), each.facing == "right"
        half = each.place - place if right else place - each.place
        known = found.get((name, right))
        length = each.length + (known.length if known else 0.0)
        found[name, right] = Side(name, max(half, known.half) if known else half, length, right)
    return tuple(found.values())


def _bounds(
    first: float | None, second: float | None, low: float, high: float, between: float | None = None
) -> tuple[float, float]:
    """Return the main walls' places, or the reach of the field where they don't stand either side of `between`."""
    first, second = low if first is None else first, high if second is None else second
    if first < second and (between is None or first < between < second):
        return first, second
    return low, high


def _natural_run(room: Room) -> float:
    """Along the sight line of the first opening one walks through, else along the longest wall."""
    for opening in room.openings:
        if opening.passable:
            return atan2(opening.inward[1], opening.inward[0])
    walls = steps_round(room.corners)
    longest = walls[np.argmax(np.hypot(*walls.T))]
    return atan2(longest[1], longest[0])


def _between(a: float, b: float) -> float:
    """Return the angle between two undirected lines, -pi/2 to pi/2."""
    return (a - b + pi / 2) % pi - pi / 2


def _extent(region: shapely.Geometry, frame: Array) -> tuple[Array, Array]:
    points = shapely.get_coordinates(region) @ frame.T
    return points.min(axis=0), points.max(axis=0)
