"""Derived measures of a layout, worked out when they are asked for, and what every measure means."""

from __future__ import annotations

import shapely

from preview.floor.joints import border_joints, spline_length
from preview.floor.layout import Layout, Role
from preview.floor.packing import cutting
from preview.floor.sight_lines import middle_offsets
from preview.floor.slivers import sliver_mask
from preview.floor.symmetry import symmetry
from preview.room.room import Room

SMALL = 0.00635
"""A piece narrower than 1/4 in (metres) is too small to hold well. Common practice, no published source."""

MEANINGS: dict[str, tuple[str, str]] = {
    "stop_block": ("m", "length that every field board is cut to, set on the saw's stop; not where "
                   "boards of several lengths are mixed"),
    "center_offset": ("m", "from the middle of the field to the centre line, positive to the right along the run"),
    "chalk_to_left_wall_near": ("m", "chalk line to left wall, square, a board's width inside its near end"),
    "chalk_to_right_wall_near": ("m", "the same to the right wall"),
    "chalk_to_left_wall_far": ("m", "chalk line to left wall, square, a board's width inside its far end"),
    "chalk_to_right_wall_far": ("m", "the same to the right wall"),
    "middle_offset_near": ("m", "from the middle between the left and right wall to the centre line, positive to the "
                                "right, a board's width inside its near end"),
    "middle_offset_far": ("m", "the same a board's width inside its far end"),
    "symmetry": ("1", "share of the field covered alike when mirrored in the centre line and slid W / sqrt2; 0 where a "
                      "course runs down the line"),
    "whole_boards": ("count", "field boards laid uncut"),
    "cut_boards": ("count", "cut pieces of field boards"),
    "blanks": ("count", "boards to cut with no offcut used again: one for every lattice place the field touches"),
    "blanks_reused": ("count", "boards to cut with offcuts used again, set end to end along the board, 1/8 in a cut, "
                               "where boards are grooved all round: a plan that works"),
    "blanks_tongued": ("count", "the same where boards have tongue and groove, and come in left and right"),
    "blanks_least": ("count", "boards that no plan for boards grooved all round goes below"),
    "waste": ("1", "by what share the area of `blanks` is more than the field's"),
    "waste_reused": ("1", "by what share the area of `blanks_reused` is more than the field's"),
    "border_pieces": ("count", "pieces of the border"),
    "border_length": ("m", "sum of the lengths of the border's pieces, along their longer sides"),
    "border_mitres": ("count", "places where border pieces of two edges of the floor meet"),
    "border_joints": ("count", "places where two border pieces of one edge butt"),
    "spline_length": ("m", "loose spline in every joint between field boards and along the border line, and along the "
                           "feature strip's outer edge"),
    "threshold_pieces": ("count", "pieces in doorways"),
    "grilles": ("count", "flush floor grilles"),
    "slivers": ("count", "cut pieces in which no circle of 3 mm fits"),
    "small_pieces": ("count", "cut field pieces in which no circle of 1/4 in fits"),
    "field_area": ("m2", "area of the field's boards"),
    "border_area": ("m2", "area of the border"),
    "grille_area": ("m2", "area of the grilles with their frames"),
    "floor_area": ("m2", "area of field, border, feature strip and grilles, without what lies in doorways"),
}  # fmt: skip
"""Unit and definition of every measure, those in `Layout.measures` too."""

STRIP_MEANINGS: dict[str, tuple[str, str]] = {
    "strip_pieces": ("count", "pieces of the feature strip"),
    "strip_length": ("m", "sum of the lengths of the feature strip's pieces, along their longer sides"),
    "strip_mitres": ("count", "places where pieces of the feature strip along two edges meet"),
    "strip_joints": ("count", "places where two pieces of the feature strip along one edge butt"),
    "strip_area": ("m2", "area of the feature strip"),
}
"""The same of the measures that a layout with a feature strip has besides."""


def derived_measures(room: Room, layout: Layout, small: float = SMALL) -> dict[str, float | int]:
    """Return the measures that `Layout.measures` leaves out, by name: see `MEANINGS`.

    small: `small_pieces` are narrower than this, metres.
    """
    board, pieces = layout.board, layout.pieces
    area = board.average_pitch[0] * board.average_pitch[1]
    needed = cutting(pieces, board.length)
    border = border_joints(layout)
    near, far = middle_offsets(room, layout)
    cut = (pieces.role == Role.BOARD) & ~pieces.whole
    laid = float(shapely.area(pieces.polygons[pieces.role == Role.BOARD]).sum())
    return {
        "middle_offset_near": near,
        "middle_offset_far": far,
        "symmetry": symmetry(layout),
        "blanks_reused": needed.reused,
        "blanks_tongued": needed.tongued,
        "blanks_least": needed.least,
        "waste_reused": needed.reused * area / laid - 1 if needed.reused else 0.0,
        "border_mitres": border.mitres,
        "border_joints": border.joints,
        "spline_length": spline_length(layout),
        "small_pieces": int(sliver_mask(pieces.polygons[cut], small).sum()),
        **(_strip(layout) if layout.strip_width else {}),
    }


def _strip(layout: Layout) -> dict[str, float | int]:
    strip = border_joints(layout, Role.STRIP)
    return {"strip_mitres": strip.mitres, "strip_joints": strip.joints}
