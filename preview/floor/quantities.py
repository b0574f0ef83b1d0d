"""What a floor takes, as quantities that a price or an order is given for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.floor.layout import Layout, Role
from preview.floor.packing import cutting, spare_boards
from preview.room.room import Room
from preview.scene.job import Job


@dataclass(frozen=True)
class Quantities:
    """What a floor takes.

    `field` is the area that the field's boards cover, without grilles, border and doorways, square metres; `border`
    the length of all border pieces together, each measured to its long points, metres; `strip` that of the feature
    strip's, 0 where there is none; `boards` full boards to buy:
    no offcut is used again, and spares are among them; `grilles` and `thresholds` are counted, one threshold a doorway.
    """

    field: float
    border: float
    strip: float
    boards: int
    spares: int
    grilles: int
    thresholds: int


def quantities(room: Room, layout: Layout, job: Job) -> Quantities:
    """Return what `layout`, the floor of `job` in `room`, takes."""
    pieces = layout.pieces
    areas = shapely.area(pieces.polygons)
    apart = cutting(pieces, layout.board.length).apart
    return Quantities(
        field=float(areas[pieces.role == Role.BOARD].sum()),
        border=float(pieces.size[pieces.role == Role.BORDER, 0].sum()),
        strip=float(pieces.size[pieces.role == Role.STRIP, 0].sum()),
        boards=apart + spare_boards(apart),
        spares=spare_boards(apart),
        grilles=int(np.sum(pieces.role == Role.GRILLE)),
        thresholds=int(np.sum(pieces.role == Role.THRESHOLD)),
    )
