"""The model of a room with its floor: everything that is drawn and lit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.floor.layout import Layout
from preview.model.floor import floor_meshes
from preview.model.furnishings import fireplace, hearth_parts, obstacle_parts, standing_height
from preview.model.model import Model, Pane, Part
from preview.model.opening_parts import gap_of, next_room_parts, pane, trim
from preview.model.paints import Paints, room_paints
from preview.model.room_beyond import next_room
from preview.model.surface import part, plate, prism
from preview.model.walls import enclosure, faces_of
from preview.room.room import Room
from preview.wood.boards import Boards

DUCT_DEPTH = 0.3
"""How deep one sees into the duct under a grille, metres."""

UNDER = 0.005
"""How far walls and blocks run below the underside of the boards, metres."""


@dataclass(frozen=True, eq=False)
class RoomShell:
    """A room without its floor: parts, panes and `bounds` as in `Model`."""

    parts: tuple[Part, ...]
    panes: tuple[Pane, ...]
    bounds: NDArray[np.float64]


def build_model(
    room: Room, layout: Layout, boards: Boards, paints: Paints | None = None, shrunk: NDArray[np.float64] | None = None
) -> Model:
    """Return the meshes of the floor and of the room round it, and the panes through which it is lit.

    paints: the shell's colours, by default the program's own. `shrunk`: as in `floor_meshes`.
    """
    return lay_in_shell(build_shell(room, layout, paints or room_paints()), layout, boards, shrunk)


def lay_in_shell(shell: RoomShell, layout: Layout, boards: Boards, shrunk: NDArray[np.float64] | None = None) -> Model:
    """Return the model of a room's shell with a floor in it. `shrunk`: as in `floor_meshes`."""
    red, green, blue = map(float, boards.mean_albedo)
    border = [float(each) for each in boards.border_albedo]
    return Model(
        floor=floor_meshes(layout, boards, shrunk),
        parts=shell.parts,
        panes=shell.panes,
        bounds=shell.bounds,
        floor_albedo=(red, green, blue),
        border_albedo=(border[0], border[1], border[2]),
        field=layout.field,
        coat=(boards.finish.roughness, boards.finish.ior),
    )


def build_shell(room: Room, layout: Layout, paints: Paints) -> RoomShell:
    """Return the room round a floor: of the layout it takes the boards' thickness and the slots of grilles alone.

    Parts have names of their own; those of ceilings begin with "ceiling". A door is closed, and no pane, unless the
    scene shows what lies beyond it.
    """
    below = -layout.board.thickness - UNDER
    faces = faces_of(room.corners)
    gaps = [[gap for each in room.openings if (gap := gap_of(each, wall, room))] for wall in faces]
    parts: list[Part] = []
    for thing in room.obstacles:
        if thing.kind == "hearth":
            fire = fireplace(thing, faces, gaps, room)
            parts += hearth_parts(thing, fire, paints, below)
            if fire:
                gaps[faces.index(fire.wall)].append(fire.gap)
        else:
            parts += obstacle_parts(thing, room, paints, below)
    standing = [(each.polygon, standing_height(each, room)) for each in room.obstacles]
    parts += enclosure("", faces, gaps, room.height, room.baseboard, below, paints, standing)
    shown = [room.outline]
    for opening in room.openings:
        parts += trim(opening, room, paints, below)
        if plan := next_room(opening, room):
            parts += next_room_parts(opening, plan, room, paints.next_room, below)
            shown.append(plan)
    parts += _under(shown, layout, room, paints)
    low_x, low_y, high_x, high_y = room.outline.bounds
    return RoomShell(
        parts=tuple(parts),
        panes=tuple(each for opening in room.openings if (each := pane(opening))),
        bounds=np.array([[low_x, low_y, 0.0], [high_x, high_y, room.height]]),
    )


def _under(shown: list[Polygon], layout: Layout, room: Room, paints: Paints) -> list[Part]:
    """What shows through open joints and grilles: a dark subfloor, and ducts."""
    thickness = layout.board.thickness
    wide = shapely.union_all(shown).buffer(room.wall_thickness, join_style="mitre")
    ducts = {vent.name: hull for vent in room.vents if (hull := _duct(vent.polygon, layout.slots)) is not None}
    level = wide.difference(shapely.union_all(list(ducts.values())))
    assert isinstance(level, Polygon | MultiPolygon)
    parts = [part("subfloor", "subfloor", [plate(level, -thickness, cell=1.0)], paints.subfloor)]
    for name, hull in ducts.items():
        low = -thickness - DUCT_DEPTH
        inside = prism(hull, [low, -thickness + 0.001], top=False)[:, ::-1]
        parts.append(part(f"duct {name}", "duct", [inside, plate(hull, low)], paints.duct))
    return parts


def _duct(vent: Polygon, slots: tuple[Polygon, ...]) -> Polygon | None:
    """The duct's opening: as wide as the slots of its grille together."""
    own = [each for each in slots if each.centroid.within(vent)]
    hull = shapely.convex_hull(shapely.union_all(own)) if own else None
    return hull if isinstance(hull, Polygon) else None
