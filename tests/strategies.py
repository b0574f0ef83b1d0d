"""Jobs for tests: `make_job` builds one by hand, `rooms` generates many of every kind of shape.

The catalogue: convex rooms, L, T, U, rooms with a bay, with a narrow recess, with angled walls; either way round, begun
at any corner, turned by any angle; hearths on walls, columns, islands, vents, openings.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from preview.errors import SceneError
from preview.floor.lay import lay_floor
from preview.floor.layout import Layout
from preview.room.measured import build_room
from preview.room.room import Room
from preview.scene.job import (
    BorderChoice,
    Center,
    FloorChoice,
    Job,
    Leg,
    LightChoice,
    Obstacle,
    Opening,
    RoomMeasure,
    StripChoice,
    Vent,
    WoodChoice,
)

INCH = 0.0254

Point = tuple[float, float]


def checked(few: int, many: int, *values: st.SearchStrategy) -> Callable:
    """Make a test of a check of generated `values`: of `few` of them in the suite, of `many` in the slow run."""

    def test_of(check: Callable) -> Callable:
        @pytest.mark.parametrize("examples", [few, pytest.param(many, marks=pytest.mark.slow)])
        def test(examples: int) -> None:
            every = settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck))
            every(given(*values)(check))()

        test.__name__, test.__doc__ = check.__name__, check.__doc__
        return test

    return test_of


def make_job(
    corners: Sequence[Point] = (),
    walk: Sequence[Leg] = (),
    openings: Sequence[Opening] = (),
    obstacles: Sequence[Obstacle] = (),
    vents: Sequence[Vent] = (),
    border: float = 4 * INCH,
    strip: float = 0.0,
    baseboard: float = 1 * INCH,
    overlap: float = 0.25 * INCH,
    longest: float = 84 * INCH,
    board_width: float = 4 * INCH,
    board_length: float | None = None,
    courses: str | int = "even",
    run: float | None = math.pi / 2,
    center: Center | None = None,
    start: str | float = "full",
    gap: float = 0.0,
    height: float = 2.6,
) -> Job:
    """Return a job with plain defaults; lengths in metres."""
    wood = WoodChoice("white oak", "quartersawn", "select", "none", "satin", 7)
    return Job(
        file="test.toml",
        title="A room",
        variant="As drawn",
        units="in",
        north=0.0,
        room=RoomMeasure(tuple((float(x), float(y)) for x, y in corners), tuple(walk), height, baseboard, 4.5 * INCH),
        openings=tuple(openings),
        obstacles=tuple(obstacles),
        vents=tuple(vents),
        floor=FloorChoice(board_width, board_length, courses, run, center or Center("room"), start, 0.75 * INCH, gap),
        border=BorderChoice(
            border, overlap, longest, StripChoice(strip, replace(wood, species="walnut")) if strip else None
        ),
        wood=wood,
        border_wood=wood,
        light=LightChoice("overcast", None, "auto"),
        viewpoints=(),
    )


def opening(wall: int, offset: float, width: float, kind: str = "door", name: str = "door") -> Opening:
    """Return an opening 2 m high (a window 1 m above the floor, 1 m high)."""
    window = kind == "window"
    return Opening(name, kind, wall, offset, width, 1.0 if window else 2.0, 1.0 if window else 0.0, 1.0)


def obstacle(corners: Sequence[Point], kind: str = "column", name: str = "column", baseboard: float = 0.0) -> Obstacle:
    """Return an obstacle a metre high."""
    return Obstacle(name, kind, tuple((float(x), float(y)) for x, y in corners), 1.0, baseboard)


def box(x: float, y: float, width: float, depth: float) -> list[Point]:
    """Return a rectangle's corners from its near left one."""
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def turned(points: Sequence[Point], angle: float) -> list[Point]:
    """Return points turned by `angle` (radians) about the origin."""
    cos, sin = math.cos(angle), math.sin(angle)
    return [(x * cos - y * sin, x * sin + y * cos) for x, y in points]


