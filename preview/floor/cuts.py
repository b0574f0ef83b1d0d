"""Every cut piece of a floor as a record: where it goes, what it is cut along, and its shape at the saw.

A board's near end is the one where its blank begins, its far end the other. Boards of two hands are no substitute for
one another where they have tongue and groove, or mitred ends: see the pattern's facts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon

from preview.floor.blank_sides import ENDS, ON_SIDE, Ends, blank_edges, kept_ends, local_polygons
from preview.floor.blanks import board_outlines
from preview.floor.cut_shapes import EndCut, Hand, Point, Shape, shape_of, turned
from preview.floor.edges import field_edges
from preview.floor.layout import Layout, Pieces, Role
from preview.room.places import name_edge
from preview.room.room import Room
from preview.vectors import unit

STRAIGHT = 1e-9
"""A corner this near to the line through its neighbours, metres, is none."""


@dataclass(frozen=True)
class CutBoard:
    """A cut field board. `piece` is its place in `Layout.pieces`, `course` counts from 1 at the left, as on the plan.

    `hand` is its place in `Facts.hands`. `along` names what it is cut along: walls by number, obstacles and grilles by
    name; `keeps` the ends of its board that it keeps, before it was turned for sawing; `shape` its wood, without the
    joints round it.
    """

    piece: int
    course: int
    hand: int
    along: tuple[str, ...]
    keeps: Ends
    shape: Shape


@dataclass(frozen=True)
class CutStrip:
    """A piece of the border, of the feature strip, or in a doorway. `along` names the wall, obstacle or opening that it
    lies along.

    Of an `EndCut` the near end is the one nearer to square; `wall` says whether the edge along the wall is then the
    left or the right one.
    """

    piece: int
    along: str
    wall: Hand
    shape: Shape


def edge_names(room: Room) -> list[str]:
    """Return the names of all that pieces may be cut along, in order: walls, obstacles, grilles."""
    walls = [f"wall {number}" for number in range(1, len(room.corners) + 1)]
    return [*walls, *(each.name for each in room.obstacles), *(f"grille {each.name}" for each in room.vents)]


def cut_boards(room: Room, layout: Layout) -> tuple[CutBoard, ...]:
    """Return the field boards that are cut, in the order of the layout's pieces."""
    pieces = layout.pieces
    cut = np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole)
    boards = pieces.take(cut)
    along = _cut_along(room, layout, boards)
    keeps = kept_ends(boards)
    width, (_, pitch) = layout.board.width, layout.board.pitch
    own = boards.size[:, 0] - np.abs(boards.skew) * boards.size[:, 1] + layout.board.length - pitch
    lengths = own if layout.board.mixed else np.full(len(boards), layout.board.length)
    found = []
    for number, polygon in enumerate(_wood(boards, layout.board.gap)):
        skew = float(boards.skew[number])
        rings = _rings(polygon, width)
        if _from_far_end(rings, width, lengths[number], skew, keeps[number]):
            rings = turned(rings, width, lengths[number] + abs(skew) * width)
        found.append(
            CutBoard(
                piece=int(cut[number]),
                course=int(boards.course[number]) + 1,
                hand=int(boards.hand[number]),
                along=along[number],
                keeps=ENDS[keeps[number]],
                shape=shape_of(rings, width),
            )
        )
    return tuple(found)


def cut_strips(room: Room, layout: Layout, role: Role) -> tuple[CutStrip, ...]:
    """Return the pieces of the border (`Role.BORDER`), of the feature strip (`Role.STRIP`) or in doorways
    (`Role.THRESHOLD`), in the order of the layout."""
    pieces = layout.pieces
    chosen = np.flatnonzero(pieces.role == role)
    strips = pieces.take(chosen)
    found = []
    for number, polygon in enumerate(local_polygons(strips)):
        length, width = map(float, strips.size[number])
        rings = _rings(shapely.simplify(polygon, STRAIGHT), width)
        shape = shape_of(rings, width)
        # Pieces run anticlockwise round the floor: the wall is on the right of who looks along one.
        wall: Hand = "right"
        if isinstance(shape, EndCut) and abs(shape.near) > abs(shape.far) + 1e-6:
            shape, wall = shape_of(turned(rings, width, length), width), "left"
        grain = strips.grain[number]
        outer = strips.origin[number] + length / 2 * unit(grain)
        name = room.openings[int(strips.key[number, 0])].name if role is Role.THRESHOLD else name_edge(room, outer)
        found.append(CutStrip(int(chosen[number]), name, wall, shape))
    return tuple(found)


