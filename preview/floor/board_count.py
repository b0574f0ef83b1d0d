"""How many boards a floor takes, estimated before any is laid, and how many there may be.

Measured on a virtual machine of two cores, processor time and the most memory of `lay`: 42,000 boards of a hall of
1,000 m² 1.7 s and 115 MB; 165,000 square-ended ones 3.5 s and 200 MB, 141,000 slanted ones 2.9 s, 47,000 in rows 4.1 s;
110,000 in a room of 400 corners with border and feature strip 8.4 s and 235 MB; 377,000 in a long corridor 16 s and
560 MB.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.errors import SceneError
from preview.floor.centering import Axis
from preview.floor.patterns.fit import Reach
from preview.floor.patterns.straight.supply import supply_of
from preview.room.room import Room
from preview.scene.job import Job
from preview.units import format_area, format_length

BOARDS = 100_000
"""Boards of a floor."""

AT_EDGES = 900_000
"""Corners of a floor times the pieces along its edges. Measured with `lay` on rooms like combs, processor time: 450,000
5.4 s, 960,000 9.7 s with border and strip, 1,020,000 7.1 s without, 2,490,000 12.3 s."""

BLANKS = 400_000
"""Boards in the box round the field, along the run and across it: all of them are placed before those outside go."""


def check_board_count(axis: Axis, job: Job, field: BaseGeometry, reach: Reach | None) -> None:
    """Raise SceneError where a field would take too many boards, by its area and by the box round it.

    Args:
        reach: what a pattern fits its boards' length by; None where rows are laid of what there is.
    """
    width = job.floor.board_width + job.floor.gap
    length = _length(axis, job, reach)
    local = shapely.get_coordinates(field) @ axis.frame.T
    box = float(np.prod(local.max(axis=0) - local.min(axis=0)))
    boards, blanks = field.area / (length * width), box / (length * width)
    if boards <= BOARDS and blanks <= BLANKS:
        return
    room = "room" if field.area > BOARDS / 40 else "floor.board_width"  # beyond 2,500 m² a room is likelier wrong
    size = f"{format_length(job.floor.board_width, job.units)} × {format_length(length - job.floor.gap, job.units)}"
    area = format_area(field.area, job.units)
    if boards > BOARDS:
        found = f"about {_rounded(boards)} boards of {size} on {area}"
        raise SceneError(job.place(room), found, f"at most {BOARDS:,} are laid: is the unit right?")
    raise SceneError(
        job.place(room),
        f"a field of {area} so long and askew that {_rounded(blanks)} boards of {size} would be tried on it",
        f"at most {BLANKS:,} are: lay the floor in parts, or turn the courses with floor.run",
    )


def check_edges(room: Room, job: Job) -> None:
    """Raise SceneError where the floor's edges are so long, with so many corners, that fitting the pieces along them
    would take too long: each is held against each edge."""
    corners, along = edge_work(room, job)
    if corners * along > AT_EDGES:
        raise SceneError(
            job.place("room"),
            f"edges of {format_length(room.floor.length, job.units)} with {corners:,} corners, along which "
            f"{_rounded(along)} pieces would be fitted",
            "leave out corners that hardly change the floor, or lay it in parts",
        )


def edge_work(room: Room, job: Job) -> tuple[int, float]:
    """Return how many corners a floor has, and about how many pieces are fitted along its edges."""
    along = room.floor.length / (job.floor.board_width + job.floor.gap)
    if job.border.width > 0:
        along += room.floor.length / job.border.longest * (2 if job.border.strip else 1)
    return len(shapely.get_coordinates(room.floor)), along


def _length(axis: Axis, job: Job, reach: Reach | None) -> float:
    """Return about how long a board is, with its joint: as given, as the supply has it on average, or as it will be
    fitted, metres."""
    choice = job.floor
    if reach is None:
        supply = supply_of(job)
        if supply.lengths:
            return float(np.average(supply.lengths, weights=supply.often))
        return (supply.shortest + supply.longest) / 2
    given = choice.lengths if choice.board_length is None else (choice.board_length,)
    if given:
        return min(given) + choice.gap
    length = reach.best * reach.width
    if isinstance(choice.courses, int):
        fitted = (reach.scale * (axis.left + axis.right) + 2 * reach.extra) / choice.courses
        length = min(length, max(fitted, reach.width))
    return length


def _rounded(count: float) -> str:
    """Return a count in two or three figures, of millions in words."""
    if count >= 1e6:
        return f"{count / 1e6:,.0f} million" if count >= 1e7 else f"{count / 1e6:.1f} million"
    return f"{round(count, -3):,.0f}"
