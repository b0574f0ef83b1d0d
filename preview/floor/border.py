"""The border: a run of boards along every edge of the floor, mitred where runs meet, butted where they are long; and
the feature strip, which runs round inside it in the same way.

A point between the floor's edge and the field belongs to the run whose edge it is nearest to, of the runs whose
strip reaches it (`preview.room.offset`: strips are what the field was made by, so the runs fill the rest of the
floor exactly). Two neighbours then part along their bisector, which is the mitre, inside and outside corners alike;
two runs that collide in a narrow recess part along its middle; a run on an edge shorter than its mitres take
away ends in a point. Runs that meet their neighbours only, nearly all, are built straight from their four corners.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.floor.beyond import join
from preview.floor.blanks import cut_pieces
from preview.floor.layout import Pieces, Role
from preview.room.offset import GRID, Edges, edges, parts, subtract, tidy, wavefront
from preview.room.places import name_edge
from preview.room.room import Room
from preview.scene.job import BorderChoice
from preview.vectors import following

Array = NDArray[np.float64]

MEETING = 1e-12
"""Strips that share less than this (square metres) only touch."""

REACHING = 1e-10
"""A run that reaches out by less than this (square metres) does so by rounding."""

SAME_LINE = 1e-9
"""Edges are on one line if their distances to a whole strip agree to this (metres)."""

ONE_CORNER = 0.7310585786e-9
"""Corners in one square of a grid this wide (metres) are one; an odd width, so that no measure falls on its lines."""

ROUNDING = 1e-13
"""A corner this near (metres) to the line on which two runs part lies on it."""

ON_EDGE = 1e-6
"""A joint that ends this near to an edge (metres) ends on it."""

LEAST_END = 0.25
"""The end of a strip's run has a joint of its own where it is at least this share of a longest piece long: in a run of
two longest pieces or more it is, for its neighbours are at least half as long."""

SPARE = 1e-9
"""A piece this much (metres) over the longest is still no longer: rounding."""


@dataclass(frozen=True, eq=False)
class Run:
    """The part of border or strip that belongs to one edge: `ends` are its reach along the edge, metres.

    A `plain` run is the edge, its two mitres and the field's edge.
    """

    edge: int
    shape: Polygon
    ends: tuple[float, float]
    plain: bool


def lay_border(room: Room, border: BorderChoice) -> tuple[Pieces, tuple[str, ...]]:
    """Return the pieces of the border and of the feature strip inside it, where there is one, and warnings.

    The border's pieces are an exact partition of `room.floor` less `room.inside_border`, the strip's of that less
    `room.field`. A run is divided evenly into the fewest pieces no longer than `border.longest`, so that a joint stands
    at least half a longest piece from a corner; the strip's joints stand in the middle of the border's pieces beside
    them (joints of neighbouring courses are staggered: common practice, no published source). Key: the edge that a
    piece runs along (of the floor, or of `room.inside_border`; rings in order, outer first, from 0) and the piece along
    it.
    """
    if border.width <= 0:
        return cut_pieces([], Role.BORDER, np.zeros(0), np.zeros((0, 2))), ()
    laid, joints = _lay_round(room.floor, room.inside_border, Role.BORDER, border.width, border.longest)
    if not border.strip:
        return laid, _short(room, laid, "border", border.width)
    width = border.strip.width
    strip, _ = _lay_round(room.inside_border, room.field, Role.STRIP, width, border.longest, joints)
    said = (*_short(room, laid, "border", border.width), *_short(room, strip, "feature strip", width))
    return join([laid, strip]), said


def _lay_round(
    outer: Polygon | MultiPolygon,
    inner: Polygon | MultiPolygon,
    role: Role,
    width: float,
    longest: float,
    beside: Array | None = None,
) -> tuple[Pieces, Array]:
    """Return the pieces that run `width` wide round the edges of `outer`, which leave `inner`, and where their joints
    end on its edge (n, 2).

    beside: where the joints of what lies outside end on the edge of `outer`, (n, 2).
    """
    sides = edges(outer)
    angles = np.arctan2(sides.along[:, 1], sides.along[:, 0])
    pieces: list[Polygon] = []
    grain: list[float] = []
    key: list[tuple[int, int]] = []
    heads = [np.zeros((0, 2))]
    for run in _runs(outer, sides, width):
        joints = _staggered(run, sides, longest, np.zeros((0, 2)) if beside is None else beside)
        heads.append(sides.start[run.edge] + joints[:, None] * sides.along[run.edge] + width * sides.inward[run.edge])
        for cut in _cut(run, sides, width, joints):
            number = key[-1][1] + 1 if key and key[-1][0] == run.edge else 0
            pieces.append(cut)
            grain.append(angles[run.edge])
            key.append((run.edge, number))
    pieces = _joined(pieces, shapely.get_coordinates([outer, inner]))
    return cut_pieces(pieces, role, np.array(grain), np.array(key)), np.concatenate(heads)


def _staggered(run: Run, sides: Edges, longest: float, beside: Array) -> Array:
    """Return where a run is cut square, metres along its edge (n,): nowhere if it is no longer than the longest piece;
    half way between the joints of what lies `beside` it, and between those and its ends; evenly where there are none.

    A joint near an end is left out where that leaves no piece too long.
    """
    low, high = run.ends
    count = math.ceil((high - low - SPARE) / longest)
    if count < 2:
        return np.zeros(0)
    along, across = ((beside - sides.start[run.edge]) @ axis[run.edge] for axis in (sides.along, sides.inward))
    others = np.sort(along[(np.abs(across) < ON_EDGE) & (low < along) & (along < high)])
    if not len(others):
        return np.asarray(low + (high - low) / count * np.arange(1, count))
    stops = np.concatenate([[low], others, [high]])
    joints: Array = (stops[:-1] + stops[1:]) / 2
    if joints[0] - low < LEAST_END * longest and joints[1] - low <= longest:
        joints = joints[1:]
    before = joints[-2] if len(joints) > 1 else low
    if high - joints[-1] < LEAST_END * longest and high - before <= longest:
        joints = joints[:-1]
    return joints


def _runs(outer: Polygon | MultiPolygon, sides: Edges, width: float) -> list[Run]:
    """Return every run inside the edges of `outer`, edge by edge; one that others cut in two gives two."""
    strips = sides.strips(width)
    alone = wavefront(outer, width) is not None
    rivals = [] if alone else _rivals(sides, strips)
    mitres = sides.mitres(width)
    end = sides.start[sides.after]
    quads = shapely.polygons(np.stack([sides.start, end, mitres[sides.after], mitres], axis=1))
    taken = width * sides.slope
    low, high = np.minimum(taken, 0), sides.length - np.minimum(taken[sides.after], 0)
    pointed = np.maximum(taken, 0) + np.maximum(taken[sides.after], 0) >= sides.length
    runs = []
    for edge in range(len(sides)):
        convex = {int(sides.before[edge])} if taken[edge] > 0 else set()
        convex |= {int(sides.after[edge])} if taken[sides.after[edge]] > 0 else set()
        if alone or (not pointed[edge] and set(rivals[edge]) <= convex and _within(quads[edge], outer)):
            runs.append(Run(edge, quads[edge], (float(low[edge]), float(high[edge])), True))
            continue
        lost = [_nearer(sides, strips, other, edge) for other in rivals[edge]]
        lost = [each for each in lost if each]
        for shape in parts(subtract(shapely.intersection(strips[edge], outer, grid_size=GRID), lost)):
            along = (shapely.get_coordinates(shape) - sides.start[edge]) @ sides.along[edge]
            runs.append(Run(edge, shape, (float(along.min()), float(along.max())), False))
    return runs


def _within(quad: Polygon, outer: Polygon | MultiPolygon) -> bool:
    """Whether a run lies in the shape that it goes round: at a passage so narrow that its walls lie on one line, it
    would reach out of it."""
    return bool(shapely.intersection(quad, outer, grid_size=GRID).area > quad.area - REACHING)


def _rivals(sides: Edges, strips: NDArray[np.object_]) -> list[list[int]]:
    """Return for each edge the edges whose strips share ground with its own."""
    first, second = shapely.STRtree(strips).query(strips, predicate="intersects")
    once = first < second
    first, second = first[once], second[once]
    reflex = (sides.after[first] == second) & (sides.slope[second] <= 0)
    reflex |= (sides.after[second] == first) & (sides.slope[first] <= 0)
    shared = ~reflex
    both = shapely.intersection(strips[first[shared]], strips[second[shared]], grid_size=GRID)
    shared[shared] = shapely.area(both) > MEETING
    rivals: list[list[int]] = [[] for _ in range(len(sides))]
    for a, b in zip(first[shared].tolist(), second[shared].tolist(), strict=True):
        rivals[a].append(b)
        rivals[b].append(a)
    return rivals


def _nearer(sides: Edges, strips: NDArray[np.object_], one: int, other: int) -> Polygon | None:
    """Return the part of the strip of `one` that is nearer to the line of `one` than to that of `other`.

    Of two edges on one line, as those beside a narrow niche, each takes what is nearer to it along the line.
    """
    ring = shapely.get_coordinates(strips[one])[:-1]
    ahead = _beyond(sides, one, ring, sides.inward) - _beyond(sides, other, ring, sides.inward)
    if np.abs(ahead).max() < SAME_LINE:
        gap = ring - (sides.start[other] + sides.start[sides.after[one]]) / 2
        if _beyond(sides, other, sides.start[one], sides.along) > 0:
            gap = (sides.start[sides.after[other]] + sides.start[one]) / 2 - ring
        ahead = gap @ sides.along[one]
    ahead[np.abs(ahead) < ROUNDING] = 0.0
    kept: list[Array] = []
    for here, there, a, b in zip(ring, following(ring), ahead, following(ahead), strict=True):
        if a <= 0:
            kept.append(here)
        if a * b < 0:
            kept.append(here + (there - here) * (a / (a - b)))
    part = Polygon(kept) if len(kept) > 2 else None
    return part if part and part.area > MEETING else None


def _beyond(sides: Edges, edge: int, points: Array, axis: Array) -> Array:
    """Return how far points (..., 2) lie from the start of `edge` along its own `axis`, metres."""
    return (points - sides.start[edge]) @ axis[edge]


def _cut(run: Run, sides: Edges, width: float, joints: Array) -> Sequence[Polygon]:
    """Return the pieces of a run, in order along its edge, cut square at `joints` (n,), metres along it."""
    low, high = run.ends
    if not len(joints):
        return [run.shape]
    start, along, inward = sides.start[run.edge], sides.along[run.edge], sides.inward[run.edge]
    foot = start + joints[:, None] * along
    ring = shapely.get_coordinates(run.shape)[:-1]
    if run.plain:
        reach = (ring - start) @ along
        if max(reach[0], reach[3]) < joints[0] and joints[-1] < min(reach[1], reach[2]):
            feet = np.concatenate([ring[:1], foot, ring[1:2]])
            heads = np.concatenate([ring[3:], foot + width * inward, ring[2:3]])
            return list(shapely.polygons(np.stack([feet[:-1], feet[1:], heads[1:], heads[:-1]], axis=1)))
    deep = float(np.abs((ring - start) @ inward).max()) + 1.0
    ends = np.concatenate([[low - 1.0], joints, [high + 1.0]])
    corners = [[(a, -deep), (b, -deep), (b, deep), (a, deep)] for a, b in pairwise(ends)]
    boxes = shapely.polygons(start + np.array(corners) @ np.stack([along, inward]))
    return [piece for cut in shapely.intersection(run.shape, boxes, grid_size=GRID) for piece in parts(cut)]


def _joined(pieces: Sequence[Polygon], known: Array) -> list[Polygon]:
    """Return the pieces with corners that differ by rounding made one, those in `known` (n, 2) before others.

    Two pieces then share their corners to the last bit, as overlays of many polygons want it.
    """
    shapes = np.array(pieces, dtype=object)
    points = np.concatenate([known, shapely.get_coordinates(shapes)])
    _, first, group = np.unique(np.floor(points / ONE_CORNER), axis=0, return_index=True, return_inverse=True)
    moved = shapely.set_coordinates(shapes.copy(), points[first][group.ravel()][len(known) :])
    same = shapely.equals_identical(moved, shapes)
    return [part for shape, kept in zip(moved, same, strict=True) for part in ([shape] if kept else parts(tidy(shape)))]


def _short(room: Room, laid: Pieces, what: str, width: float) -> tuple[str, ...]:
    """Return a warning if pieces of border or feature strip are shorter than two of its widths."""
    short = np.flatnonzero(laid.size[:, 0] < 2 * width - SPARE)
    if not len(short):
        return ()
    least = laid.polygons[short[laid.size[short, 0].argmin()]]
    count = f"{len(short)} {what} pieces are" if len(short) > 1 else f"one {what} piece is"
    place = name_edge(room, least.representative_point())
    return (
        f"{count} shorter than two {what} widths, the shortest at {place}; let a longer piece run past the corner "
        f"there, or make the {what} narrower",
    )
