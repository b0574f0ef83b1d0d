"""The floor laid: centre line, fit, start, boards, border, thresholds and grilles, in one value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.errors import SceneError
from preview.floor.beyond import join, lay_beyond
from preview.floor.border import lay_border
from preview.floor.centering import Axis, find_axis
from preview.floor.chalk import chalk_lines
from preview.floor.cut import cut_to, polygon_parts
from preview.floor.fit import BEST, NEAR_BEST, Fit, faults, fit_count, fit_sides
from preview.floor.grilles import lay_grilles
from preview.floor.lattice import Lattice
from preview.floor.layout import Array, Board, Layout, Pieces
from preview.floor.measures import measure
from preview.floor.remarks import remarks, small_triangles
from preview.floor.slivers import sliver_mask
from preview.floor.start import first_corner, start_corners
from preview.floor.stretches import edge_stretches
from preview.floor.thresholds import lay_thresholds
from preview.room.offset import GRID
from preview.room.room import Room
from preview.scene.job import Job
from preview.units import format_length

STEP = {"in": 0.0254 / 8, "ft": 0.0254 / 8, "mm": 0.005, "cm": 0.005, "m": 0.005}
"""Board lengths are rounded up to this, metres, by the units of the scene."""

LONGER = 3
"""How many steps longer than the best fit a board may be made to avoid slivers."""


def lay_floor(room: Room, job: Job) -> Layout:
    """Return the layout of `job` in `room`.

    Raises:
        SceneError: a board longer than the field, a centre line outside it.
    """
    axis = find_axis(room, job)
    field = open_field(room)
    lattice, fit, boards = place_boards(axis, job, field)

    border, border_remarks = lay_border(room, job.border)
    grilles, slots = lay_grilles(room)
    pieces = join([boards, _cut_round_vents(border, room), lay_thresholds(room), grilles])

    lines = chalk_lines(room, lattice, field, job.floor.gap)
    if not lines:
        raise SceneError(
            job.place("floor"),
            "the field is too small for its boards: no corner at which two of them meet lies in it",
            "give smaller boards, or a narrower border",
        )
    across = lattice.frame()[1]
    layout = Layout(
        title=job.title,
        variant=job.variant,
        board=Board(job.floor.board_width, lattice.length - job.floor.gap, job.floor.thickness, job.floor.gap),
        run=axis.run,
        count=len(np.unique(boards.course)),
        course_width=lattice.length / sqrt(2),
        center_line=_through(room, across * axis.place, axis),
        lines=lines,
        chalk_offset=float(across @ lines[0].start) - axis.place,
        first_board="left-leaning",
        border_line=room.border_line,
        border_width=job.border.width,
        strip_width=job.border.strip_width,
        inside_border=room.inside_border,
        field=room.field,
        pieces=pieces,
        slots=slots,
        beyond=lay_beyond(room, lattice.width),
        measures={},
        warnings=(),
        stretches=edge_stretches(room, field, boards, axis.run, job.floor.gap),
        small=tuple(small_triangles(room, axis, fit, lattice)),
    )
    layout = replace(layout, measures=measure(room, layout, axis))
    said = (
        *room.warnings,
        *axis.remarks,
        *fit.costs,
        *border_remarks,
        *remarks(room, layout, axis, fit, lattice, job.units),
    )
    return replace(layout, warnings=tuple(dict.fromkeys(said)))


def open_field(room: Room) -> BaseGeometry:
    """Return what the boards cover: the field less the frames of the grilles."""
    return _without_vents(np.array([room.field]), room)[0]


def fits(axis: Axis, job: Job) -> list[Fit]:
    """Return the lengths to consider, best first: one where the scene fixes it or it is chosen from those in stock,
    else the fit and a few steps longer.

    Raises:
        SceneError: a board longer than the field.
    """
    choice = job.floor
    width, step = choice.board_width + choice.gap, STEP[job.units]
    given = choice.lengths if choice.board_length is None else (choice.board_length,)
    if given:
        longest = max(axis.high - axis.low, axis.left + axis.right)
        short = [each for each in given if each + choice.gap <= longest]
        if not short:
            raise SceneError(
                job.place("floor.board_length"),
                f"a board of {format_length(min(given), job.units)} is longer than the field",
                'give a shorter board_length, or "fit"',
            )
        tried = [
            fit_count(axis.left, axis.right, width, each + choice.gap, choice.courses, axis.sides) for each in short
        ]
        return [best_fit(tried, width)]
    best = fit_sides(axis.sides, axis.left, axis.right, width, choice.courses, step, choice.gap)
    longer = [
        fit_count(axis.left, axis.right, width, best.length + k * step, choice.courses, axis.sides)
        for k in range(1, LONGER + 1)
    ]
    wrong = faults(best, width)
    return [best, *(each for each in longer if (each.count, faults(each, width)) == (best.count, wrong))]


def best_fit(given: Sequence[Fit], width: float) -> Fit:
    """Return the best of several fits by what `fit_length` goes by: one without faults before one with; then, of those
    whose smaller last piece is as large a share of the board as any's, or nearly, the length nearest five widths.

    width: the board's with its joint, metres.
    """
    fewest = min(faults(each, width) for each in given)
    good = [each for each in given if faults(each, width) == fewest]
    shares = [min(each.last_left, each.last_right) / each.length for each in good]
    near = [each for each, share in zip(good, shares, strict=True) if share > max(shares) - NEAR_BEST]
    return min(near, key=lambda each: abs(each.length / width - BEST))


def place_boards(axis: Axis, job: Job, field: BaseGeometry) -> tuple[Lattice, Fit, Pieces]:
    """Return the field's boards, with their lattice and fit, cut to `field`.

    It is the first placing without slivers among the free choices of length and start, or the one with fewest.

    Raises:
        SceneError: a board longer than the field.
    """
    width = job.floor.board_width + job.floor.gap
    fewest: tuple[int, tuple[Lattice, Fit, Pieces]] | None = None
    for fit in fits(axis, job):
        # The chalk line: the corners' side of the seam on the centre line, or of the one left of the middle course.
        place = axis.place + width / (2 * sqrt(2)) - fit.phase * fit.length / sqrt(2)
        for corner in start_corners(axis.near, axis.far, width, fit.length, job.floor.start):
            first = first_corner(axis.near, corner, width)
            origin = axis.frame.T @ [first, place]
            lattice = Lattice((float(origin[0]), float(origin[1])), axis.run, width, fit.length)
            boards = cut_to(lattice, field)
            slivers = int(sliver_mask(boards.polygons[~boards.whole]).sum())
            if fewest is None or slivers < fewest[0]:
                fewest = (slivers, (lattice, fit, boards))
            if slivers == 0:
                return fewest[1]
    assert fewest is not None
    return fewest[1]


def _through(room: Room, point: Array, axis: Axis) -> Array:
    """Return the segment (2, 2) that the line along the run through `point` cuts out of the field, from its near end
    to its far end, over whatever stands between."""
    reach = axis.frame[0] * np.array([[axis.low - 1.0], [axis.high + 1.0]])
    inside = shapely.get_coordinates(shapely.intersection(shapely.LineString(point + reach), room.field))
    ends = np.array([axis.low, axis.high])
    if len(inside):
        ends = np.array([(inside @ axis.frame[0]).min(), (inside @ axis.frame[0]).max()])
    return point + ends[:, None] * axis.frame[0]


def _without_vents(shapes: NDArray[np.object_], room: Room) -> NDArray[np.object_]:
    if not room.vents:
        return shapes
    return shapely.difference(shapes, shapely.union_all([vent.polygon for vent in room.vents]), grid_size=GRID)


def _cut_round_vents(border: Pieces, room: Room) -> Pieces:
    """Cut the grilles' frames out of the border pieces that they straddle."""
    if not room.vents or not len(border):
        return border
    polygons, source = polygon_parts(_without_vents(border.polygons, room))
    names = ("role", "course", "grain", "origin", "size", "whole", "key")
    return Pieces(polygons, *(getattr(border, name)[source] for name in names))
