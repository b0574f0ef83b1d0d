"""The search: everything that could be laid instead of the scene's own choice, evaluated."""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from preview.options.candidates import Candidate, Fixed, candidates, own_candidate
from preview.options.evaluate import Evaluated, evaluate
from preview.options.variant import center_words
from preview.scene.job import Job

SAME_LENGTH = 1e-6
"""Boards whose lengths differ by less than this, metres, are one choice."""


@dataclass(frozen=True, eq=False)
class Search:
    """The scene's own choice and all else that was tried, `own` the first of `evaluated`; lengths in metres.

    Where no layout is without slivers, as along walls askew, those that are rejected for them alone are `spared`: they
    are scored too, slivers and all.
    """

    own: Evaluated
    evaluated: tuple[Evaluated, ...]
    spared: bool = False


def search(tried: Sequence[Candidate], done: Callable[[str], None] = lambda _: None) -> Search:
    """Evaluate candidates, the scene's own choice the first of them; one that is the same once it is fitted is left
    out.

    done: called after each layout that is evaluated, with what it is centred on.
    """
    found: list[Evaluated] = []
    centered = tried[0].job.floor.center.opening
    for each in evaluate(tried, centered=centered):
        if not found or not _same(each, found[0]):
            found.append(each)
        done(center_words(each.candidate.job.floor.center))
    spared = not any(each.score for each in found) and any(each.reason == "sliver" for each in found)
    if spared:
        again = evaluate(
            (each.candidate for each in found if each.reason == "sliver"), most=sys.maxsize, centered=centered
        )
        found = [next(again) if each.reason == "sliver" else each for each in found]
    return Search(found[0], tuple(found), spared)


def all_candidates(jobs: Sequence[Job], fixed: Collection[Fixed] = ()) -> list[Candidate]:
    """Return the choice of the first of `jobs`, the base scene, and all that could be laid instead in its room.

    Boards as wide as in the other jobs are among it; what is `fixed` stays as the base scene has it.

    Raises:
        SceneError: the base scene can't be laid.
    """
    own = own_candidate(jobs[0])
    return [own, *candidates(own, [job.floor.board_width for job in jobs], fixed)]


def at_length(each: Evaluated, length: float) -> Evaluated:
    """Return what a layout would be with boards of another length, metres, and everything else as it is; with slivers
    where it has some itself."""
    candidate = each.candidate
    floor = replace(candidate.job.floor, board_length=length)
    most = sys.maxsize if each.score and each.score.slivers else 0
    return next(evaluate([replace(candidate, job=replace(candidate.job, floor=floor))], most=most))


def _same(each: Evaluated, own: Evaluated) -> bool:
    only_length = each.candidate.changes == 1
    return only_length and abs(each.length - own.length) < SAME_LENGTH and each.count == own.count
