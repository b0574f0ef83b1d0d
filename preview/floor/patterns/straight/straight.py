"""Straight, as the program's steps ask for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from preview.floor.centering import Axis
from preview.floor.facts import Facts
from preview.floor.layout import Board, ChalkLine
from preview.floor.patterns.fit import Fit, Reach, fit_count
from preview.floor.patterns.interface import Wanted
from preview.floor.patterns.straight.rows import Rows, lay_rows, row_reach, row_spans
from preview.floor.patterns.straight.straight_words import end_words, pattern_facts, short_words
from preview.floor.patterns.straight.supply import Supply, supply_of
from preview.floor.sizes import EdgePieces
from preview.scene.job import Job, Unit
from preview.units import format_length, system
from preview.vectors import axes

INCH = 0.0254

STAGGER = {"imperial": (6 * INCH, 10 * INCH), "metric": (0.15, 0.25)}
WIDE = {"imperial": 5 * INCH, "metric": 0.125}
"""Least distance between end joints of neighbouring rows, metres, of boards under `WIDE` and of wider ones: 6 in for
strip flooring, 8 or 10 in for boards of 5 in and over, as a guide of 2024 quotes the trade's association
(engineerfix.com/how-to-stagger-hardwood-flooring-for-a-natural-look; the association's own text was not read)."""

END = {"imperial": 8 * INCH, "metric": 0.2}
"""The shortest piece at the end of a row, metres (common practice, no published source)."""


@dataclass(frozen=True)
class Straight:
    """Boards end to end in rows along the run; end joints of neighbouring rows are at least `stagger` apart, and pieces
    at the ends of rows at least `end` long, metres."""

    stagger: float
    end: float
    name: str = "straight"
    full_start: str = "full boards"
    small: str = "narrow rows"
    askew: str = "the rows along every wall are cut askew, to all widths"
    cut_to: str = "the row is ripped to"

    @classmethod
    def of(cls, job: Job) -> Straight:
        """Return the pattern that a job asks for, with the usual least stagger where it names none."""
        which = system(job.units)
        usual = STAGGER[which][job.floor.board_width > WIDE[which] - 1e-9]
        return cls(job.floor.of_pattern("stagger") or usual, END[which])

    def fitted(self, job: Job) -> None:
        """Return None: boards are laid as they come."""

    def fits(self, axis: Axis, job: Job) -> Sequence[Fit]:
        """Return the one fit there is: how many rows, on a seam or on the middle of one."""
        width = job.floor.board_width + job.floor.gap
        reach = row_reach(width, job.floor.gap)
        return [fit_count(axis.left, axis.right, reach, width, job.floor.courses, axis.sides)]

    def lengths(self, axis: Axis, job: Job, wanted: Sequence[Wanted]) -> list[tuple[float | None, Wanted]]:
        """Return the length that the scene gives, or None for mixed ones: rows come out alike with any."""
        return [(job.floor.board_length, each) for each in wanted]

    def starts(self, job: Job) -> Sequence[Literal["full", "both"]]:
        """Return the starts that differ: of the first row, where boards are all of one length."""
        return ("full",) if self.mixes(job) else ("full", "both")

    def mixes(self, job: Job) -> bool:
        """Return whether boards of several lengths are mixed."""
        return supply_of(job).mixed

    def placements(self, axis: Axis, job: Job, fit: Fit, field: BaseGeometry) -> Iterable[Rows]:
        """Yield the placement: a seam on the centre line, or the middle of a row."""
        width, supply = job.floor.board_width + job.floor.gap, supply_of(job)
        place = axis.place - fit.phase * width
        origin = axis.frame.T @ [axis.near, place]
        point = (float(origin[0]), float(origin[1]))
        yield lay_rows(
            point,
            axis.run,
            width,
            job.floor.gap,
            field,
            supply,
            self.stagger,
            self.end,
            job.wood.seed,
            self._first_joint(point, axis.run, width, field, supply, job),
            not isinstance(job.floor.start, str),
            job.units,
        )

    def _first_joint(
        self, origin: tuple[float, float], run: float, width: float, field: BaseGeometry, supply: Supply, job: Job
    ) -> float | None:
        """Return how far from its near end the first row's first joint lies; None for anywhere."""
        start = job.floor.start
        if not isinstance(start, str):
            return start + job.floor.gap / 2
        if supply.mixed:
            return None
        if start == "full":
            return supply.longest
        frame = axes(run)
        local = shapely.transform(field, lambda points: (points - origin) @ frame.T)
        spans = row_spans(local, 0.0, width, self.end)
        if not spans:
            return None
        long = spans[0].far - spans[0].near
        whole = int(max(0.0, long - 2 * self.end) // supply.longest)
        return (long - whole * supply.longest) / 2

    def facts(self, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
        """Return what papers say of it."""
        return pattern_facts(self.name, self.stagger, self.end, board, line, edge, units)

    def movement(self) -> tuple[float, float]:
        """Return the shares of a board's change in width by which the field grows along and across the run.

        Each board changes its width by a share e and keeps its length (along the grain wood moves by a hundredth of
        what it does across it: left out). All widths lie across the run, side by side, and add up: the field
        grows by e across and by nothing along. No slide of boards on one another changes either. (Own derivation from
        the pattern's geometry; no published source.)
        """
        return 0.0, 1.0

    def end_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return what the rows come to at a stretch of the field's edge."""
        return end_words(edge, board, units)

    def short_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return the same in a word or two."""
        return short_words(edge, board, units)

    def small_words(self, piece: str) -> str:
        """Return small pieces whose size is `piece` in words."""
        return f"a row ripped to {piece}"

    def full_size(self, job: Job, reach: Reach) -> str:
        """Return how large a full one is."""
        return f"a full one is {format_length(reach.width - job.floor.gap, job.units)} wide"
