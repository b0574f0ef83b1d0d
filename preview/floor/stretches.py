"""What the boards come to at each stretch of the field's edge, measured on the pieces themselves.

A stretch is a straight edge of the field; edges on one line that follow one wall, as those either side of a hearth, are
one. A formula knows what meets a wall square to the courses or along them; where walls are skew, turned or broken only
the pieces know. Pieces that two stretches cut, those in the field's corners, are told apart: every corner has a few
of any size, and they would hide what the stretch looks like.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.floor.blanks import board_extents, board_outlines
from preview.floor.edges import Edge, Stretch, field_edges
from preview.floor.facts import EdgeKind
from preview.floor.layout import Array, Pieces, Role
from preview.floor.sizes import Sizes
from preview.room.offset import SPECK
from preview.room.outline import inward
from preview.room.places import name_edge, side_name
from preview.room.room import Room
from preview.vectors import axes, left_of, steps_round

ON_LINE = 1e-6
"""A piece's side nearer to a line than this, metres, lies on it."""

PARALLEL = 1e-6
"""Sine of the angle by which a board that lies along the run may be off it."""

NO_ROW = 5e-4
"""A row that would be no wider than this, metres, is none: the next one begins at the edge."""

LEAST_SHARED = 1e-5
"""A piece that shares less than this with a stretch, metres, only touches it."""


def edge_stretches(
    room: Room, field: BaseGeometry, pieces: Pieces, run: float, gap: float = 0.0
) -> tuple[Stretch, ...]:
    """Return every stretch of the edge of `field`, walls by number, then obstacles and grilles.

    Args:
        room: names what the stretches follow.
        field: what boards cover, the frames of grilles left out.
        pieces: the field's boards among them.
        run: direction of the courses, radians.
        gap: width of a joint, metres.
    """
    frame = axes(run)
    groups = _grouped(room, field_edges(field, frame))
    cut = np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole)
    wood = _wood(pieces, cut, gap)
    some = shapely.area(wood) > SPECK  # what lies within a joint is no piece
    cut, wood = cut[some], wood[some]
    met = _meeting(pieces.polygons[cut], [edges for *_, edges in groups])
    low, high = board_extents(wood, pieces.take(cut))
    size, area = high - low, shapely.area(wood)
    triangle = np.abs(area - size[:, 0] * size[:, 1] / 2) < 1e-6 * np.maximum(area, 1e-12)
    alone = met.sum(axis=1) == 1
    rows = np.abs(np.sin(pieces.grain[cut] - run)) < PARALLEL
    found = []
    for number, (kind, name, wall, edges) in enumerate(groups):
        own = met[:, number]
        step = edges[0].ends[1] - edges[0].ends[0]
        forth, across = np.abs(frame @ step)
        row = own & rows if edges[0].facing in ("left", "right") else np.zeros_like(own)
        reach = _reaches(wood[row], edges[0])
        row[row] = reach > NO_ROW
        size[row, 1] = reach[reach > NO_ROW]
        board, corner = own & ~triangle & (alone | row), own & ~alone & ~row
        found.append(
            Stretch(
                kind=kind,
                name=name,
                wall=wall,
                facing=edges[0].facing,
                angle=float(np.arctan2(across, forth)),
                ends=tuple(tuple((float(x), float(y)) for x, y in edge.ends) for edge in edges),
                length=sum(edge.length for edge in edges),
                boards=_sizes(size[board]),
                triangles=_sizes(size[own & alone & triangle]),
                corners=_sizes(size[corner]),
            )
        )
    return tuple(found)


def _reaches(wood: NDArray[np.object_], edge: Edge) -> Array:
    """Return how far pieces (k,) reach from an edge of the field into it, (k,), metres: how wide a row is there, though
    a piece be notched round a corner."""
    if not len(wood):
        return np.zeros(0)
    into = left_of(edge.ends[1] - edge.ends[0]) / edge.length
    points, owner = shapely.get_coordinates(wood, return_index=True)
    return np.maximum.reduceat((points - edge.ends[0]) @ into, np.searchsorted(owner, np.arange(len(wood))))


