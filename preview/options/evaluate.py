"""A candidate evaluated: its score in numbers, or why it is rejected."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preview.distinct import distinct
from preview.errors import SceneError
from preview.floor.centering import Axis
from preview.floor.derived_measures import SMALL
from preview.floor.edges import Edge, field_edges
from preview.floor.ends import edge_ends
from preview.floor.facts import AllEnds
from preview.floor.lay import board_of, open_field, place_boards
from preview.floor.packing import cutting
from preview.floor.patterns import pattern_of
from preview.floor.patterns.fit import Fit
from preview.floor.patterns.interface import Placement
from preview.floor.sight_lines import SightOffset, sight_offset
from preview.floor.slivers import sliver_mask
from preview.floor.stretches import edge_stretches
from preview.floor.symmetry import mirrored_share
from preview.options.candidates import Candidate
from preview.room.places import name_edge, wall_towards
from preview.room.room import Room, RoomOpening

Reason = Literal["side", "end", "sliver", "unfit"]


@dataclass(frozen=True)
class Score:
    """A layout in numbers, metres and shares; `sight` is the offset of the centre line from the main sight line, and
    `towards` the wall on that side; `slivers` are the pieces too narrow to lay."""

    symmetry: float
    sight: SightOffset | None
    towards: str
    whole: int
    cut: int
    blanks: int
    blanks_reused: int
    waste_reused: float
    slivers: int = 0


@dataclass(frozen=True, eq=False)
class Evaluated:
    """A candidate with its numbers, or with the reason why it is rejected.

    `length` and `count` are those of its boards (without joint, metres) and courses, `shortest` the least length where
    lengths are mixed; `where` names the wall, and
    `ends` tell what its boards come to at each wall where it was cut.
    """

    candidate: Candidate
    length: float
    count: int
    score: Score | None
    reason: Reason | None = None
    where: str = ""
    ends: AllEnds = AllEnds()  # noqa: RUF009  frozen
    shortest: float | None = None


@dataclass(frozen=True, eq=False)
class _Field:
    """What candidates with one border and one centre line share."""

    open: BaseGeometry
    walls: tuple[tuple[str, Edge], ...]
    mirrored: float
    sight: SightOffset | None
    towards: str


def main_opening(room: Room, run: float, centered: str | None = None) -> RoomOpening | None:
    """Return the opening whose sight line counts: of those that one walks through and that run with the courses the
    one that the scene is `centered` on, else the first."""
    for opening in sorted(room.openings, key=lambda each: each.name != centered):
        if opening.passable and sight_offset(room, opening, opening.middle, run) is not None:
            return opening
    return None


def evaluate(
    candidates: Iterable[Candidate], small: float = SMALL, most: int = 0, centered: str | None = None
) -> Iterator[Evaluated]:
    """Evaluate each candidate. What is rejected cheaply, by its triangles along walls, is never cut, but for the
    scene's own choice, whose length and courses are told as they are laid.

    Rejected are layouts with triangles along a side wall, with triangles under half a full one's legs along a wall
    at an end, and with more than `most` pieces narrower than `small` metres (that of the largest circle in it).
    `centered` names the opening that the scene is centred on, if it is.
    """
    shared: dict[tuple[int, float], _Field] = {}
    for each in candidates:
        key = (id(each.room), each.axis.place)
        if key not in shared:
            shared[key] = _field(each, centered)
        yield _evaluated(each, shared[key], small, most)


def _field(each: Candidate, centered: str | None) -> _Field:
    room, axis = each.room, each.axis
    edges = field_edges(room.field, axis.frame)
    obstacles = {obstacle.name for obstacle in room.obstacles}
    named = ((name_edge(room, edge.middle), edge) for edge in edges)
    opening = main_opening(room, axis.run, centered)
    point = axis.frame[1] * axis.place
    sight = sight_offset(room, opening, point, axis.run) if opening else None
    return _Field(
        open_field(room),
        tuple((name, edge) for name, edge in named if name not in obstacles),
        mirrored_share(room.field, point, axis.run),
        sight,
        _towards(room, opening, sight, axis) if opening and sight else "",
    )


def _towards(room: Room, opening: RoomOpening, sight: SightOffset, axis: Axis) -> str:
    """Return the wall on the side of a sight line on which the centre line lies where it meets the far wall."""
    looks = 1.0 if float(opening.inward @ axis.frame[0]) > 0 else -1.0
    return f"wall {wall_towards(room, looks * np.sign(sight.at_far_wall or 1.0) * axis.frame[1])}"


def _evaluated(each: Candidate, field: _Field, small: float, most: int) -> Evaluated:
    axis, choice, pattern = each.axis, each.job.floor, pattern_of(each.job)
    try:
        fit = pattern.fits(axis, each.job)[0]
    except SceneError:
        return Evaluated(each, choice.board_length or 0.0, 0, None, "unfit")
    first = next(iter(pattern.placements(axis, each.job, fit, field.open)))
    length = first.length - first.reach.joint
    fault = _fault(first, axis, fit, field)
    if fault and each.changes:
        return Evaluated(each, length, fit.count, None, *fault)
    placement, fit, boards = place_boards(axis, each.job, field.open)
    length, count = placement.length - placement.reach.joint, len(distinct(boards.course))
    if fault:
        return Evaluated(each, length, count, None, *fault)
    slivers = int(sliver_mask(boards.polygons[~boards.whole], small).sum())
    if slivers > most:
        return Evaluated(each, length, count, None, "sliver")
    board = board_of(each.job, placement, boards)
    need = cutting(boards, length)
    laid = float(shapely.area(boards.polygons).sum())
    whole = int(boards.whole.sum())
    return Evaluated(
        each,
        length,
        count,
        Score(
            symmetry=field.mirrored if placement.mirrors_in(axis.place) else 0.0,
            sight=field.sight,
            towards=field.towards,
            whole=whole,
            cut=len(boards) - whole,
            blanks=need.apart,
            blanks_reused=need.reused,
            waste_reused=need.reused * board.average_pitch[0] * board.average_pitch[1] / laid - 1,
            slivers=slivers,
        ),
        ends=edge_ends(
            pattern,
            edge_stretches(each.room, field.open, boards, axis.run, choice.gap),
            board,
            each.job.units,
        ),
        shortest=board.shortest,
    )


def _fault(placement: Placement, axis: Axis, fit: Fit, field: _Field) -> tuple[Reason, str] | None:
    """Return why a layout is rejected before it is cut, and along which wall."""
    for name, edge in field.walls:
        if placement.is_small(edge, placement.last_piece(edge, axis.place, fit.phase)):
            return ("side" if edge.facing in ("left", "right") else "end"), name
    return None
