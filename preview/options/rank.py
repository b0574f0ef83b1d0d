"""Ranking by stated criteria, one after the other: no score is made up, and what is equal stays equal.

The evaluated layouts are sorted by the first criterion. Those within its tolerance of the best are equal in it and make
a group; the best of the rest begins the next group, and so on. Inside each group the second criterion sorts in the same
way, then the third. Layouts that no criterion parts share one place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from preview.options.evaluate import Evaluated, Score

Preference = Literal["slivers", "symmetry", "sightline", "less-waste", "fewer-cuts"]


@dataclass(frozen=True)
class Criterion:
    """`value` is what counts, less is better, and values within `tolerance` of the best count as equal."""

    name: Preference
    meaning: str
    tolerance: float
    value: Callable[[Score], float]


CRITERIA: dict[Preference, Criterion] = {
    each.name: each
    for each in (
        Criterion("symmetry", "share of the field that is symmetric about the centre line", 0.01,
                  lambda score: 1 - score.symmetry),
        Criterion("sightline", "how far the centre line lies off the sight line at the far wall", 0.006,
                  lambda score: abs(score.sight.at_far_wall) if score.sight else 0.0),
        Criterion("less-waste", "waste on top of the field's own area, offcuts used again", 0.005,
                  lambda score: score.waste_reused),
        Criterion("fewer-cuts", "how many pieces are cut", 5, lambda score: score.cut),
    )
}  # fmt: skip
"""In the order in which they count unless the user prefers otherwise."""

SLIVERS = Criterion("slivers", "how many pieces are too narrow to lay", 0, lambda score: score.slivers)
"""What counts before all others where no layout is without slivers."""


@dataclass(frozen=True, eq=False)
class Ranked:
    """A layout at its place, from 1; `equals` share it. `behind` is the criterion, with the value it is measured by,
    in which it falls behind the place before, None at the first."""

    place: int
    equals: int
    evaluated: Evaluated
    score: Score
    behind: Criterion | None


def order(preferred: Sequence[Preference]) -> list[Criterion]:
    """Return all criteria, the preferred first, in their order, then the rest as they stand."""
    return [CRITERIA[name] for name in dict.fromkeys([*preferred, *CRITERIA])]


def rank(evaluated: Sequence[Evaluated], criteria: Sequence[Criterion]) -> list[Ranked]:
    """Return what was not rejected, best first; at one place those first that change least of the scene."""
    found: list[Ranked] = []
    accepted = [(each, each.score) for each in evaluated if each.score is not None]
    for behind, group in _groups(accepted, criteria):
        place = len(found) + 1
        group.sort(key=lambda pair: pair[0].candidate.changes)
        found += [Ranked(place, len(group), each, score, behind) for each, score in group]
    return found


_Pair = tuple[Evaluated, Score]


def _groups(pairs: list[_Pair], criteria: Sequence[Criterion]) -> list[tuple[Criterion | None, list[_Pair]]]:
    """Return groups of equals, best first, each with the criterion that puts it behind the one before."""
    if not criteria or not pairs:
        return [(None, pairs)] if pairs else []
    first, *rest = criteria
    ordered = sorted(pairs, key=lambda pair: first.value(pair[1]))
    cuts = [0]
    for number, (_, score) in enumerate(ordered):
        if first.value(score) > first.value(ordered[cuts[-1]][1]) + first.tolerance:
            cuts.append(number)
    groups: list[tuple[Criterion | None, list[_Pair]]] = []
    for start, end in zip(cuts, [*cuts[1:], len(ordered)], strict=True):
        inner = _groups(ordered[start:end], rest)
        groups += [(first, inner[0][1]), *inner[1:]] if groups else inner
    return groups