def _sizes(size: Array) -> Sizes | None:
    if not len(size):
        return None
    (shortest, narrowest), (longest, widest) = size.min(axis=0), size.max(axis=0)
    return Sizes(len(size), float(shortest), float(longest), float(narrowest), float(widest))


def _wood(pieces: Pieces, which: NDArray[np.intp], gap: float) -> NDArray[np.object_]:
    """Return the wood of pieces, (k,) shapes: their polygons reach to the middle of the joints."""
    chosen = pieces.take(which)
    if gap <= 0 or not len(which):
        return chosen.polygons
    return shapely.intersection(chosen.polygons, shapely.polygons(board_outlines(chosen, gap / 2)))


def _meeting(polygons: NDArray[np.object_], stretches: list[list[Edge]]) -> NDArray[np.bool_]:
    """Return which of n polygons have part of their outline on which of m stretches, (n, m)."""
    rings, owner = shapely.get_rings(polygons, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    start, end, piece = points[:-1][same], points[1:][same], owner[ring[:-1][same]]
    met = np.zeros((len(polygons), len(stretches)), bool)
    for number, edges in enumerate(stretches):
        for edge in edges:
            along = (edge.ends[1] - edge.ends[0]) / edge.length
            off = [np.abs((p - edge.ends[0]) @ [-along[1], along[0]]) for p in (start, end)]
            at = np.sort([(p - edge.ends[0]) @ along for p in (start, end)], axis=0)
            shared = np.minimum(at[1], edge.length) - np.maximum(at[0], 0.0)
            met[piece[(off[0] < ON_LINE) & (off[1] < ON_LINE) & (shared > LEAST_SHARED)], number] = True
    return met


def _grouped(room: Room, edges: Iterable[Edge]) -> list[tuple[EdgeKind, str, int, list[Edge]]]:
    """Return the edges by stretch, each with its kind, name and the number of its wall, in the order of the room."""
    groups: list[tuple[tuple[int, int], str, list[Edge]]] = []
    for edge in edges:
        order, name = _whose(room, edge)
        own = (group for where, _, group in groups if where == order and _in_line(group[0], edge))
        group = next(own, None)
        if group is None:
            groups.append((order, name, [edge]))
        else:
            group.append(edge)
    groups.sort(key=lambda each: each[0])
    kinds: tuple[EdgeKind, ...] = ("wall", "obstacle", "grille")
    return [(kinds[kind], name, number if kind == 0 else 0, group) for (kind, number), name, group in groups]


def _in_line(one: Edge, other: Edge) -> bool:
    along = (one.ends[1] - one.ends[0]) / one.length
    off = (other.ends - one.ends[0]) @ [-along[1], along[0]]
    return bool(np.abs(off).max() < ON_LINE and (other.ends[1] - other.ends[0]) @ along > 0)


def _whose(room: Room, edge: Edge) -> tuple[tuple[int, int], str]:
    """Return what an edge of the field follows: (0, wall), (1, obstacle) or (2, grille), and its name.

    The edge along a wall is parallel to it, a border line away; where several walls are on one line, it is the nearest.
    """
    start, step = room.corners, steps_round(room.corners)
    normal, along = inward(room.corners), (edge.ends[1] - edge.ends[0]) / edge.length
    off = ((edge.ends[:, None] - start) * normal).sum(axis=2)
    fits = (np.abs(off - room.border_line) < ON_LINE).all(axis=0) & (normal @ [-along[1], along[0]] > 0)
    if fits.any():
        reach = shapely.linestrings(np.stack([start, start + step], axis=1))
        away = np.where(fits, shapely.distance(reach, shapely.Point(edge.middle)), np.inf)
        wall = int(away.argmin()) + 1
        return (0, wall), side_name(room, wall)
    for number, vent in enumerate(room.vents):
        if vent.polygon.exterior.distance(shapely.Point(edge.middle)) < ON_LINE:
            return (2, number), f"grille {vent.name}"
    name = name_edge(room, edge.middle)
    for number, obstacle in enumerate(room.obstacles):
        if obstacle.name == name:
            return (1, number), name
    wall = int(name.removeprefix("wall "))
    return (0, wall), side_name(room, wall)
