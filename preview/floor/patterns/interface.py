"""What every pattern of a field knows of itself: how its boards are placed, fitted, set out and told.

A *pattern* is what a scene asks for; a *placement* is that pattern with its boards' size, put where the centre line and
the start want it. Everything past `preview.floor` reads pieces and facts, and knows no pattern.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.floor.centering import Axis
from preview.floor.edges import Edge
from preview.floor.facts import Facts
from preview.floor.layout import Array, Board, ChalkLine, Pieces
from preview.floor.patterns.fit import Fit, Reach
from preview.floor.sizes import EdgePieces
from preview.scene.job import Job, Unit

Wanted = Literal["even", "odd"] | int

SLACK = 1e-6
"""What lies within this of an end, metres, lies on it."""


@dataclass(frozen=True)
class CornerLines:
    """The lines that corners of a placement follow: `apart` across the run, `courses` between two of them, and `step`
    between corners along one; metres."""

    apart: float
    courses: int
    step: float

    def places(self, zero: float, low: float, high: float) -> Array:
        """Return the places (n,) along a line at which corners lie from `low` to `high`, where one lies at `zero`."""
        first, last = np.ceil((low - zero - SLACK) / self.step), np.floor((high - zero + SLACK) / self.step)
        return np.clip(zero + self.step * np.arange(first, last + 1), low, high)


class Placement(Protocol):
    """A pattern placed in the plan; metres and radians. `origin` is a corner that a chalk line can run through."""

    @property
    def origin(self) -> tuple[float, float]:
        """A corner from which boards may be laid."""

    @property
    def length(self) -> float:
        """A board's length with its joint, as the stop block gives it."""

    @property
    def board_width(self) -> float:
        """A board's width with its joint."""

    @property
    def reach(self) -> Reach:
        """What its courses reach across the run."""

    @property
    def lines(self) -> CornerLines:
        """The lines that such corners follow."""

    @property
    def course_width(self) -> float:
        """Width of a course."""

    @property
    def shortest(self) -> float:
        """The least length of a board with its joint: `length`, but where boards of several lengths are mixed."""

    @property
    def remarks(self) -> tuple[str, ...]:
        """Warnings that only where its boards were put can tell."""

    def corners_on(self, line: int, low: float, high: float) -> Array:
        """Return the places (n,) along the run, from `low` to `high`, of the corners on a line of corners; line 0 runs
        through `origin`, and they count to the right."""

    def frame(self) -> Array:
        """Return unit vectors along the run and across it to the right, rows of (2, 2)."""

    def boards(self, region: BaseGeometry) -> Pieces:
        """Return all boards that may meet `region`, uncut but for what lies where another board of theirs goes."""

    def first_boards(self, corner: Array) -> tuple[Polygon, ...]:
        """Return the boards, with their joints, that are laid first at `corner` (2,), in the order of the work."""

    def aids(self, corner: Array) -> tuple[Polygon, ...]:
        """Return what lies on the floor while they are laid: straightedges and blocks; empty where there is none."""

    def wood_corner(self, gap: float) -> Array:
        """Return the way (2,) from a corner of the pattern to that of the first board's wood on the chalk line."""

    def last_piece(self, edge: Edge, center: float, phase: float) -> float:
        """Return the size of the last pieces at an edge: at a side (2) of `preview.floor.patterns.fit`, at an end the
        reach of its smallest pieces, NaN at an angled one or where nothing is to be told.

        center: place of the centre line across the run; phase: 0 where it lies on a seam, 1/2 in the middle of a
        course.
        """

    def is_small(self, edge: Edge, piece: float, *, obstacle: bool = False) -> bool:
        """Return whether an edge ends in small pieces; round an `obstacle` no layout can spare the smaller ones."""

    def mirrors_in(self, place: float) -> bool:
        """Return whether the pattern, mirrored in the line at `place` across the run (and slid along it, where the
        pattern has no other mirror), is itself."""


class FloorPattern(Protocol):
    """A pattern that a scene can ask for, with what it asks of it."""

    @property
    def name(self) -> str:
        """As a scene has it."""

    @property
    def small(self) -> str:
        """What it is best without at the edges."""

    @property
    def askew(self) -> str:
        """What becomes of it in a room where no wall runs with the courses."""

    @property
    def cut_to(self) -> str:
        """What is done to the boards along a side wall, before the size that they come to."""

    @property
    def full_start(self) -> str:
        """What the near end begins with where the scene's start is "full"."""

    def fitted(self, job: Job) -> Reach | None:
        """Return what the boards' length is fitted by; None where rows are laid of boards as they come."""

    def fits(self, axis: Axis, job: Job) -> Sequence[Fit]:
        """Return the lengths to consider, best first.

        Raises:
            SceneError: a board longer than the field.
        """

    def lengths(self, axis: Axis, job: Job, wanted: Sequence[Wanted]) -> list[tuple[float | None, Wanted]]:
        """Return the board lengths (without joint, metres; None for those that the scene mixes) to try with each
        of `wanted`."""

    def placements(self, axis: Axis, job: Job, fit: Fit, field: BaseGeometry) -> Iterable[Placement]:
        """Return the placements of a fit in `field`, best first."""

    def starts(self, job: Job) -> Sequence[Literal["full", "both"]]:
        """Return the starts that differ in what is laid."""

    def mixes(self, job: Job) -> bool:
        """Return whether boards of several lengths are mixed: then no one length is chosen."""

    def facts(self, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
        """Return what is said of boards of a size that are laid from `line`; `edge` names the field's edge."""

    def movement(self) -> tuple[float, float]:
        """Return the greatest share of a board's change in width by which the field grows along the run and across."""

    def end_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return what the courses come to at a stretch of the field's edge."""

    def short_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return the same in a word or two."""

    def small_words(self, piece: str) -> str:
        """Return small pieces whose size is `piece` in words."""

    def full_size(self, job: Job, reach: Reach) -> str:
        """Return how large a full one is, in words."""
