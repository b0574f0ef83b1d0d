"""The border line in words: how far it is from what, its sides and diagonals, the feature strip along it, and the gap
that is left at the walls."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import and_list, edge_line
from preview.room.outline import inward
from preview.room.places import corner_name, the
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_exact, format_length
from preview.vectors import mitre, steps_round

Array = NDArray[np.float64]

MOST_SIDES = 12
"""A border line of more sides is told without its diagonals."""


def edge_text(floor: LaidFloor) -> str:
    """Return how far the border line is from the walls, and from each obstacle."""
    return _from_walls(floor, floor.layout.border_line, floor.job.border.depth)


def strip_rows(floor: LaidFloor) -> list[Row]:
    """Return how wide the feature strip is, and where it lies; nothing where there is none."""
    layout, units = floor.layout, floor.job.units
    if not layout.strip_width:
        return []
    width = format_exact(layout.strip_width, units)
    return [
        (
            "Feature strip",
            f"{width} wide, laid along the outside of the border line before the border is, mitred at its corners, its "
            f"joints staggered from the border's; its outer edge is the strip line, "
            f"{_from_walls(floor, floor.room.strip_line, layout.border_width)}",
        )
    ]


def _from_walls(floor: LaidFloor, line: float, depth: float) -> str:
    """Return how far a line is from the walls, `line` metres, and from each obstacle: `depth` metres inside the floor's
    edge."""
    units, overlap = floor.job.units, floor.job.border.overlap
    own: dict[str, list[str]] = {}
    for each in floor.room.obstacles:
        away = format_exact(depth + each.baseboard - min(overlap, each.baseboard), units)
        own.setdefault(away, []).append(the(each.name))
    walls = format_exact(line, units)
    at = format_exact(0.0, units)
    return "; ".join(
        [
            f"{walls} from the walls",
            *(f"{f'{away} from' if away != at else 'right at'} {and_list(names)}" for away, names in own.items()),
        ]
    )


def border_rows(room: Room, layout: Layout, units: Unit) -> list[Row]:
    """Return the sides and the diagonals of the border line, to strike it straight where the walls are not."""
    ring = border_ring(room)
    if ring is None:
        return []
    count = len(room.corners)
    standing = shapely.union_all([each.polygon for each in room.obstacles])
    free = ~shapely.contains_xy(standing, *ring.T)  # a corner that something stands on can't be marked
    sides = np.hypot(*steps_round(ring).T)
    told = [n for n in range(count) if free[n] and free[(n + 1) % count]]
    words = ", ".join(f"wall {n + 1} {format_length(float(sides[n]), units)}" for n in told)
    own = f"between the {edge_line(layout)}'s own corners, not the room's"
    rows = [("  its sides", f"strike it straight, {own}: {words}")] if told else []
    found = [(a, b) for a, b in diagonals(ring) if free[a] and free[b]] if count <= MOST_SIDES else []
    if found:
        words = ", ".join(
            f"{_corner(room, a)} to {_corner(room, b)} {format_length(float(np.hypot(*(ring[b] - ring[a]))), units)}"
            for a, b in found
        )
        rows.append(("  its diagonals", f"between its own corners: {words}"))
    return rows


def _corner(room: Room, corner: int) -> str:
    return corner_name(room, corner).removeprefix("corner ")


def border_ring(room: Room) -> Array | None:
    """Return the corners (n, 2) of the border line along the walls alone, in the order of the room's corners, metres;
    None where a wall has no side of its own on it."""
    here = inward(room.corners)
    ring = room.corners + room.border_line * mitre(np.roll(here, 1, axis=0), here)
    walls, sides = (steps_round(each) for each in (room.corners, ring))
    kept = bool(((walls * sides).sum(axis=1) > 0).all()) and Polygon(ring).is_valid
    return ring if kept else None


def diagonals(ring: Array) -> list[tuple[int, int]]:
    """Return diagonals that lie inside a ring (n, 2) and fix its shape, short ones first: both of a quadrilateral, and
    n - 3 that don't cross of any other."""
    shape = shapely.buffer(Polygon(ring), 1e-7)
    count = len(ring)
    inside = [
        (a, b)
        for a, b in combinations(range(count), 2)
        if (b - a) % count not in (1, count - 1) and shape.covers(LineString(ring[[a, b]]))
    ]
    inside.sort(key=lambda pair: float(np.hypot(*(ring[pair[1]] - ring[pair[0]]))))
    if count == 4:
        return sorted(inside)
    chosen: list[tuple[int, int]] = []
    for a, b in inside:
        if not any(a < c < b < d or c < a < d < b for c, d in chosen):
            chosen.append((a, b))
    return sorted(chosen)


def gap_text(floor: LaidFloor) -> str:
    """Say how far from the walls the wood ends, and what covers that."""
    room, units = floor.room, floor.job.units
    what = "the border's outer edge" if floor.layout.border_width > 0 else "the ends of the boards"
    rule = "leave more where local codes or the makers of boards and adhesive ask for it"
    tight = [the(each.name) for each in room.obstacles if each.baseboard <= floor.job.border.overlap]
    if tight:
        rule += (
            f". At {and_list(tight)} the layout leaves none: agree before laying whether the boards end against it "
            "or short of it, the gap then covered or filled"
        )
    if room.edge <= 0:
        return f"none in this layout: {what} at the plaster; {rule}"
    return f"{format_exact(room.edge, units)} from the plaster to {what}, under the baseboard; {rule}"