def _between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return lengths as a tape gives them: whole millimetres."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda mm: mm / 1000)


@st.composite
def _convex(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    """Return a rectangle with some of its corners cut off at an angle."""
    ring: list[Point] = []
    for (x, y), (sx, sy) in zip(box(0, 0, w, d), ((1, 1), (-1, 1), (-1, -1), (1, -1)), strict=True):
        if draw(st.booleans()):
            ring.append((x, y))
            continue
        along, across = draw(_between(0.15, 0.45 * w)), draw(_between(0.15, 0.45 * d))
        pair = [(x + sx * along, y), (x, y + sy * across)]
        ring += pair if sx * sy < 0 else pair[::-1]
    return ring


@st.composite
def _ell(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    x, y = draw(_between(0.3 * w, 0.7 * w)), draw(_between(0.3 * d, 0.7 * d))
    return [(0, 0), (w, 0), (w, y), (x, y), (x, d), (0, d)]


@st.composite
def _tee(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    left, right, y = (
        draw(_between(0.15 * w, 0.35 * w)),
        draw(_between(0.65 * w, 0.85 * w)),
        draw(_between(0.3, 0.7 * d)),
    )
    return [(left, 0), (right, 0), (right, y), (w, y), (w, d), (0, d), (0, y), (left, y)]


@st.composite
def _you(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    left, right, y = (
        draw(_between(0.25 * w, 0.4 * w)),
        draw(_between(0.6 * w, 0.75 * w)),
        draw(_between(0.3 * d, 0.6 * d)),
    )
    return [(0, 0), (w, 0), (w, d), (right, d), (right, y), (left, y), (left, d), (0, d)]


@st.composite
def _bay(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    """Return a rectangle with a bay on its far wall: three walls, the outer ones at an angle."""
    left, right = draw(_between(0.1 * w, 0.35 * w)), draw(_between(0.65 * w, 0.9 * w))
    depth, slant = draw(_between(0.3, 1.0)), draw(_between(0.0, 0.4 * (right - left)))
    return [
        (0, 0),
        (w, 0),
        (w, d),
        (right, d),
        (right - slant, d + depth),
        (left + slant, d + depth),
        (left, d),
        (0, d),
    ]


@st.composite
def _recess(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    """Return a rectangle with a recess in its right wall, often narrower than two borders."""
    y, high, deep = draw(_between(0.3 * d, 0.6 * d)), draw(_between(0.08, 0.5)), draw(_between(0.05, 0.8))
    return [(0, 0), (w, 0), (w, y), (w + deep, y), (w + deep, y + high), (w, y + high), (w, d), (0, d)]


@st.composite
def _star(draw: st.DrawFn, w: float, d: float) -> list[Point]:
    """Return any room that is seen whole from its middle: angled walls, convex or not."""
    count = draw(st.integers(3, 9))
    shares = np.cumsum([draw(st.integers(2, 6)) for _ in range(count)])
    turns = 2 * math.pi * shares / shares[-1]
    reach = [draw(st.integers(50, 100)) / 100 for _ in range(count)]
    return [
        (round(r * w / 2 * math.cos(a), 3), round(r * d / 2 * math.sin(a), 3))
        for r, a in zip(reach, turns, strict=True)
    ]


@st.composite
def outlines(draw: st.DrawFn, low: float = 2.2, high: float = 7.0) -> list[Point]:
    """Return the corners of a simple room, every kind of the catalogue, either way round; metres."""
    w, d = draw(_between(low, high)), draw(_between(low, high))
    ring = draw(st.one_of(kind(w, d) for kind in (_convex, _ell, _tee, _you, _bay, _recess, _star)))
    if draw(st.booleans()):
        ring = [(w - x, y) for x, y in ring]
    first = draw(st.integers(0, len(ring) - 1))
    ring = ring[first:] + ring[:first]
    angle = draw(st.one_of(st.just(0.0), st.sampled_from([30, 45, 90, 137]).map(math.radians), _between(-3.1, 3.1)))
    return turned(ring, angle) if angle else ring


@st.composite
def _obstacles(draw: st.DrawFn, shape: Polygon) -> list[Obstacle]:
    """Return up to two obstacles: a hearth against a wall, a column or an island somewhere inside."""
    made: list[Obstacle] = []
    ring = np.asarray(shape.exterior.coords)
    if draw(st.booleans()):
        wall = draw(st.integers(0, len(ring) - 2))
        a, b = ring[wall], ring[wall + 1]
        length = math.dist(a, b)
        along = (b - a) / length
        normal = np.array([-along[1], along[0]])
        width, deep = min(draw(_between(0.4, 1.5)), 0.8 * length), draw(_between(0.1, 0.6))
        middle = a + along * length * draw(st.sampled_from([0.4, 0.5, 0.6]))
        near = middle - along * width / 2
        hearth = [near, near + along * width, near + along * width + normal * deep, near + normal * deep]
        if shape.buffer(1e-9).covers(Polygon(hearth)):
            made.append(obstacle([tuple(p) for p in hearth], "hearth", "hearth"))
    if draw(st.booleans()):
        low_x, low_y, high_x, high_y = shape.bounds
        x = low_x + (high_x - low_x) * draw(st.sampled_from([0.3, 0.45, 0.6]))
        y = low_y + (high_y - low_y) * draw(st.sampled_from([0.3, 0.5, 0.65]))
        size, angle = draw(_between(0.1, 0.8)), draw(st.sampled_from([0.0, 0.3, math.pi / 4]))
        corners = [(px + x, py + y) for px, py in turned(box(-size / 2, -size / 4, size, size / 2), angle)]
        if shape.covers(Polygon(corners)):
            made.append(obstacle(corners, "island", "island", draw(st.sampled_from([0.0, 0.5 * INCH, 1 * INCH]))))
    return made


@st.composite
def _vents(draw: st.DrawFn, shape: Polygon) -> list[Vent]:
    low_x, low_y, high_x, high_y = shape.bounds
    return [
        Vent(
            name,
            (
                low_x + (high_x - low_x) * draw(st.sampled_from([0.1, 0.2, 0.5, 0.75, 0.9])),
                low_y + (high_y - low_y) * draw(st.sampled_from([0.1, 0.25, 0.4, 0.8])),
            ),
            (10 * INCH, 4 * INCH),
            draw(st.sampled_from([0.0, math.pi / 2, 0.4])),
        )
        for name in "AB"[: draw(st.integers(0, 2))]
    ]


@st.composite
def _openings(draw: st.DrawFn, corners: Sequence[Point]) -> list[Opening]:
    made = []
    for number in draw(st.sets(st.integers(1, len(corners)), max_size=3)):
        length = math.dist(corners[number - 1], corners[number % len(corners)])
        width = min(draw(_between(0.7, 1.6)), length)
        offset = (length - width) * draw(st.sampled_from([0.0, 0.3, 0.5, 1.0]))
        kind = draw(st.sampled_from(["door", "cased opening", "window"]))
        made.append(opening(number, offset, width, kind, f"{kind} {number}"))
    return made


def valid(job: Job) -> bool:
    """Return whether a room can be built of a job."""
    try:
        build_room(job)
    except SceneError:
        return False
    return True


@st.composite
def rooms(draw: st.DrawFn, low: float = 2.2, high: float = 7.0) -> Job:
    """Return a job whose room can be built, about `low` to `high` metres each way.

    Obstacles, then vents that make the room impossible are left out rather than drawn again.
    """
    corners = draw(outlines(low, high))
    shape = shapely.orient_polygons(Polygon(corners))
    border = draw(st.sampled_from([0.0, 2 * INCH, 4 * INCH, 4 * INCH, 0.15]))
    baseboard = draw(st.sampled_from([0.0, 0.5 * INCH, 1 * INCH]))
    choices = {
        "border": border,
        "strip": draw(st.sampled_from([0.0, 0.0, 0.75 * INCH, 0.02, 2 * INCH])) if border else 0.0,
        "baseboard": baseboard,
        "board_width": draw(st.sampled_from([2.25 * INCH, 0.09, 4 * INCH, 5 * INCH])),
        "longest": draw(st.sampled_from([1.2, 84 * INCH])),
        "run": draw(st.sampled_from([None, 0.0, math.pi / 2, 0.3, math.pi / 4])),
    }
    obstacles, vents, openings = draw(_obstacles(shape)), draw(_vents(shape)), draw(_openings(corners))
    job = make_job(corners, (), openings, obstacles, vents, **choices)
    for fewer in (
        lambda: make_job(corners, (), openings, obstacles, vents[:1], **choices),
        lambda: make_job(corners, (), openings, obstacles, (), **choices),
        lambda: make_job(corners, (), openings, obstacles[:1], (), **choices),
        lambda: make_job(corners, (), openings, (), (), **choices),
        lambda: make_job(corners, (), (), (), (), **{**choices, "border": 0.0, "strip": 0.0}),
    ):
        if valid(job):
            break
        job = fewer()
    return job


@st.composite
def jobs(draw: st.DrawFn, low: float = 2.2, high: float = 7.0) -> Job:
    """Return a job of `rooms` in any units, with joints, any run, any start, boards fitted or given, walked by tape
    with what a tape errs, or with its corners given."""
    job = draw(rooms(low, high))
    width = draw(st.sampled_from([2.25 * INCH, 0.07, 0.09, 4 * INCH, 0.12]))
    floor = replace(
        job.floor,
        board_width=width,
        board_length=draw(st.sampled_from([None, None, 6 * width, 0.42])),
        gap=draw(st.sampled_from([0.0, 0.0, 0.001, INCH / 32, 0.003])),
        run=draw(st.one_of(st.just(job.floor.run), st.integers(0, 359).map(math.radians))),
        start=draw(st.sampled_from(["full", "both", 0.11])),
    )
    doors = [each for each in job.openings if each.kind != "window"]
    if doors and draw(st.booleans()):
        floor = replace(floor, center=Center("opening", opening=doors[0].name))
    room = job.room
    if draw(st.booleans()):
        corners = np.array(room.corners)
        steps = np.roll(corners, -1, axis=0) - corners
        error = [draw(st.integers(-3, 3)) / 2000 for _ in steps]
        walk = tuple(
            Leg(math.atan2(y, x), round(math.hypot(x, y), 3) + wrong, "")
            for (x, y), wrong in zip(steps.tolist(), error, strict=True)
        )
        room = replace(room, corners=(), walk=walk)
        job = _moved(job, -corners[0])  # a walk begins at the plan's origin
    units = draw(st.sampled_from(["in", "ft", "mm", "cm", "m"]))
    return replace(job, room=room, floor=floor, units=units)


def _moved(job: Job, by: np.ndarray) -> Job:
    """Return a job with its obstacles and vents moved by `by` (2,) metres."""
    obstacles = [
        replace(each, corners=tuple((x + by[0], y + by[1]) for x, y in each.corners)) for each in job.obstacles
    ]
    vents = [replace(each, center=(each.center[0] + by[0], each.center[1] + by[1])) for each in job.vents]
    return replace(job, obstacles=tuple(obstacles), vents=tuple(vents))


def laid_or_refused(job: Job) -> tuple[Room, Layout] | None:
    """Return the room and the layout of a job, or None where its floor is refused in plain words."""
    room = build_room(job)
    try:
        return room, lay_floor(room, job)
    except SceneError:
        return None
