"""How long the boards are and how many courses there are, so that no side ends in small pieces.

Derivation. Let L be the board's length with its joint, and D the distance from the centre line to the edge of the field
on one side. In every pattern that repeats across the run n courses from the line reach

    D <= (n L - e) / k,    that is    L >= (k D + e) / n,                                        (1)

before the next course begins to show; n counts 1, 2, 3 ... if the line lies on a seam (h = 0), 1/2, 3/2 ... if it runs
down the middle of a course (h = 1/2). The scale k and the extra e are the pattern's (`Reach`; each pattern derives its
own). Cut at the edge, the last course's boards measure

    p = k D - (n - 1) L + e,    at most L.                                                       (2)

Where p is not above a least length the last piece is a small one. By (2), p falls as L
grows while n > 1, so for given n on both sides the length that makes the smaller last piece largest is the least
that (1) allows. On a centre line both sides then end in (nearly) full boards for any N, and N is chosen for L over
the board's width W nearest the best. Off the centre the two sides can't both be full. Every pair of n is tried; of
those whose smaller last piece comes within an eighth of a board of the best, as a share of the board's length, the one
with L / W nearest the best is taken (in inches alone the longest boards would always win, whatever they leave).

An even count puts a seam on the line; an odd count puts a course there. On an off-centre line "even" and "odd" ask for
the same two things, and the count is what the two sides need.

In a room of more than two side walls, as an L, T or U, each side i has its own D_i (below zero where the wall lies
across the line) and its length l_i. The length at which side i ends in full boards is the least that (1) allows for
some n, so these lengths, for every side and n, are all that can be best for one of them; each is tried, and scored by

    sum of l_i s_i / sum of l_i,    s_i = p_i / L,  or  p_i / least - 1 where side i ends in small pieces.  (3)

A small piece thus costs its wall more than the shortest last piece does. Of the lengths whose score comes within an
eighth of the best one's the one with L / W nearest the best is taken. With two sides alone the fit is the one above.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isclose
from typing import Literal

from preview.floor.sides import Side
from preview.units import format_count

CENTERED = 5e-4
"""A line this near the middle of the field, metres, is on it: half the width of a chalk line."""

NEAR_BEST = 1 / 8
"""Counts whose smaller last piece is within this share of a board of the best count's are all good."""

Courses = Literal["even", "odd", "any"] | int


@dataclass(frozen=True)
class Reach:
    """What a pattern's courses reach across the run: `scale` k and `extra` e, metres, of (1); a last piece not above
    `least`, metres, is a small one. `width` is a board's with its joint, metres; boards are usually `shortest` to
    `longest` times as long as that, and best `best` times. `joint` is what a joint adds to
    a board's length, metres. `side` names what of a board repeats across the run: what L is."""

    scale: float
    extra: float
    least: float
    width: float
    shortest: float
    best: float
    longest: float
    joint: float = 0.0
    side: str = "length"


