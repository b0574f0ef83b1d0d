"""Chevron, as the program's steps ask for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, sin
from typing import Literal

from shapely.geometry.base import BaseGeometry

from preview.floor.centering import Axis
from preview.floor.facts import Facts
from preview.floor.layout import Board, ChalkLine
from preview.floor.patterns.chevron.chevron_words import end_words, pattern_facts, short_words
from preview.floor.patterns.chevron.columns import Columns, column_reach, triangle_edges
from preview.floor.patterns.fit import Fit, Reach
from preview.floor.patterns.fitting import ASKEW, fits, lengths
from preview.floor.patterns.interface import Wanted
from preview.floor.sizes import EdgePieces
from preview.scene.job import Job, Unit
from preview.units import format_length


@dataclass(frozen=True)
class Chevron:
    """Boards with mitred ends at `angle` radians to the run, that meet in straight seams along it."""

    angle: float
    name: str = "chevron"
    full_start: str = "full triangles"
    small: str = "small triangles"
    askew: str = ASKEW
    cut_to: str = "the boards are cut to"

    def fitted(self, job: Job) -> Reach:
        """Return what its columns reach."""
        return column_reach(job.floor.board_width + job.floor.gap, self.angle, job.floor.gap)

    def fits(self, axis: Axis, job: Job) -> Sequence[Fit]:
        """Return the lengths to consider, best first."""
        return fits(self.fitted(job), axis, job)

    def lengths(self, axis: Axis, job: Job, wanted: Sequence[Wanted]) -> list[tuple[float | None, Wanted]]:
        """Return the board lengths to try."""
        return lengths(self.fitted(job), axis, job, wanted)

    def placements(self, axis: Axis, job: Job, fit: Fit, field: BaseGeometry) -> Iterable[Columns]:
        """Yield the placement of a fit: a seam on the centre line, or the middle of a column."""
        width, step = job.floor.board_width + job.floor.gap, (job.floor.board_width + job.floor.gap) / sin(self.angle)
        place = axis.place - fit.phase * fit.length * sin(self.angle)
        point = self._start(axis, job, width, fit.length)
        first = point + step * -((point - axis.near + 1e-9) // step)
        origin = axis.frame.T @ [first, place]
        yield Columns((float(origin[0]), float(origin[1])), axis.run, width, fit.length, self.angle, job.floor.gap)

    def _start(self, axis: Axis, job: Job, width: float, length: float) -> float:
        """Return the place along the run of a point where boards begin."""
        start, rise = job.floor.start, length * cos(self.angle)
        if start == "full":
            return axis.near - rise
        if start == "both":
            balanced = (axis.near + axis.far - rise) / 2
            options = (balanced, balanced + width / sin(self.angle) / 2)

            def triangles(point: float) -> float:
                return round(sum(triangle_edges(axis.near, axis.far, point, width, length, self.angle)), 9)

            return max(options, key=triangles)
        return axis.near + float(start)

    def starts(self, job: Job) -> Sequence[Literal["full", "both"]]:
        """Return both: triangles at the ends come out otherwise."""
        return "full", "both"

    def mixes(self, job: Job) -> bool:
        """Return that boards are of one length."""
        return False

    def facts(self, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
        """Return what papers say of it."""
        return pattern_facts(self.name, self.angle, board, line, edge, units)

    def movement(self) -> tuple[float, float]:
        """Return the greatest shares of a board's change in width by which the field grows along and across the run.

        Each board changes its width by a share e and keeps its length. A board at an angle a to the run strains by e
        in the direction v across its grain, v = (sin a, cos a) along and across the run but for sign, so a column by
        e v v'; of the two leans half each, the shears of the columns cancel: e sin^2 a along the run, e cos^2 a across.

        - Boards that slide freely along one another keep their angle and stay one chevron: a column is L sin a wide
          whatever the boards' width, and its boards lie W / sin a apart. The whole of e along the run, nothing across.
        - Boards that can't slide have the mean strain: e sin^2 a along, e cos^2 a across, with stress in the wood.

        The larger one in each direction is taken, a bound for boards that nothing holds to the subfloor.
        (Own derivation from the pattern's geometry; no published source.)
        """
        return 1.0, cos(self.angle) ** 2

    def end_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return what the columns come to at a stretch of the field's edge."""
        return end_words(edge, self.angle, board, units)

    def short_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return the same in a word or two."""
        return short_words(edge, self.angle, board, units)

    def small_words(self, piece: str) -> str:
        """Return small pieces whose size is `piece` in words."""
        return f"pieces with a long edge of {piece}"

    def full_size(self, job: Job, reach: Reach) -> str:
        """Return how large a full one is."""
        full = reach.width / (sin(self.angle) * cos(self.angle))
        return f"a full triangle's is {format_length(full, job.units)}"
