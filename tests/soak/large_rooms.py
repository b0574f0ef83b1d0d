"""Rooms at the edge of what is laid at all: as many boards, corners, vents and openings as may be, and a few more."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import strategies as st

from preview.scene.job import Job, Vent
from tests.strategies import INCH, Point, box, make_job, obstacle, opening, outlines, turned


@st.composite
def large_jobs(draw: st.DrawFn, pattern: str) -> Job:
    """Return a job of a large room in a pattern."""
    kind = draw(st.sampled_from([_wide, _comb, _vents, _columns, _doors]))
    corners, things = draw(kind())
    angle = draw(st.sampled_from([0.0, 0.3, math.pi / 2]))
    border = draw(st.sampled_from([0.0, 4 * INCH]))
    job = make_job(
        corners=turned(corners, angle),
        openings=things.get("openings", ()),
        obstacles=[replace(each, corners=tuple(turned(each.corners, angle))) for each in things.get("obstacles", ())],
        vents=[
            replace(each, center=turned([each.center], angle)[0], angle=each.angle + angle)
            for each in things.get("vents", ())
        ],
        border=border,
        strip=draw(st.sampled_from([0.0, 0.02])) if border else 0.0,
        board_width=draw(st.sampled_from([2.25 * INCH, 0.09, 5 * INCH])),
        run=draw(st.sampled_from([None, 0.3])),
        start=draw(st.sampled_from(["full", "both"])),
    )
    return replace(job, floor=replace(job.floor, pattern=pattern))


@st.composite
def _wide(draw: st.DrawFn) -> tuple[list[Point], dict]:
    return draw(outlines(12.0, 45.0)), {}


@st.composite
def _comb(draw: st.DrawFn) -> tuple[list[Point], dict]:
    """Return a room with many piers along one wall."""
    teeth, deep = draw(st.integers(10, 99)), draw(st.sampled_from([0.05, 0.4, 3.0]))
    step = draw(st.sampled_from([0.2, 0.5, 0.9]))
    ring = [(0.0, 0.0), (teeth * step, 0.0), (teeth * step, 4.0)]
    for tooth in reversed(range(teeth)):
        left = tooth * step
        ring += [(left + step / 2, 4.0), (left + step / 2, 4.0 + deep), (left, 4.0 + deep), (left, 4.0)]
    return ring, {}


def _grid(count: int, wide: float, deep: float) -> list[Point]:
    """Return so many points, evenly over a room."""
    columns = math.ceil(math.sqrt(count * wide / deep))
    rows = math.ceil(count / columns)
    spots = [((c + 0.5) * wide / columns, (r + 0.5) * deep / rows) for r in range(rows) for c in range(columns)]
    return spots[:count]


@st.composite
def _vents(draw: st.DrawFn) -> tuple[list[Point], dict]:
    angle = draw(st.sampled_from([0.0, 0.4]))
    spots = _grid(draw(st.integers(20, 99)), 18.0, 12.0)
    vents = [Vent(f"v{n}", spot, (10 * INCH, 4 * INCH), angle) for n, spot in enumerate(spots)]
    return box(0, 0, 18.0, 12.0), {"vents": vents}


@st.composite
def _columns(draw: st.DrawFn) -> tuple[list[Point], dict]:
    sides = draw(st.sampled_from([3, 4, 8]))
    spots = _grid(min(draw(st.integers(20, 99)), 390 // sides), 18.0, 12.0)
    ring = [(0.2 * math.cos(2 * math.pi * n / sides), 0.2 * math.sin(2 * math.pi * n / sides)) for n in range(sides)]
    columns = [
        obstacle([(x + dx, y + dy) for dx, dy in ring], "column", f"column {number}", 0.5 * INCH)
        for number, (x, y) in enumerate(spots)
    ]
    return box(0, 0, 18.0, 12.0), {"obstacles": columns}


@st.composite
def _doors(draw: st.DrawFn) -> tuple[list[Point], dict]:
    count = draw(st.integers(20, 95))
    doors = [opening(1, n * 1.0 + 0.1, 0.8, "door", f"door {n}") for n in range(count)]
    return box(0, 0, float(count), draw(st.sampled_from([3.0, 12.0]))), {"openings": doors}
