"""What the customer and the layer must be told of a layout, in words, in the units of the scene."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from preview.floor.centering import Axis
from preview.floor.edges import field_edges
from preview.floor.layout import Array, Layout
from preview.floor.patterns import pattern_of
from preview.floor.patterns.fit import Fit, given_up
from preview.floor.patterns.interface import Placement
from preview.floor.slivers import SLIVER, sliver_mask
from preview.floor.stretches import Stretch
from preview.room.places import corner_name, name_edge, offset_from_wall, the
from preview.room.room import Room
from preview.scene.job import Job, Unit
from preview.units import format_exact, format_length

NAMED = 3
"""How many places of one kind are named; the rest are counted."""


def remarks(room: Room, layout: Layout, axis: Axis, fit: Fit, placement: Placement, job: Job) -> tuple[str, ...]:
    """Return the warnings that follow from the layout: small pieces by wall, slivers by place."""
    return (
        *_given_up(axis, fit, placement, job),
        *_small(room, layout, axis, fit, placement, job),
        *placement.remarks,
        *_slivers(room, layout, job.units),
    )


def _given_up(axis: Axis, fit: Fit, placement: Placement, job: Job) -> tuple[str, ...]:
    """Name the side walls that were given up for others that are longer; one that ends in small pieces is told so."""
    return tuple(
        f"along {side.name} {pattern_of(job).cut_to} {format_length(last, job.units)}: the layout suits longer walls"
        for side, last in given_up(axis.sides, fit, placement.reach)
        if last > placement.reach.least
    )


def small_ends(
    room: Room, axis: Axis, fit: Fit, placement: Placement, stretches: Sequence[Stretch] | None = None
) -> dict[str, float]:
    """Return the smallest small pieces, metres, by the wall or obstacle that has them: what the pattern has at each
    edge of the field, or where its `stretches` are given, as much of that as is found on the pieces. A short edge may
    have none of the small pieces that a longer one would."""
    things = {each.name for each in room.obstacles}
    smallest: dict[str, float] = {}
    for edge in field_edges(room.field, axis.frame):
        piece = placement.last_piece(edge, axis.place, fit.phase)
        name = name_edge(room, edge.middle)
        if piece <= placement.reach.joint or not placement.is_small(edge, piece, obstacle=name in things):
            continue  # no wider than a joint is no piece
        if stretches is None or _found(stretches, name, edge.facing, piece):
            smallest[name] = min(piece, smallest.get(name, piece))
    return smallest


def _found(stretches: Sequence[Stretch], name: str, facing: str, piece: float) -> bool:
    """Return whether pieces no larger than `piece` are cut at a stretch, those in its corners left out."""
    lots = [
        lot
        for each in stretches
        if each.facing == facing and (f"wall {each.wall}" if each.wall else each.name) == name
        for lot in (each.boards, each.triangles)
        if lot
    ]
    return any(min(lot.shortest, lot.narrowest) <= piece + SLIVER for lot in lots)


def _small(room: Room, layout: Layout, axis: Axis, fit: Fit, placement: Placement, job: Job) -> tuple[str, ...]:
    """One remark a wall, and one for all obstacles, each with its smallest pieces."""
    things = {each.name for each in room.obstacles}
    smallest = small_ends(room, axis, fit, placement, layout.stretches)
    pattern, units, gap = pattern_of(job), job.units, job.floor.gap  # sizes are of wood, without its joint
    full = f"({pattern.full_size(job, placement.reach)})"
    obstacles = things & set(smallest)
    said = [
        f"the boards along {name} end in {pattern.small_words(_legs(piece - gap, units))} {full}"
        for name, piece in sorted(smallest.items())
        if name not in obstacles
    ]
    if obstacles:
        least = min(smallest[name] for name in obstacles)
        names = _listed([the(each) for each in sorted(obstacles)])
        said.append(
            f"the boards round {names} end in small pieces: {pattern.small_words(_legs(least - gap, units))} {full}"
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
    one = len(found) == 1
    count = "1 piece is a sliver" if one else f"{len(found)} pieces are slivers"
    narrow, them = format_exact(SLIVER, units), "it" if one else "them"
    where = f"{'; '.join(places)}{more}"
    remedy = f"leave {them} out and fill the place; another start would move {them}"
    return (f"{count} narrower than {narrow}: {where}; {remedy}",)


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