@dataclass(frozen=True)
class Fit:
    """A length with its courses. `left` and `right` are n of the derivation, `phase` h (0 or 1/2);
    `last_left` and `last_right` are p, metres; `costs` says in words what a fixed wish costs, but for sides
    that end in small pieces."""

    length: float
    left: float
    right: float
    phase: float
    last_left: float
    last_right: float
    costs: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Courses from side to side."""
        return round(self.left + self.right)


def fit_sides(
    sides: Sequence[Side],
    left: float,
    right: float,
    reach: Reach,
    courses: Courses,
    step: float,
    joint: float = 0.0,
    phases: Sequence[float] = (0.0, 0.5),
) -> Fit:
    """Choose length and courses for all `sides` by their lengths, (3); for two alone as `fit_length` does.

    left, right: where the field is bounded most. A wished number of courses is one of those between these.
    """
    plain = fit_length(left, right, reach, courses, step, joint, phases)
    if not broken(sides):
        return plain
    centered = abs(left - right) < CENTERED
    options = [plain] if not faults(plain, reach) else []
    for phase in (each for each in _phases(courses, centered) if each in phases):
        lengths: set[float] = set()
        for half in {each.half for each in sides if each.half > 0}:
            for k in range(1, ceil(courses_needed(half, reach, reach.shortest * reach.width, 0.0)) + 2):
                need = _least(half, k - 1 + (phase or 1.0), reach)
                lengths.add(ceil((need - joint) / step - 1e-6) * step + joint)
        usual = (each for each in sorted(lengths) if reach.shortest <= each / reach.width <= reach.longest)
        options += [_measured(left, right, reach, length, phase) for length in usual]
    if isinstance(courses, int):
        options = [each for each in options if each.count == courses]
    if not options:
        return plain
    scores = [score(sides, each.length, each.phase, reach) for each in options]
    good = [each for each, value in zip(options, scores, strict=True) if value > max(scores) - NEAR_BEST]
    return min(good, key=lambda each: (abs(each.length / reach.width - reach.best), each.phase))


def broken(sides: Sequence[Side]) -> bool:
    """Return whether there are more side walls than one on the left and one on the right."""
    return any(len({round(each.half, 3) for each in sides if each.right is right}) > 1 for right in (False, True))


def score(sides: Sequence[Side], length: float, phase: float, reach: Reach) -> float:
    """Return (3) for boards of a length, from -1 to 1."""
    total = 0.0
    for each in sides:
        last = last_piece(each.half, reach, length, phase)
        total += each.length * (last / length if last > reach.least else last / reach.least - 1)
    return total / sum(each.length for each in sides)


def given_up(sides: Sequence[Side], fit: Fit, reach: Reach) -> list[tuple[Side, float]]:
    """Return, where there are more than two side walls, those whose last pieces are under half a board, each with p."""
    if not broken(sides):
        return []
    lasts = [(each, last_piece(each.half, reach, fit.length, fit.phase)) for each in sides]
    return [(each, last) for each, last in lasts if last < fit.length / 2]


def courses_needed(half: float, reach: Reach, length: float, phase: float) -> float:
    """Return the least n, of phase `phase`, that satisfies (1) for a side `half` from the line; may be <= 0."""
    return ceil((reach.scale * half + reach.extra) / length - phase - 1e-9) + phase


def last_piece(half: float, reach: Reach, length: float, phase: float) -> float:
    """Return p of (2): the longer side of the last pieces where the field ends `half` from the line.

    Holds for negative `half` too, so for any edge along the run, seen from the line towards the edge.
    """
    n = courses_needed(half, reach, length, phase)
    return min(length, reach.scale * half - (n - 1) * length + reach.extra)


def fit_length(
    left: float,
    right: float,
    reach: Reach,
    courses: Courses,
    step: float,
    joint: float = 0.0,
    phases: Sequence[float] = (0.0, 0.5),
) -> Fit:
    """Choose length and courses for a field that reaches `left` and `right` of the centre line.

    Args:
        left, right: distances to the sides of the field, metres, at least one above zero.
        reach: the pattern's.
        courses: what the scene asks for.
        step: lengths without their joint are rounded up to a multiple of this, metres.
        joint: the joint's width, metres.
        phases: those to try, of what the courses leave open.

    Returns:
        The best fit; where the wish leaves no good one, the least bad: it may end in small pieces (see `faults`), or
        have costs.
    """
    centered = abs(left - right) < CENTERED
    options = []
    for phase in (each for each in _phases(courses, centered) if each in phases):
        for n_left, n_right in _pairs(left, right, reach, phase, courses, step, joint):
            least = max(_least(left, n_left, reach), _least(right, n_right, reach), reach.width)
            for need in dict.fromkeys((least, max(least, reach.shortest * reach.width))):
                length = ceil((need - joint) / step - 1e-6) * step + joint
                option = _measured(left, right, reach, length, phase)
                if (option.left, option.right) == (n_left, n_right):
                    options.append(option)
    good = [each for each in options if not _ends_small(each, reach) and not _proportions(each, reach)]
    if centered and courses == "any":
        good = [each for each in good if each.phase == 0] or good
    if not good:
        usable = options or [_measured(left, right, reach, ceil(reach.best * reach.width / step) * step + joint, 0.0)]
        chosen = min(usable, key=lambda each: (_ends_small(each, reach), abs(each.length / reach.width - reach.best)))
        return _with_costs(chosen, _proportions(chosen, reach))
    if not centered:
        best = max(_share(each) for each in good)
        good = [each for each in good if _share(each) > best - NEAR_BEST]
    return min(good, key=lambda each: (abs(each.length / reach.width - reach.best), each.phase))


def faults(fit: Fit, reach: Reach) -> int:
    """Return how much is wrong with a fit: its costs, and the sides that end in small pieces. Those are told by wall,
    once the boards are laid (see `preview.floor.remarks`), not in the costs."""
    return len(fit.costs) + sum(last <= reach.least for last in (fit.last_left, fit.last_right))


def fit_count(
    left: float, right: float, reach: Reach, length: float, courses: Courses, sides: Sequence[Side] = ()
) -> Fit:
    """Return how boards of a fixed `length` (with joint) fall; the costs say where they are out of proportion
    and where a wished count does not fit. Where there are more than two `sides`, all of them are scored, by (3)."""
    centered = abs(left - right) < CENTERED
    trials = [_measured(left, right, reach, length, phase) for phase in _phases(courses, centered)]
    if isinstance(courses, int):
        trials = [each for each in trials if each.count == courses] or trials
    if broken(sides):
        trials.sort(key=lambda each: round(score(sides, each.length, each.phase, reach), 9), reverse=True)
        trials = trials[:1]
    chosen = max(trials, key=lambda each: (not _ends_small(each, reach), round(_share(each), 2), -each.phase))
    costs = list(_proportions(chosen, reach))
    if isinstance(courses, int) and chosen.count != courses:
        costs.append(
            f"boards of this {reach.side} make {format_count(chosen.count, 'course')} across the field, not {courses}"
        )
    return _with_costs(chosen, tuple(costs))


def _phases(courses: Courses, centered: bool) -> tuple[float, ...]:
    if isinstance(courses, int) and centered:
        return (0.0,) if courses % 2 == 0 else (0.5,)
    return {"even": (0.0,), "odd": (0.5,)}.get(str(courses), (0.0, 0.5))


def _pairs(
    left: float, right: float, reach: Reach, phase: float, courses: Courses, step: float, joint: float
) -> list[tuple[float, float]]:
    """The pairs of n to try: every length of the usual range, and one either side, is among them.

    A length that is the least for n on one side needs as many courses as it does on the other: so of all pairs only
    those can be met that are met at some n's least length, at a board's width or at the usual least length.
    """
    first = phase if phase else 1.0
    spans = []
    for half in (left, right):
        most = courses_needed(half, reach, reach.shortest * reach.width, phase) + 1
        if isinstance(courses, int):
            most = max(most, courses)
        spans.append([first + k for k in range(max(1, round(most - first) + 1))])
    if isinstance(courses, int):
        return [(a, courses - a) for a in spans[0] if first <= courses - a and isclose((courses - a) % 1, first % 1)]
    needs = {_least(half, n, reach) for half, span in zip((left, right), spans, strict=True) for n in span}
    floor = reach.shortest * reach.width
    lengths = {
        ceil((max(need, least) - joint) / step - 1e-6) * step + joint
        for need in needs
        for least in (reach.width, max(reach.width, floor))
    }
    met = {(fit.left, fit.right) for fit in (_measured(left, right, reach, each, phase) for each in lengths)}
    return sorted(pair for pair in met if pair[0] <= spans[0][-1] and pair[1] <= spans[1][-1])


def _least(half: float, n: float, reach: Reach) -> float:
    return (reach.scale * half + reach.extra) / n


def _measured(left: float, right: float, reach: Reach, length: float, phase: float) -> Fit:
    counts = [max(courses_needed(half, reach, length, phase), phase or 1.0) for half in (left, right)]
    lasts = [
        min(length, reach.scale * half - (n - 1) * length + reach.extra)
        for half, n in zip((left, right), counts, strict=True)
    ]
    return Fit(length, counts[0], counts[1], phase, lasts[0], lasts[1])


def _share(fit: Fit) -> float:
    return min(fit.last_left, fit.last_right) / fit.length


def _ends_small(fit: Fit, reach: Reach) -> bool:
    return faults(fit, reach) > len(fit.costs)


def _proportions(fit: Fit, reach: Reach) -> tuple[str, ...]:
    """Say where boards are out of proportion."""
    ratio = fit.length / reach.width
    if reach.shortest - 0.01 <= ratio <= reach.longest + 0.01:
        return ()
    usual = f"{reach.shortest:g} to {reach.longest:g}"
    return (f"boards are {ratio:.1f} times as long as wide, outside the usual {usual}",)


def _with_costs(fit: Fit, costs: tuple[str, ...]) -> Fit:
    return Fit(fit.length, fit.left, fit.right, fit.phase, fit.last_left, fit.last_right, costs)
