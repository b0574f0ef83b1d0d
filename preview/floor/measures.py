"""What a layout measures, from the same arrays that draw it: metres, square metres, counts and shares."""

from __future__ import annotations

import numpy as np
import shapely

from preview.distinct import distinct
from preview.floor.centering import Axis
from preview.floor.layout import Array, Layout, Role
from preview.floor.slivers import sliver_mask
from preview.room.rays import first_wall
from preview.room.room import Room
from preview.vectors import right_of


def measure(room: Room, layout: Layout, axis: Axis) -> dict[str, float | int]:
    """Return the numbers of a layout, by name.

    ===================  ==================================================================================
    stop_block           length every field board is cut to, set on the saw's stop; none where lengths are mixed
    center_offset        from the middle of the field to the centre line, positive to the right along the run
    chalk_to_..._near    from the chalk line, square to it, to the left and right wall, a board's width inside
    chalk_to_..._far     the line's near and far end
    whole_boards         field boards laid uncut
    cut_boards           pieces of field boards
    blanks               full boards to cut: every place of the pattern the field touches, offcuts not re-used
    waste                by what share the blanks' area is more than the field's
    border_pieces, border_length, threshold_pieces, grilles, slivers
    field_area, border_area, floor_area, grille_area
    strip_pieces, strip_length, strip_area, where there is a feature strip
    ===================  ==================================================================================
    """
    pieces = layout.pieces
    area = shapely.area(pieces.polygons)
    board, border = pieces.role == Role.BOARD, pieces.role == Role.BORDER
    width, length = layout.board.average_pitch
    blanks = len(distinct(pieces.key[board], axis=0))
    near_walls, far_walls = to_walls(room, layout.chalk_line, layout.board.width)
    return {
        **({} if layout.board.mixed else {"stop_block": layout.board.length}),
        "center_offset": axis.place - axis.middle,
        "chalk_to_left_wall_near": near_walls[0],
        "chalk_to_right_wall_near": near_walls[1],
        "chalk_to_left_wall_far": far_walls[0],
        "chalk_to_right_wall_far": far_walls[1],
        "whole_boards": int((board & pieces.whole).sum()),
        "cut_boards": int((board & ~pieces.whole).sum()),
        "blanks": blanks,
        "waste": blanks * width * length / float(area[board].sum()) - 1 if blanks else 0.0,
        "border_pieces": int(border.sum()),
        "border_length": float(pieces.size[border, 0].sum()),
        "threshold_pieces": int((pieces.role == Role.THRESHOLD).sum()),
        "grilles": int((pieces.role == Role.GRILLE).sum()),
        "slivers": int(sliver_mask(pieces.polygons[~pieces.whole]).sum()),
        "field_area": float(area[board].sum()),
        "border_area": float(area[border].sum()),
        "grille_area": float(sum(vent.polygon.area for vent in room.vents)),
        "floor_area": float(room.floor.area),
        **(_strip(layout, area) if layout.strip_width else {}),
    }


def _strip(layout: Layout, area: Array) -> dict[str, float | int]:
    """Return the feature strip's numbers; `area` (n,) of all pieces."""
    strip = layout.pieces.role == Role.STRIP
    return {
        "strip_pieces": int(strip.sum()),
        "strip_length": float(layout.pieces.size[strip, 0].sum()),
        "strip_area": float(area[strip].sum()),
    }


def to_walls(room: Room, line: Array, inside: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the distances left and right from a line (2, 2) to the walls, square to it, `inside` of each of its ends.

    The near end first, left before right; metres, NaN from a point that does not lie in the room: what a tape would
    measure there is no distance to a wall that one sees.
    """
    start, end = line
    along = (end - start) / np.linalg.norm(end - start)
    right = right_of(along)
    found = []
    for point in (start + inside * along, end - inside * along):
        within = room.outline.covers(shapely.Point(point))
        pair = []
        for side in (-right, right):
            met = first_wall(room, point, side)
            pair.append(met.reach if within and met else float("nan"))
        found.append((pair[0], pair[1]))
    return found[0], found[1]
