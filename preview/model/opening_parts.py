"""Windows, doors and cased openings: linings, casings, sashes, leaves, and the next room beyond."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from preview.model.model import Pane, Part
from preview.model.paints import Paints
from preview.model.room_beyond import head, opening_face, stands_open
from preview.model.surface import block, part, patch, pierced, sweep, ticks
from preview.model.wall_axes import WallFace, wall_face
from preview.model.walls import BASEBOARD_HEIGHT, Gap, enclosure, faces_of
from preview.room.room import Room, RoomOpening

Array = NDArray[np.float64]

# Trim sizes in metres: common practice, no published source.
CASING = 0.089
CASING_THICKNESS = 0.019
STOOL = 0.028
APRON = 0.075
LOWEST_STOOL = 0.2
SASH = 0.05
BAR = 0.045
WIDEST_LIGHT = 1.05
TALLEST_LIGHT = 1.0


def gap_of(opening: RoomOpening, wall: WallFace, room: Room) -> Gap | None:
    """Return where the opening breaks this wall, or None if it is in another one."""
    x = sorted(float((each - wall.start) @ wall.along) for each in (opening.a, opening.b))
    off = abs(float((opening.middle - wall.start) @ wall.inward))
    if off > 1e-3 or wall.inward @ opening.inward < 0.99 or x[0] < -1e-3 or x[1] > wall.length + 1e-3:
        return None
    gap = _gap(opening, x[0], x[1], casing_width(opening, room))
    if opening.passable:
        return replace(gap, pane=opening.name) if stands_open(opening) else gap
    return replace(gap, pane=opening.name, recess=-_glass_depth(opening)[0])


def _gap(opening: RoomOpening, near: float, far: float, width: float) -> Gap:
    low = opening.sill - STOOL - APRON if opening.sill > LOWEST_STOOL else 0.0
    hole = (near, far, opening.sill, head(opening))
    return Gap(hole, (near - width, far + width, low, head(opening) + width))


def casing_width(opening: RoomOpening, room: Room) -> float:
    """Width of the casing: the usual one, less where a corner, another opening or the ceiling is too near."""
    jambs = shapely.LineString([opening.a, opening.b])
    room_left = [room.height - head(opening)]
    room_left += [jambs.distance(shapely.Point(corner)) for corner in room.corners]
    room_left += [
        jambs.distance(shapely.LineString([other.a, other.b])) / 2
        for other in room.openings
        if other is not opening and abs(other.inward @ opening.inward) > 0.99
    ]
    return max(0.01, min(CASING, *room_left))


def trim(opening: RoomOpening, room: Room, paints: Paints, below: float) -> list[Part]:
    """Return casing, lining and what fills the opening."""
    wall, width = opening_face(opening), casing_width(opening, room)
    low, high, across = opening.sill, head(opening), wall.length
    casing = [_casing(across, [below, 0.0] if low == 0 else [low], high, width)]
    if low == 0 and room.baseboard > CASING_THICKNESS - 0.001:
        casing += [_plinth(-width, 0.0, below, room), _plinth(across, across + width, below, room)]
    if not opening.passable:
        glass, front = _glass_depth(opening)
        back = min(front, 0.0)  # the sash's frame stands there, and nothing behind it is seen
        soups = [*casing, _lining(across, low, high, back), *_sash(across, low, high, glass, front)]
        if low > LOWEST_STOOL:
            horn, foot = width + 0.025, low - STOOL
            soups.append(block((0.0, foot, back), (across, low, 0.0)))
            soups.append(block((-horn, foot, 0.0), (across + horn, low, CASING_THICKNESS + 0.03)))
            soups.append(block((-width, foot - APRON, 0.0), (across + width, foot, 0.016)))
        return [part(f"{opening.name} window", "trim", [wall.place(*soups)], paints.trim)]
    lining = [_lining(across, 0.0, high, -opening.depth), _lining(across, below, 0.0, -opening.depth)]
    parts = [part(f"{opening.name} casing", "trim", [wall.place(*casing, *lining)], paints.trim)]
    if stands_open(opening):
        outer = wall_face(wall.plan(across, -opening.depth), wall.plan(0, -opening.depth))
        return [*parts, part(f"{opening.name} outer casing", "trim", [outer.place(*casing)], paints.trim)]
    return [
        *parts,
        part(f"{opening.name} leaf", "trim", _leaf(wall, below, high), paints.trim),
        part(f"{opening.name} knob", "trim", [wall.place(_knob(across - 0.07))], paints.metal),
    ]


def pane(opening: RoomOpening) -> Pane | None:
    """Return where daylight comes in through the opening; None for a closed door."""
    wall = opening_face(opening)
    if opening.passable:
        if not stands_open(opening):
            return None
        low, high, near, far, z = 0.0, head(opening), 0.0, wall.length, 0.0
    else:
        low, high, near, far = opening.sill + SASH, head(opening) - SASH, SASH, wall.length - SASH
        z = _glass_depth(opening)[0]
    corners = np.array([[near, low, z], [near, high, z], [far, high, z], [far, low, z]])
    return Pane(opening.name, wall.spots(corners), np.array([*wall.inward, 0.0]), not opening.passable)


def _glass_depth(opening: RoomOpening) -> tuple[float, float]:
    """Where the glass and the front of the sash stand, z in the wall's axes."""
    return -0.7 * opening.depth, -0.7 * opening.depth + 0.03


