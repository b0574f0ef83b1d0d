"""What the customer and the layer must be told of a layout, in words, in the units of the scene."""

from __future__ import annotations

import numpy as np
import shapely

from preview.floor.edges import Edge, small_triangles
from preview.floor.layout import Layout
from preview.floor.slivers import SLIVER, sliver_mask
from preview.room.places import name_edge
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length

NAMED = 3
"""How many slivers are given their place; the rest are counted."""


def remarks(room: Room, layout: Layout, edges: tuple[Edge, ...], units: Unit) -> tuple[str, ...]:
    """Return the warnings that follow from the layout: small triangles by wall, slivers by place."""
    return (*_triangles(room, layout, edges, units), *_slivers(room, layout, units))


def _triangles(room: Room, layout: Layout, edges: tuple[Edge, ...], units: Unit) -> tuple[str, ...]:
    width = layout.board.width + layout.board.gap
    return tuple(
        f"the boards along {name_edge(room, edge.middle)} end in triangles with legs of "
        f"{format_length(edge.piece, units)} (a full one's are {format_length(width, units)})"
        for edge in small_triangles(edges, width)
    )


def _slivers(room: Room, layout: Layout, units: Unit) -> tuple[str, ...]:
    cut = layout.pieces.polygons[~layout.pieces.whole]
    found = cut[sliver_mask(cut)]
    if not len(found):
        return ()
    middles = shapely.get_coordinates(shapely.point_on_surface(found))
    places = [
        f"by {name_edge(room, point)} at ({format_length(point[0], units)}, {format_length(point[1], units)})"
        for point in middles[np.lexsort(middles.T)][:NAMED]
    ]
    more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
    count = "1 piece is a sliver" if len(found) == 1 else f"{len(found)} pieces are slivers"
    return (f"{count} narrower than {format_length(SLIVER, 'mm')}: {'; '.join(places)}{more}",)
