"""What the customer and the layer must be told of a layout, in words, in the units of the scene."""

from __future__ import annotations

import numpy as np
import shapely

from preview.floor.centering import Axis
from preview.floor.edges import field_edges, is_small, piece_at
from preview.floor.fit import Fit, given_up
from preview.floor.lattice import Lattice
from preview.floor.layout import Array, Layout
from preview.floor.slivers import SLIVER, sliver_mask
from preview.room.places import corner_name, name_edge, offset_from_wall
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_exact, format_length

NAMED = 3
"""How many places of one kind are named; the rest are counted."""


def remarks(room: Room, layout: Layout, axis: Axis, fit: Fit, lattice: Lattice, units: Unit) -> tuple[str, ...]:
    """Return the warnings that follow from the layout: small triangles by wall, slivers by place."""
    return (
        *_given_up(axis, fit, lattice, units),
        *_triangles(room, axis, fit, lattice, units),
        *_slivers(room, layout, units),
    )


def _given_up(axis: Axis, fit: Fit, lattice: Lattice, units: Unit) -> tuple[str, ...]:
    """Name the side walls that were given up for others that are longer; one that ends in triangles is told as such."""
    return tuple(
        f"{side.name} was given up for longer walls: its boards are cut to {format_length(last, units)}"
        for side, last in given_up(axis.sides, fit, lattice.width)
        if last > lattice.width
    )


def small_triangles(room: Room, axis: Axis, fit: Fit, lattice: Lattice) -> dict[str, float]:
    """Return the legs of the smallest small triangles, metres, by the wall or obstacle that has them."""
    things = {each.name for each in room.obstacles}
    smallest: dict[str, float] = {}
    for edge in field_edges(room.field, axis.frame):
        piece = piece_at(edge, lattice, axis.place, fit.phase)
        name = name_edge(room, edge.middle)
        if is_small(edge, piece, lattice.width, name in things):
            smallest[name] = min(piece, smallest.get(name, piece))
    return smallest


def _triangles(room: Room, axis: Axis, fit: Fit, lattice: Lattice, units: Unit) -> tuple[str, ...]:
    """One remark a wall, and one for all obstacles, each with its smallest legs."""
    things = {each.name for each in room.obstacles}
    smallest = small_triangles(room, axis, fit, lattice)
    full = f"(a full one's are {format_length(lattice.width, units)})"
    obstacles = things & set(smallest)
    said = [
        f"the boards along {name} end in triangles with legs of {_legs(piece, units)} {full}"
        for name, piece in sorted(smallest.items())
        if name not in obstacles
    ]
    if obstacles:
        least = min(smallest[name] for name in obstacles)
        names = _listed(sorted(obstacles))
        said.append(
            f"the boards round {names} end in small triangles, the smallest with legs of {_legs(least, units)} {full}"
        )
    return tuple(said)


def _legs(length: float, units: Unit) -> str:
    rounded = format_length(length, units)
    return rounded if rounded != format_length(0.0, units) else "next to nothing"


def _listed(names: list[str]) -> str:
    shown = names if len(names) <= NAMED else [*names[:NAMED], f"{len(names) - NAMED} more"]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _slivers(room: Room, layout: Layout, units: Unit) -> tuple[str, ...]:
    cut = layout.pieces.polygons[~layout.pieces.whole]
    found = cut[sliver_mask(cut)]
    if not len(found):
        return ()
    middles = shapely.get_coordinates(shapely.point_on_surface(found))
    places = [_place(room, point, units) for point in middles[np.lexsort(middles.T)][:NAMED]]
    more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
    count = "1 piece is a sliver" if len(found) == 1 else f"{len(found)} pieces are slivers"
    narrow = format_exact(SLIVER, units)
    return (f"{count} narrower than {narrow}: {'; '.join(places)}{more}; leave them out and fill, or move the start",)


def _place(room: Room, point: Array, units: Unit) -> str:
    """Say where a point (2,) lies: by what, and how far along the wall that it stands opposite to."""
    try:
        found = offset_from_wall(room, point)
    except ValueError:
        return f"by {name_edge(room, point)}"
    along = f"{format_length(found.along, units)} from {corner_name(room, found.corner)} along wall {found.wall}"
    name = name_edge(room, point)
    if name == f"wall {found.wall}":
        return f"by {name}, {along}"
    return f"by {name}, {format_length(found.square, units)} off wall {found.wall}, {along}"
