"""The patterns that boards are laid in. A new one is a folder here, a function and a line below, and its name in the
data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import radians

from preview.floor.patterns.interface import FloorPattern
from preview.scene.job import Job

MITRED = radians(45)
"""Angle of a chevron's long edges to the run where the scene doesn't say."""

DOUBLE = 2
"""Boards side by side in a double herringbone where the scene doesn't say."""


def _herringbone(job: Job) -> FloorPattern:
    from preview.floor.patterns.herringbone.herringbone import Herringbone

    return Herringbone()


def _double_herringbone(job: Job) -> FloorPattern:
    from preview.floor.patterns.herringbone.herringbone import Herringbone

    return Herringbone("double herringbone", round(job.floor.of_pattern("strips") or DOUBLE))


def _chevron(job: Job) -> FloorPattern:
    from preview.floor.patterns.chevron.chevron import Chevron

    return Chevron(job.floor.of_pattern("angle") or MITRED)


def _straight(job: Job) -> FloorPattern:
    from preview.floor.patterns.straight.straight import Straight

    return Straight.of(job)


PATTERNS: Mapping[str, Callable[[Job], FloorPattern]] = {
    "herringbone": _herringbone,
    "double herringbone": _double_herringbone,
    "chevron": _chevron,
    "straight": _straight,
}
"""How each pattern is made from what a job asks for, the usual one first; what it needs is loaded when it is made."""


def pattern_of(job: Job) -> FloorPattern:
    """Return the pattern that a job asks for, the usual one where it names none."""
    return PATTERNS[job.floor.pattern or next(iter(PATTERNS))](job)
