"""Walls, ceiling and baseboards of a room or of the piece of the next one that is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.model import Part, ReflectionProxy
from preview.model.paints import Paints
from preview.model.surface import CLEAR, beside, part, pierced, plate, sweep, ticks
from preview.model.wall_axes import WallFace, wall_face
from preview.vectors import following

Array = NDArray[np.float64]

BASEBOARD_HEIGHT = 0.133
"""5 1/4 in (common practice, no published source)."""

LIP = 0.02
"""How far walls run on past floor and ceiling, so that no light shows between; metres."""


Box = tuple[float, float, float, float]
"""From, to along a wall; low, high: metres in the wall's own axes."""


@dataclass(frozen=True)
class Gap:
    """Where a wall is open: `hole`, and what it and its trim cover of the wall, `cover`.

    No baseboard runs across `cover` if that reaches the floor. `pane` is the name of what light comes in by, none for a
    closed door or a firebox; `recess` how far glass stands behind the wall there, metres, None where it has none.
    """

    hole: Box
    cover: Box
    pane: str | None = None
    recess: float | None = None


def faces_of(corners: Array) -> list[WallFace]:
    """Return the walls of a room, corners (n, 2) in either order; the faces go anticlockwise."""
    ring = corners if shapely.LinearRing(corners).is_ccw else corners[::-1]
    return [wall_face(a, b) for a, b in zip(ring, following(ring), strict=True)]


def enclosure(
    name: str,
    faces: Sequence[WallFace],
    gaps: Sequence[Sequence[Gap]],
    height: float,
    baseboard: float,
    below: float,
    paints: Paints,
    standing: Sequence[tuple[Polygon, float]] = (),
) -> list[Part]:
    """Return walls ("NAMEwall n"), ceiling ("ceiling" first in its name) and baseboards of one closed room.

    gaps: those of each face. `baseboard` is its thickness, 0 for none. Walls run from `below` (under the floor) to
    a little over the ceiling. `standing` are plan and height of what stands in the room.
    """
    outline = Polygon([wall.start for wall in faces])
    stops = [below, 0.0, height, height + LIP, *(beside(0.0, BASEBOARD_HEIGHT)[2:] if baseboard > 0 else [])]
    for gap in (gap for each in gaps for gap in each):
        stops += [*gap.hole[2:], *beside(*gap.cover[2:])[0 if gap.cover[2] > 0 else 2 :]]
    stops += [z for _, high in standing if high < height for z in beside(0.0, high)[2:]]
    up = ticks(np.clip(stops, below, height + LIP))
    parts = []
    for number, (wall, open_at) in enumerate(zip(faces, gaps, strict=True), 1):
        holes = [(near, far, low if low > 0 else below, high) for near, far, low, high in (g.hole for g in open_at)]
        marks = [x for gap in open_at for x in beside(*gap.cover[:2])]
        for plan, _ in standing:
            if span := touching(wall, plan, 0.05):
                marks += beside(*span)
        soup = pierced(wall.start, wall.plan(wall.length), up, holes, marks)
        parts.append(part(f"{name}wall {number}", "wall", [soup], paints.wall, [_proxy(wall, open_at, height)]))
    open_ceiling = outline.difference(shapely.union_all([plan for plan, high in standing if high >= height]))
    parts.append(part(f"ceiling {name}".strip(), "ceiling", [plate(open_ceiling, height, False)], paints.ceiling))
    if baseboard > 0:
        profile = baseboard_profile(baseboard, BASEBOARD_HEIGHT)
        soups = [sweep(profile, path, closed) for path, closed in _runs(faces, gaps)]
        parts.append(part(f"{name}baseboard", "trim", soups, paints.trim))
    return parts


def _proxy(wall: WallFace, gaps: Sequence[Gap], height: float) -> ReflectionProxy:
    """Return what reflections take a wall for."""
    lit = [gap for gap in gaps if gap.pane is not None]
    glass = [gap.recess for gap in lit if gap.recess is not None]
    return ReflectionProxy(
        wall.start,
        wall.plan(wall.length),
        height + LIP,
        panes=tuple(gap.pane for gap in lit if gap.pane is not None),
        recess=max(glass, default=0.0),
        open=len(glass) < len(lit),
    )


def touching(wall: WallFace, plan: Polygon, near: float = 0.02) -> tuple[float, float] | None:
    """Return from where to where along a wall a plan shape lies nearer to it than `near`; None where it doesn't."""
    line = shapely.LineString([wall.start, wall.plan(wall.length)])
    shared = shapely.get_coordinates(plan.intersection(line.buffer(near, cap_style="flat")))
    if not len(shared):
        return None
    x = (shared - wall.start) @ wall.along
    return float(x.min()), float(x.max())


def baseboard_profile(thickness: float, height: float) -> list[tuple[float, float]]:
    """Return the section of a baseboard: a flat face under a small step and a slope; its foot enters the floor."""
    slope, step = min(0.022, height / 4), thickness * 0.45
    return [
        (0.0, height),
        (step, height),
        (step + 0.003, height - 0.003),
        (step + 0.003, height - slope),
        (thickness - 0.002, height - slope - 0.003),
        (thickness, height - slope - 0.006),
        (thickness, 0.0),
        (thickness, -0.004),
    ]


def _runs(faces: Sequence[WallFace], gaps: Sequence[Sequence[Gap]]) -> list[tuple[Array, bool]]:
    """Return the paths (k, 2) along which a baseboard runs unbroken, and whether each closes on itself.

    A run that ends at a casing goes on into it by `CLEAR`.
    """
    runs: list[list[Array]] = []
    meets_corner = False  # the last run ends in the corner at which this wall begins
    for wall, open_at in zip(faces, gaps, strict=True):
        covered = shapely.LineString([(0, 0), (wall.length, 0)])
        for near, far, low, _ in (gap.cover for gap in open_at):
            if low < BASEBOARD_HEIGHT:
                covered = covered - shapely.box(near, -1, far, 1)
        spans = sorted(each.bounds[::2] for each in shapely.get_parts(covered) if each.length > 0.005)
        for start, end in spans:
            from_corner, to_corner = start < 1e-6, end > wall.length - 1e-6
            run = [start, end] if from_corner else [start - CLEAR, start, end]
            run += [] if to_corner else [end + CLEAR]
            spots = [wall.plan(x) for x in run]
            if from_corner and meets_corner and runs:
                runs[-1] += spots[1:]
            else:
                runs.append(spots)
            meets_corner = to_corner
        meets_corner = meets_corner and bool(spans)
    if not runs:
        return []
    if meets_corner and np.allclose(runs[0][0], faces[0].start):
        if len(runs) == 1:
            return [(np.array(runs[0][:-1]), True)]
        runs[0] = runs.pop() + runs[0][1:]
    return [(np.array(each), False) for each in runs]