def _from_far_end(rings: list[list[Point]], width: float, length: float, skew: float, keeps: int) -> bool:
    """Return whether a piece is sawn with its far end towards one: where it keeps that alone, or more of it."""
    if keeps != 3:
        return keeps == 2
    lead = max(0.0, -skew * width)
    along = [(x, y - lead - skew * (width - x)) for ring in rings for x, y in ring]
    spans = [[x for x, y in along if abs(y - end) < ON_SIDE] for end in (0.0, length)]
    near, far = (max(span) - min(span) if span else 0.0 for span in spans)
    return far > near + ON_SIDE


def _rings(polygon: Polygon, width: float) -> list[list[Point]]:
    """Return a polygon in blank coordinates as rings of corners (x from the left edge, y along), open."""
    rings = (polygon.exterior, *polygon.interiors)
    return [[(width - t, s) for s, t in np.asarray(ring.coords)[:-1].tolist()] for ring in rings]


def _wood(boards: Pieces, gap: float) -> list[Polygon]:
    """Return the boards' wood in blank coordinates, without the half joint round each blank; simplified.

    Of a piece that lies wholly in a joint nothing would be left; it is returned as it is.
    """
    if gap > 0 and len(boards):
        wood = shapely.intersection(boards.polygons, shapely.polygons(board_outlines(boards, gap / 2)))
        kept = np.array([_largest(here, there) for here, there in zip(wood, boards.polygons, strict=True)], object)
        shapes = local_polygons(replace(boards, polygons=kept))
        # The wood has a blank of its own: half a joint in, along the sides and square to the ends.
        skew, width = boards.skew, boards.size[:, 1]
        inside = np.maximum(0.0, -skew * width) - np.maximum(0.0, -skew * (width - gap))
        shift = np.stack([inside + gap / 2 * (skew + np.sqrt(1 + skew**2)), np.full(len(boards), gap / 2)], axis=1)
        points, owner = shapely.get_coordinates(shapes, return_index=True)
        shapes = shapely.set_coordinates(shapes, points - shift[owner])
    else:
        shapes = local_polygons(boards)
    simplified: list[Polygon] = list(shapely.simplify(shapes, STRAIGHT))
    return simplified


def _largest(shape: shapely.Geometry, instead: Polygon) -> Polygon:
    parts = [each for each in shapely.get_parts(shape) if each.geom_type == "Polygon" and each.area > 0]
    return max(parts, key=lambda each: each.area) if parts else instead


def _cut_along(room: Room, layout: Layout, boards: Pieces) -> list[tuple[str, ...]]:
    """Return for each board the names of what its sawn edges lie along: walls first, then obstacles, then grilles."""
    along = unit(layout.run)
    edges = field_edges(room.field, np.array([along, [along[1], -along[0]]]))
    names = [name_edge(room, each.middle) for each in edges]
    lines = [shapely.LineString(each.ends) for each in edges]
    names += [f"grille {vent.name}" for vent in room.vents]
    lines += [vent.polygon.exterior for vent in room.vents]
    found = blank_edges(boards)
    sawn = found.side < 0
    nearest = shapely.STRtree(lines).nearest(shapely.points(found.middle[sawn])) if sawn.any() else []
    sets: list[set[str]] = [set() for _ in range(len(boards))]
    for owner, line in zip(found.owner[sawn].tolist(), np.asarray(nearest).tolist(), strict=True):
        sets[owner].add(names[line])
    for owner in (number for number, each in enumerate(sets) if not each):  # hardly sawn: a corner that a hair is off
        sets[owner].add(names[int(shapely.distance(np.array(lines, object), boards.polygons[owner]).argmin())])
    order = {name: place for place, name in enumerate(edge_names(room))}
    return [tuple(sorted(each, key=order.__getitem__)) for each in sets]
