"""Walls, ceiling and baseboards of a room or of the piece of the next one that is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.model import Part
from preview.model.paints import Paints
from preview.model.surface import Face, face, part, pierced, plate, sweep, ticks

Array = NDArray[np.float64]

BASEBOARD_HEIGHT = 0.133
"""5 1/4 in (common practice, no published source)."""

LIP = 0.02
"""How far walls run on past floor and ceiling, so that no light shows between; metres."""


@dataclass(frozen=True)
class Gap:
    """Where a wall is open, in its own axes: hole from `near` to `far`, `low` to `high`; `trim` at each side.

    No baseboard runs from `near` - `trim` to `far` + `trim` if `to_floor`.
    """

    near: float
    far: float
    low: float
    high: float
    trim: float
    to_floor: bool


def faces_of(corners: Array) -> list[Face]:
    """Return the walls of a room, corners (n, 2) in either order; the faces go anticlockwise."""
    ring = corners if shapely.LinearRing(corners).is_ccw else corners[::-1]
    return [face(a, b) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]


def enclosure(
    name: str,
    faces: Sequence[Face],
    gaps: Sequence[Sequence[Gap]],
    height: float,
    baseboard: float,
    below: float,
    paints: Paints,
) -> list[Part]:
    """Return walls ("NAMEwall n"), ceiling ("ceiling" first in its name) and baseboards of one closed room.

    gaps: those of each face. `baseboard` is its thickness, 0 for none. Walls run from `below` (under the floor) to
    a little over the ceiling.
    """
    stops = [below, 0.0, height, height + LIP, *(z for each in gaps for gap in each for z in (gap.low, gap.high))]
    up = ticks(np.clip(stops, below, height + LIP))
    parts = []
    for number, (wall, open_at) in enumerate(zip(faces, gaps, strict=True), 1):
        holes = [(gap.near, gap.far, gap.low if gap.low > 0 else below, gap.high) for gap in open_at]
        soup = pierced(wall.start, wall.plan(wall.length), up, holes)
        parts.append(part(f"{name}wall {number}", "wall", [soup], paints.wall))
    outline = Polygon([wall.start for wall in faces])
    parts.append(part(f"ceiling {name}".strip(), "ceiling", [plate(outline, height, faces_up=False)], paints.ceiling))
    if baseboard > 0:
        profile = baseboard_profile(baseboard, BASEBOARD_HEIGHT)
        soups = [sweep(profile, path, closed) for path, closed in _runs(faces, gaps)]
        parts.append(part(f"{name}baseboard", "trim", soups, paints.trim))
    return parts


def baseboard_profile(thickness: float, height: float) -> list[tuple[float, float]]:
    """Return the section of a baseboard: a flat face under a small step and a slope; back and foot run into the wall
    and under the floor's surface."""
    slope, step = min(0.022, height / 4), thickness * 0.45
    return [
        (-0.004, height),
        (step, height),
        (step + 0.003, height - 0.003),
        (step + 0.003, height - slope),
        (thickness - 0.002, height - slope - 0.003),
        (thickness, height - slope - 0.006),
        (thickness, -0.004),
    ]


def _runs(faces: Sequence[Face], gaps: Sequence[Sequence[Gap]]) -> list[tuple[Array, bool]]:
    """Return the paths (k, 2) along which a baseboard runs unbroken, and whether each closes on itself."""
    runs: list[list[Array]] = []
    meets_corner = False  # the last run ends in the corner at which this wall begins
    for wall, open_at in zip(faces, gaps, strict=True):
        covered = shapely.LineString([(0, 0), (wall.length, 0)])
        for gap in open_at:
            if gap.to_floor:
                covered = covered - shapely.box(gap.near - gap.trim, -1, gap.far + gap.trim, 1)
        spans = sorted(each.bounds[::2] for each in shapely.get_parts(covered) if each.length > 0.005)
        for start, end in spans:
            if start < 1e-6 and meets_corner and runs:
                runs[-1].append(wall.plan(end))
            else:
                runs.append([wall.plan(start), wall.plan(end)])
            meets_corner = end > wall.length - 1e-6
        meets_corner = meets_corner and bool(spans)
    if not runs:
        return []
    if meets_corner and np.allclose(runs[0][0], faces[0].start):
        if len(runs) == 1:
            return [(np.array(runs[0][:-1]), True)]
        runs[0] = runs.pop() + runs[0][1:]
    return [(np.array(each), False) for each in runs]
