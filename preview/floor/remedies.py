"""Remedies for small triangles: a start, a count of courses, a board width or a centre that really does.

Each change is tried as a layer would: the boards are placed anew and looked at. The first that leaves no small triangle
anywhere is told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

from preview.errors import SceneError
from preview.floor.board_count import edge_work
from preview.floor.centering import find_axis
from preview.floor.lay import open_field, place_boards
from preview.floor.layout import Layout
from preview.floor.patterns import pattern_of
from preview.floor.remarks import small_ends
from preview.room.room import Room
from preview.scene.job import Center, Job
from preview.units import format_length, system

MOST_PIECES, MOST_AT_EDGES = 5_000, 20_000
"""A floor of more pieces, or of more corners times pieces along its edges, is not tried anew: it would take seconds. Of
3,500 pieces round 88 columns (440,000) a try took 3.5 s of processor time, and there were 19; a kitchen with a bay has
5,500."""

MOST_TRIED = 110_000
"""Of the same work in all tries together: all twenty for that kitchen, five for one with a corner drawn out to 34 m,
whose tries take a second each."""

LONG = 3.0
"""Length of the boards that rows are tried in, metres."""

STEPS = (1, -1, 2, -2, 3, -3, 4, -4)
"""Widths tried, in steps from the scene's own."""

STEP = {"imperial": 0.25 * 0.0254, "metric": 0.005}
"""Between two widths that are tried, metres: 1/4 in or 5 mm, as boards are sold (common practice, no published
source)."""


@dataclass(frozen=True, eq=False)
class Remedy:
    """What would leave a layout without small triangles. It is looked for when it is first asked for, as that takes as
    long as laying the floor several times."""

    room: Room
    layout: Layout
    job: Job

    @property
    def advice(self) -> tuple[str, ...]:
        """What to try, in words; nothing where there are no small triangles, or nothing that was tried helps."""
        return () if self._found is None else (f"to avoid {pattern_of(self.job).small}, try {self._found[0]}",)

    @property
    def settings(self) -> tuple[tuple[str, str], ...]:
        """The same as a scene sets it: keys and values."""
        if self._found is None:
            return ()
        before, now = self.job.floor, self._found[1].floor
        settings = {
            "courses": now.courses,
            "start": now.start,
            "board_width": format_length(now.board_width, self.job.units),
            "board_length": "fit",
            "center": "room",
        }
        changed = (key for key in settings if getattr(now, key) != getattr(before, key))
        return tuple((f"floor.{key}", str(settings[key])) for key in changed)

    @cached_property
    def _found(self) -> tuple[str, Job] | None:
        room, job = self.room, self.job
        if not self.layout.small or len(self.layout.pieces) > MOST_PIECES:
            return None
        work = math.prod(edge_work(room, job))
        if work > MOST_AT_EDGES:
            return None
        tried = islice(_changes(job), int(MOST_TRIED / max(work, 1)))
        return next(((words, other) for words, other in tried if _remedied(room, other)), None)


def _remedied(room: Room, job: Job) -> bool:
    """Return whether boards placed as `job` has them leave no small triangle, or no narrow row.

    Rows come out as wide whatever the length of their boards: they are tried in long ones, whose joints are drawn at
    once.
    """
    if pattern_of(job).fitted(job) is None:
        job = replace(job, floor=replace(job.floor, board_length=LONG, lengths=()))
    try:
        axis = find_axis(room, job)
        placement, fit, _ = place_boards(axis, job, open_field(room))
    except SceneError:
        return False
    return not small_ends(room, axis, fit, placement)


def _changes(job: Job) -> Iterator[tuple[str, Job]]:
    """Yield changes in words, and the job with each: those that cost least first."""
    for words, other in _kept_width(job):
        yield words, other
    step = STEP[system(job.units)]
    for count in STEPS:
        width = round((job.floor.board_width + count * step) / step) * step
        if width < 2 * step or abs(width - job.floor.board_width) < step / 2 or job.floor.lengths:
            continue
        wide = replace(job, floor=replace(job.floor, board_width=width, board_length=None))
        named = f"boards {format_length(width, job.units)} wide"
        yield named, wide
        for words, other in _starts(wide):
            yield f"{named}, with {words}", other


def _kept_width(job: Job) -> Iterator[tuple[str, Job]]:
    yield from _starts(job)
    if not isinstance(job.floor.courses, int):
        for courses in ("even", "odd"):
            if courses != job.floor.courses:
                other = replace(job, floor=replace(job.floor, courses=courses))
                yield f'courses = "{courses}"', other
                for words, started in _starts(other):
                    yield f'courses = "{courses}" and {words}', started
    if job.floor.board_length is not None:
        fitted = replace(job, floor=replace(job.floor, board_length=None))
        yield 'board_length = "fit"', fitted
        for words, started in _starts(fitted):
            yield f'board_length = "fit" and {words}', started
    if job.floor.center.kind != "room":
        yield 'center = "room"', replace(job, floor=replace(job.floor, center=Center("room")))


def _starts(job: Job) -> Iterator[tuple[str, Job]]:
    for start in ("full", "both"):
        if start != job.floor.start:
            yield f'start = "{start}"', replace(job, floor=replace(job.floor, start=start))