def _casing(across: float, feet: list[float], high: float, width: float) -> Array:
    """Two legs and a head; `feet` are the heights of its foot and of where it leaves the floor."""
    thick = CASING_THICKNESS
    profile = [(0, 0), (0, thick - 0.004), (0.004, thick), (width - 0.004, thick), (width, thick - 0.004), (width, 0)]
    up = [[0.0, y] for y in (*feet, high)]
    return sweep(profile, np.array([*up, *([across, y] for _, y in up[::-1])]))


def _plinth(near: float, far: float, below: float, room: Room) -> Array:
    """The block at the foot of a casing that a thicker baseboard runs into."""
    near, far, reach = near - 0.002, far + 0.002, room.baseboard + 0.004
    high = BASEBOARD_HEIGHT + 0.02
    return np.concatenate(
        [block((near, low, 0.0), (far, up, reach)) for low, up in ((below, 0.0), (0.0, high))],
    )


def _lining(across: float, low: float, high: float, back: float) -> Array:
    """Jambs and head, and a sill above the floor, from the wall's inside face to `back`."""
    a, b, c, d = ((0, low), (across, low), (across, high), (0, high))
    sides = [(b, c), (c, d), (d, a)] if high > 0 else [(b, c), (d, a)]
    sides += [(a, b)] if low > 0 and low <= LOWEST_STOOL else []
    return np.concatenate([patch((*p, 0.0), (*q, 0.0), (*q, back), (*p, back)) for p, q in sides])


def _sash(across: float, low: float, high: float, glass: float, front: float) -> list[Array]:
    """Frame round the glass and the bars between lights, no light larger than the sizes above."""
    corners = np.array([[0, low], [across, low], [across, high], [0, high]])
    back, half, edge = glass - 0.004, BAR / 2, 0.004
    ring = [(-0.002, front), (0, front), (SASH - edge, front), (SASH, front - edge), (SASH, back)]
    bar = [(-half, back), (-half, front - 2 * edge), (edge - half, front - edge), (half - edge, front - edge)]
    bar += [(half, front - 2 * edge), (half, back)]
    soups = [sweep(ring, corners, closed=True)]

    def lights(size: float, most: float) -> Array:
        return np.linspace(SASH, size - SASH, max(1, int(np.ceil((size - 2 * SASH) / most - 1e-9))) + 1)[1:-1]

    def ends(size: float) -> Array:
        return np.array([SASH / 2, SASH, size - SASH, size - SASH / 2])

    tall = high - low
    soups += [sweep(bar, np.column_stack([np.full(4, x), low + ends(tall)])) for x in lights(across, WIDEST_LIGHT)]
    soups += [sweep(bar, np.column_stack([ends(across), np.full(4, low + y)])) for y in lights(tall, TALLEST_LIGHT)]
    return soups


def _leaf(wall: WallFace, below: float, high: float) -> list[Array]:
    """A closed door with two sunk panels."""
    across, stile, front, sunk = wall.length, 0.115, -0.012, 0.011
    slope = 0.014
    lock = 0.42 * high
    panels = [(stile, across - stile, 0.23, lock), (stile, across - stile, lock + 0.14, high - 0.12)]
    up = ticks([below, 0.0, high, *(y for each in panels for y in each[2:])])
    soups = [pierced(wall.plan(0, front), wall.plan(across, front), up, panels)]
    for near, far, low, top in panels:
        outer = np.array([[near, low], [far, low], [far, top], [near, top]])
        inner = outer + slope * np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
        rim = [np.column_stack([ring, np.full(4, z)]) for ring, z in ((outer, front), (inner, front - sunk))]
        sides = [patch(rim[0][k], rim[0][(k + 1) % 4], rim[1][(k + 1) % 4], rim[1][k]) for k in range(4)]
        soups.append(wall.place(*sides, patch(*rim[1])))
    return soups


def _knob(x: float, height: float = 0.95, radius: float = 0.027, out: float = 0.045) -> Array:
    """A round knob on its neck, x along the wall."""
    turn = np.linspace(0, 2 * np.pi, 13)
    section = np.array([(0.016, -0.02), (0.012, out - radius), *(
        (radius * np.cos(a), out + 0.7 * radius * np.sin(a)) for a in np.linspace(-0.9, np.pi / 2, 6))])  # fmt: skip
    reach, z = section.T
    grid = np.stack([
        x + np.outer(np.cos(turn), reach), height + np.outer(np.sin(turn), reach), np.tile(z, (len(turn), 1))
    ], axis=2)  # fmt: skip
    cells = [
        patch(grid[i, j], grid[i + 1, j], grid[i + 1, j + 1], grid[i, j + 1])
        for i in range(len(turn) - 1)
        for j in range(len(z) - 1)
    ]
    return np.concatenate(cells)


def next_room_parts(opening: RoomOpening, plan: Polygon, room: Room, paints: Paints, below: float) -> list[Part]:
    """Return walls, ceiling and baseboards of the next room as far as it is shown."""
    faces = faces_of(shapely.get_coordinates(plan)[:-1])
    wall, width = opening_face(opening), casing_width(opening, room)
    gaps: list[Sequence[Gap]] = []
    for each in faces:
        offset = np.array([(wall.plan(x, -opening.depth) - each.start) for x in (0.0, wall.length)])
        on_it = np.abs(offset @ each.inward).max() < 1e-6 and each.inward @ wall.inward < -0.99
        x = sorted(offset @ each.along)
        gaps.append([_gap(opening, x[0], x[1], width)] if on_it else [])
    return enclosure(f"beyond {opening.name} ", faces, gaps, room.height, room.baseboard, below, paints)
