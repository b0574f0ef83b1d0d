"""The patterns that boards are laid in. A new one is a module here, a line below, and its name in the data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import radians

from preview.floor.patterns.chevron.chevron import Chevron
from preview.floor.patterns.herringbone.herringbone import Herringbone
from preview.floor.patterns.interface import FloorPattern
from preview.floor.patterns.straight.straight import Straight
from preview.scene.job import Job

MITRED = radians(45)
"""Angle of a chevron's long edges to the run where the scene doesn't say."""

DOUBLE = 2
"""Boards side by side in a double herringbone where the scene doesn't say."""

PATTERNS: Mapping[str, Callable[[Job], FloorPattern]] = {
    "herringbone": lambda job: Herringbone(),
    "double herringbone": lambda job: Herringbone(
        "double herringbone", round(job.floor.of_pattern("strips") or DOUBLE)
    ),
    "chevron": lambda job: Chevron(job.floor.of_pattern("angle") or MITRED),
    "straight": Straight.of,
}
"""How each pattern is made from what a job asks for, the usual one first."""


def pattern_of(job: Job) -> FloorPattern:
    """Return the pattern that a job asks for, the usual one where it names none."""
    return PATTERNS[job.floor.pattern or next(iter(PATTERNS))](job)
