"""How much of each thing a scene may have: beyond it a file was made by a slip, or laying would take too long.

Measured on a virtual machine of two cores, processor time of `lay`: a room of 300 corners with border and feature strip
3 s (1,000: 14 s), 100 vents 4 s (300: 9 s), 100 obstacles of three corners 5 s (300: 11 s), 100 doors in one wall 5 s
(300: 8 s); 110,000 boards in a room of 400 corners 8 s and 235 MB. See also `preview.floor.board_count`.
"""

from __future__ import annotations

from preview.scene.job import Job
from preview.scene.nodes import Source

CORNERS = 400
"""Corners of a room with all that stands in it: its own, those of obstacles, four of each vent and opening."""

OF_A_THING = 4
"""Corners that a vent or an opening counts for."""

TABLES = 100
"""Tables of one kind: openings, vents, obstacles, viewpoints, sticks."""

LENGTHS = 50
"""Lengths of boards to choose from: each is fitted to the room."""

VARIANTS = 50
"""Variants of one scene: a command that lays all of them takes as much longer."""


def check_amounts(job: Job, source: Source) -> None:
    """Raise SceneError where the room with all that stands in it has too many corners."""
    walls = len(job.room.corners or job.room.walk)
    standing = sum(len(each.corners) for each in job.obstacles)
    things = OF_A_THING * (len(job.vents) + len(job.openings))
    if walls + standing + things > CORNERS:
        counts = {"room": walls, "obstacles": standing, "vents": OF_A_THING * len(job.vents)}
        counts["openings"] = OF_A_THING * len(job.openings)
        raise source.error(
            max(counts, key=lambda key: counts[key]),
            f"{walls + standing + things:,} corners of room, obstacles, vents and openings",
            f"{CORNERS} are the most: leave out those that hardly change the floor",
        )
