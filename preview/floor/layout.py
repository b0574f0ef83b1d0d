"""The layout: what lies where. Many pieces are a few arrays, never one object per board.

A piece is cut from a blank, a rectangle `size` = (length, width) with one corner at `origin` and its length
along `grain`; a point p of the piece has grain coordinates s = (p - origin) . (cos, sin) and
t = (p - origin) . (-sin, cos), both from 0. A board whose ends are mitred, parallel to each other, has a `skew` that is
not 0: its near end lies at s = lead + skew t and its far one at its length from there, with lead = max(0, -skew width),
so that the blank holds it. Polygons tile the floor exactly: where joints have a width, a piece's
polygon reaches to the middle of its joints.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.floor.edges import Stretch
from preview.floor.facts import AllEnds, Facts

Array = NDArray[np.float64]


class Role(IntEnum):
    """What a piece is; the JSON name is the member's name in lower case."""

    BOARD = 0
    BORDER = 1
    GRILLE = 2
    THRESHOLD = 3
    STRIP = 4


def wood_of(role: NDArray[np.int8] | int) -> NDArray[np.int8]:
    """Return which of a job's woods (`preview.scene.job.Job.woods`) pieces of `role`, (n,) or one, are of: 0 the
    field's, which grilles have too, 1 the border's, which thresholds have too, 2 the feature strip's."""
    woods = {Role.BORDER: 1, Role.THRESHOLD: 1, Role.STRIP: 2}
    return np.array([woods.get(each, 0) for each in Role], dtype=np.int8)[role]


@dataclass(frozen=True, eq=False)
class Pieces:
    """n pieces as arrays.

    polygons (n,) object array of shapely Polygon, anticlockwise, metres; role (n,) int8 of `Role`;
    course (n,) int32, counted from 0 at the left looking along the run, -1 for what has none;
    grain (n,) radians anticlockwise from +x; origin (n, 2), size (n, 2) the blank, metres;
    whole (n,) bool, the board uncut; key (n, 2) int32, what a piece keeps when the centre line moves: its place in
    the pattern (along the run, across it) of a board, the edge and the piece along it of a border or a feature strip;
    hand (n,) int8, of the pattern's hands the one that a board is of, -1 for what has none; skew (n,) of
    the board's ends, along the grain for each metre across it, 0 where they are square.
    """

    polygons: NDArray[np.object_]
    role: NDArray[np.int8]
    course: NDArray[np.int32]
    grain: Array
    origin: Array
    size: Array
    whole: NDArray[np.bool_]
    key: NDArray[np.int32]
    hand: NDArray[np.int8]
    skew: Array

    def __len__(self) -> int:
        return len(self.polygons)

    def take(self, which: NDArray[np.int_] | NDArray[np.bool_]) -> Pieces:
        """Return the chosen pieces."""
        return Pieces(*(getattr(self, each.name)[which] for each in fields(self)))


@dataclass(frozen=True)
class Board:
    """A full field board: face width, length, thickness and the joint between boards; `joint` is what that adds to
    its length, None where it is the joint itself, as between square ends; metres. Where boards of several lengths are
    mixed, `length` is the greatest, `shortest` the least, and `mean` that of the boards that are laid."""

    width: float
    length: float
    thickness: float
    gap: float
    joint: float | None = None
    shortest: float | None = None
    mean: float | None = None

    @property
    def pitch(self) -> tuple[float, float]:
        """Width and length with its joint."""
        return self.width + self.gap, self.length + (self.gap if self.joint is None else self.joint)

    @property
    def mixed(self) -> bool:
        """Whether boards of several lengths are mixed."""
        return self.shortest is not None

    @property
    def average(self) -> float:
        """The length of a board, on average where lengths are mixed."""
        return self.length if self.mean is None else self.mean

    @property
    def average_pitch(self) -> tuple[float, float]:
        """Width and length with its joint, on average where lengths are mixed."""
        width, length = self.pitch
        return width, length if self.mean is None else self.mean + length - self.length


@dataclass(frozen=True, eq=False)
class ChalkLine:
    """A line that corners of boards follow, and the corner from which boards are laid.

    `ends` (2, 2) where it enters the field before `start` (2,) and where it leaves it, metres; `courses` how many
    courses it lies right of the pattern's own line; `whole` whether the first boards lie
    whole in the field, `straightedge` whether what holds them has room too.
    """

    ends: Array
    start: Array
    courses: int
    whole: bool
    straightedge: bool


@dataclass(frozen=True, eq=False)
class Layout:
    """A floor laid out; plan metres.

    `run` radians, the direction of the courses; `count` courses of `course_width`. `center_line` (2, 2) is a segment
    from the near end of the field to its far end. `lines` are the chalk lines, one for each part of the field, the
    one to begin with first; `chalk_offset` is its signed distance from the centre line (positive: it lies right of
    it, looking along the run). `first` are the pieces that are laid first. `slots` are the
    openings in grilles above the duct.
    `beyond` are boards of the next room's floor as far as it is shown. `measures` hold the numbers, metres
    and square metres, by plain names. `stretches` tell what meets each stretch of the field's edge, `ends`
    the same in words, `facts` what papers say of the pattern, and
    `small` names the walls and obstacles at which it has small pieces. `mirrored` says whether the pattern, mirrored in
    the centre line, is itself. A feature strip, `strip_width` wide, lies between the border and the field, and
    `inside_border` is both of the latter;
    the field where there is no strip.
    """

    title: str
    variant: str
    board: Board
    run: float
    count: int
    course_width: float
    center_line: Array
    lines: tuple[ChalkLine, ...]
    chalk_offset: float
    first: tuple[int, ...]
    border_line: float
    border_width: float
    field: Polygon | MultiPolygon
    pieces: Pieces
    slots: tuple[Polygon, ...]
    beyond: Pieces
    measures: dict[str, float | int]
    warnings: tuple[str, ...]
    stretches: tuple[Stretch, ...] = ()
    ends: AllEnds = AllEnds()  # noqa: RUF009  frozen
    facts: Facts = Facts()  # noqa: RUF009  frozen
    small: tuple[str, ...] = ()
    strip_width: float = 0.0
    inside_border: Polygon | MultiPolygon | None = None
    mirrored: bool = False

    @property
    def chalk_line(self) -> Array:
        """Where the first chalk line enters and leaves the field, (2, 2) metres."""
        return self.lines[0].ends

    @property
    def start_point(self) -> Array:
        """The corner of the first board, (2,) metres."""
        return self.lines[0].start
