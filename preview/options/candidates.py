"""What could be laid: every choice of border, board width, centre line, courses with their length, and start."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import pi
from typing import Literal

import numpy as np

from preview.errors import SceneError
from preview.floor.centering import SQUARE, Axis, find_axis
from preview.floor.lay import open_field, place_boards
from preview.floor.patterns import pattern_of
from preview.floor.patterns.interface import Wanted
from preview.room.measured import build_room
from preview.room.room import Room
from preview.scene.job import Center, Job, Unit
from preview.units import round_length, system

ASIDE = {"imperial": 0.0127, "metric": 0.010}
"""Borders and boards are tried this much narrower and wider than the scene has them, metres."""

SAME_LINE = 5e-4
"""Centre lines nearer to each other than this, metres, are one."""

NARROWEST, WIDEST = 0.02, 0.305
"""Board widths outside these are not tried, metres."""


@dataclass(frozen=True, eq=False)
class Candidate:
    """A job that could be laid, its room, and its centre line; `changes` counts what it changes of the scene."""

    job: Job
    room: Room
    axis: Axis
    changes: int


def own_candidate(job: Job) -> Candidate:
    """Return the scene's own choice.

    Raises:
        SceneError: it can't be laid.
    """
    room = build_room(job)
    return Candidate(job, room, find_axis(room, job), 0)


Fixed = Literal["border", "width", "length", "courses", "centre", "start"]
"""What a search may leave as the scene has it; of courses, whether they are even or odd (a number stays anyway)."""


def candidates(own: Candidate, widths: Sequence[float] = (), fixed: Collection[Fixed] = ()) -> Iterator[Candidate]:
    """Yield what could be laid instead of `own`, every choice once; `own` itself is left out only by its length.

    Borders and boards as wide as the scene's and a little narrower and wider (`ASIDE`), and boards of `widths` too;
    centred on the room, on every sight line that runs with the courses, and where the scene has it; every number of
    courses, even and odd, for which boards are of the pattern's usual proportions, or the number that the scene gives,
    or where it has blocks in stock the lengths of those; full pieces at the near end, or both ends alike. What is
    `fixed` stays as the scene has it.
    """
    job = own.job
    pattern = pattern_of(job)
    given = (laid_length(own),) if "length" in fixed else job.floor.lengths
    given = () if pattern.mixes(job) else given
    wanted = _wanted(job, fixed)
    more = () if "start" in fixed else pattern.starts(job)
    starts = dict.fromkeys((job.floor.start, *more))
    borders = [job.border.width] if "border" in fixed else _around(job.border.width, job.units, 0.0, 2.0)
    wide = [job.floor.board_width] if "width" in fixed else _widths(job, widths)
    for border in borders:
        room, centers = _room(own, border)
        for center, axis in centers[:1] if "centre" in fixed else centers:
            for width in wide:
                wide_job = replace(job, floor=replace(job.floor, board_width=width))
                tried = list(product(given, wanted)) if given else pattern.lengths(axis, wide_job, wanted)
                for length, courses in tried:
                    for start in starts:
                        chosen = replace(
                            job.floor,
                            board_width=width,
                            board_length=length,
                            lengths=job.floor.lengths if length is None else (),
                            courses=courses,
                            center=center,
                            run=axis.run,
                            start=start,
                        )
                        changed = (
                            border != job.border.width,
                            width != job.floor.board_width,
                            center != job.floor.center,
                            start != job.floor.start,
                        )
                        yield Candidate(
                            replace(job, floor=chosen, border=replace(job.border, width=border)),
                            room,
                            axis,
                            1 + sum(changed),
                        )


def laid_length(own: Candidate) -> float:
    """Return how long the boards of a candidate are as it is laid, without their joint, metres.

    Raises:
        SceneError: a board longer than the field.
    """
    length = own.job.floor.board_length
    if length is not None:
        return length
    placement = place_boards(own.axis, own.job, open_field(own.room))[0]
    return placement.length - placement.reach.joint


def _wanted(job: Job, fixed: Collection[Fixed]) -> tuple[Wanted, ...]:
    """Return what is tried of courses: a number that the scene gives, else even and odd, or which of them is fixed."""
    courses = job.floor.courses
    if isinstance(courses, int) or ("courses" in fixed and courses != "any"):
        return (courses,)
    return ("even", "odd")


def _around(given: float, units: Unit, least: float, most: float) -> list[float]:
    """Return a width, and where it is above zero one a little narrower and one wider, as the scene could write them."""
    step = ASIDE[system(units)]
    near = [round_length(given + sign * step, units) for sign in (-1, 1)] if given > 0 else []
    return [given, *(each for each in near if least < each < most and each != given)]


def _widths(job: Job, more: Sequence[float]) -> list[float]:
    own = _around(job.floor.board_width, job.units, NARROWEST, WIDEST)
    return list(dict.fromkeys([*own, *more]))


def _room(own: Candidate, border: float) -> tuple[Room, list[tuple[Center, Axis]]]:
    """Return the room with a border, and the centre lines there are in it; none where it can't be built."""
    job = replace(own.job, border=replace(own.job.border, width=border))
    try:
        room = own.room if border == own.job.border.width else build_room(job)
    except SceneError:
        return own.room, []
    wanted = [job.floor.center, Center("room")]
    for opening in room.openings:
        turned = own.axis.run - np.arctan2(opening.inward[1], opening.inward[0])
        if abs((turned + pi / 2) % pi - pi / 2) < SQUARE:
            wanted.append(Center("opening", opening=opening.name))
    found: list[tuple[Center, Axis]] = []
    for center in dict.fromkeys(wanted):
        try:
            axis = find_axis(room, replace(job, floor=replace(job.floor, center=center, run=own.axis.run)))
        except SceneError:
            continue
        if not any(abs(axis.place - other.place) < SAME_LINE for _, other in found):
            found.append((center, axis))
    return room, found
