"""The next room's floor, as far as it is shown: straight boards along the sight line, for the picture only."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import shapely

from preview.floor.cut import polygon_parts
from preview.floor.layout import Pieces, Role
from preview.room.room import Room, RoomOpening

SIDE = 0.6
"""How much wider than the opening the next room is shown, each side, metres."""

BOARD_LENGTH = 1.4
"""Length of its boards, metres; end joints are staggered by thirds (common practice, no published source)."""


def lay_beyond(room: Room, width: float) -> Pieces:
    """Return the boards, `width` wide, past every passable opening; empty where there is none."""
    found = [_strips(room, opening, index, width) for index, opening in enumerate(room.openings) if opening.passable]
    return join([each for each in found if each])


def join(parts: list[Pieces]) -> Pieces:
    """Return several groups of pieces as one, in order."""
    if not parts:
        return Pieces(
            np.array([], object),
            np.array([], np.int8),
            np.array([], np.int32),
            np.array([]),
            np.zeros((0, 2)),
            np.zeros((0, 2)),
            np.array([], bool),
            np.zeros((0, 2), np.int32),
            np.array([], np.int8),
            np.array([]),
        )
    return Pieces(*(np.concatenate([getattr(each, field.name) for each in parts]) for field in fields(Pieces)))


def beyond_region(room: Room, opening: RoomOpening) -> shapely.Polygon:
    """Return the rectangle of next-room floor behind an opening: from the wall's outer face, `beyond` deep."""
    out, side = -opening.inward, (opening.b - opening.a) / np.linalg.norm(opening.b - opening.a)
    near = [opening.a - SIDE * side + opening.depth * out, opening.b + SIDE * side + opening.depth * out]
    return shapely.Polygon([near[0], near[1], near[1] + opening.beyond * out, near[0] + opening.beyond * out])


def _strips(room: Room, opening: RoomOpening, index: int, width: float) -> Pieces | None:
    if opening.beyond <= 0:
        return None
    out = -opening.inward
    grain = float(np.arctan2(out[1], out[0]))
    normal = np.array([-out[1], out[0]])
    region = shapely.difference(beyond_region(room, opening), shapely.buffer(room.outline, 1e-6, join_style="mitre"))
    corner = opening.middle + opening.depth * out
    span = float(np.linalg.norm(opening.b - opening.a)) / 2 + SIDE
    rows = np.arange(np.floor(-span / width), np.ceil(span / width))
    columns = np.arange(-1, np.ceil(opening.beyond / BOARD_LENGTH))
    row, column = (axis.ravel() for axis in np.meshgrid(rows, columns, indexing="ij"))
    start = (column + (row * 2 % 3) / 3) * BOARD_LENGTH
    origin = corner + start[:, None] * out + (row * width)[:, None] * normal
    square = np.array([0 * out, BOARD_LENGTH * out, BOARD_LENGTH * out + width * normal, width * normal])
    polygons, source = polygon_parts(shapely.intersection(shapely.polygons(origin[:, None] + square), region))
    count = len(polygons)
    return Pieces(
        polygons=polygons,
        role=np.full(count, Role.BOARD, np.int8),
        course=np.full(count, -1, np.int32),
        grain=np.full(count, grain),
        origin=origin[source],
        size=np.tile([BOARD_LENGTH, width], (count, 1)),
        whole=np.zeros(count, bool),
        key=np.stack([row[source] + 1000 * (index + 1), column[source]], axis=-1).astype(np.int32),
        hand=np.full(count, -1, np.int8),
        skew=np.zeros(count),
    )
