"""Joints: of the border, mitred and square, and of the field, where splines go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from preview.floor.layout import Layout, Role

MEETING = 1e-6
"""Pieces that share less of their outlines than this, metres, only touch at a corner."""


@dataclass(frozen=True)
class BorderJoints:
    """Border or feature strip in numbers: `length` metres along the longer side of its pieces; `mitres` where pieces of
    two edges of the floor meet, `joints` where pieces of one edge butt, square."""

    pieces: int
    length: float
    mitres: int
    joints: int


def border_joints(layout: Layout, role: Role = Role.BORDER) -> BorderJoints:
    """Return the pieces, length, mitres and square joints of the border, or of the feature strip (`Role.STRIP`)."""
    border = layout.pieces.role == role
    shapes, edge = layout.pieces.polygons[border], layout.pieces.key[border, 0]
    if not len(shapes):
        return BorderJoints(0, 0.0, 0, 0)
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    one, other = one[one < other], other[one < other]
    outlines = shapely.boundary(shapes)
    shared = shapely.length(shapely.intersection(outlines[one], outlines[other], grid_size=MEETING / 10)) > MEETING
    same = edge[one] == edge[other]
    return BorderJoints(
        len(shapes),
        float(layout.pieces.size[border, 0].sum()),
        int((shared & ~same).sum()),
        int((shared & same).sum()),
    )


def spline_length(layout: Layout) -> float:
    """Return metres of loose spline: one in every joint between two field boards and, where there is a border, along
    the border line, and along the feature strip's outer edge too where there is one. For boards grooved all round, a
    1/4 in spline (common practice, no published source).

    Two pieces share each joint, so the joints inside the field are half of what the pieces' outlines together measure
    over the outline of all of them.
    """
    board = layout.pieces.role == Role.BOARD
    shapes = layout.pieces.polygons[board]
    if not len(shapes):
        return 0.0
    inside = (float(shapely.length(shapes).sum()) - _outline(layout)) / 2
    return inside + (float(layout.field.length) if layout.border_width > 0 else 0.0) + strip_line_length(layout)


def strip_line_length(layout: Layout) -> float:
    """Return how long the line between border and feature strip is, metres; 0 where there is no strip."""
    return float(layout.inside_border.length) if layout.strip_width and layout.inside_border else 0.0


def _outline(layout: Layout) -> float:
    """Return how long the outline of what the boards cover is, metres: of the field less the grilles' frames."""
    grilles = layout.pieces.polygons[layout.pieces.role == Role.GRILLE]
    frames = [shapely.Polygon(each.exterior) for each in grilles]
    if not frames:
        return float(layout.field.length)
    return float(np.sum(shapely.length(shapely.difference(layout.field, shapely.union_all(frames)))))
