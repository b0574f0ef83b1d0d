"""Herringbone, single and double, as the program's steps ask for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from shapely.geometry.base import BaseGeometry

from preview.floor.centering import Axis
from preview.floor.facts import Facts
from preview.floor.layout import Board, ChalkLine
from preview.floor.patterns.fit import Fit, Reach
from preview.floor.patterns.fitting import ASKEW, fits, lengths
from preview.floor.patterns.herringbone.herringbone_words import end_words, pattern_facts, short_words
from preview.floor.patterns.herringbone.legs import Legs, leg_reach
from preview.floor.patterns.herringbone.start import first_corner, start_corners
from preview.floor.patterns.interface import Wanted
from preview.floor.sizes import EdgePieces
from preview.scene.job import Job, Unit
from preview.units import format_length


@dataclass(frozen=True)
class Herringbone:
    """Boards at 45 degrees to the run whose ends meet the sides of others, `strips` side by side."""

    name: str = "herringbone"
    strips: int = 1
    full_start: str = "full triangles"
    small: str = "small triangles"
    askew: str = ASKEW
    cut_to: str = "the boards are cut to"

    def fitted(self, job: Job) -> Reach:
        """Return what its courses reach, by which boards are fitted."""
        return leg_reach(job.floor.board_width + job.floor.gap, self.strips, job.floor.gap)

    def fits(self, axis: Axis, job: Job) -> Sequence[Fit]:
        """Return the lengths to consider, best first."""
        return fits(self.fitted(job), axis, job)

    def lengths(self, axis: Axis, job: Job, wanted: Sequence[Wanted]) -> list[tuple[float | None, Wanted]]:
        """Return the board lengths to try."""
        return lengths(self.fitted(job), axis, job, wanted)

    def placements(self, axis: Axis, job: Job, fit: Fit, field: BaseGeometry) -> Iterable[Legs]:
        """Yield the placements of a fit, best first."""
        width = self.strips * (job.floor.board_width + job.floor.gap)
        # The chalk line: the corners' side of the seam on the centre line, or of the one left of the middle course.
        place = axis.place + width / (2 * sqrt(2)) - fit.phase * fit.length / sqrt(2)
        for corner in start_corners(axis.near, axis.far, width, fit.length, job.floor.start):
            first = first_corner(axis.near, corner, width)
            origin = axis.frame.T @ [first, place]
            yield Legs((float(origin[0]), float(origin[1])), axis.run, width, fit.length, self.strips, job.floor.gap)

    def starts(self, job: Job) -> Sequence[Literal["full", "both"]]:
        """Return both: triangles at the ends come out otherwise."""
        return "full", "both"

    def mixes(self, job: Job) -> bool:
        """Return that boards are of one length."""
        return False

    def facts(self, board: Board, line: ChalkLine, edge: str, units: Unit) -> Facts:
        """Return what papers say of it."""
        return pattern_facts(self.name, self.strips, board, line, edge, units)

    def movement(self) -> tuple[float, float]:
        """Return the greatest shares of a board's change in width by which the field grows along and across the run.

        Each board changes its width by a share e and keeps its length. In the directions of the two leans, u and v,
        half of the wood lies along and half across, so the field's mean strain is e / 2 along u and along v, whatever
        the boards do to one another. What is left open is how far they slide along one another, the shear g: along
        the run the field strains by e / 2 + g, across it by e / 2 - g.

        - Boards that slide freely stay one herringbone: with width w and length l it repeats every w sqrt 2 along the
          run and every l sqrt 2 (two courses) across it. So g = e / 2: the whole of e along the run, nothing across.
        - Boards that can't slide (glue, nails, tight tongues) have g = 0: half of e each way, with stress in the wood.

        Both are bounds for boards that nothing holds to the subfloor; the larger one in each direction is taken.
        (Own derivation from the pattern's geometry; no published source.)
        """
        return 1.0, 0.5

    def end_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return what the courses come to at a stretch of the field's edge."""
        return end_words(edge, board, units)

    def short_words(self, edge: EdgePieces, board: Board, units: Unit) -> str:
        """Return the same in a word or two."""
        return short_words(edge, board, units)

    def small_words(self, piece: str) -> str:
        """Return small pieces whose size is `piece` in words."""
        return f"triangles with short sides of {piece}"

    def full_size(self, job: Job, reach: Reach) -> str:
        """Return how large a full one is."""
        return f"a full one's are {format_length(reach.width - job.floor.gap, job.units)}"
