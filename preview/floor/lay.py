"""The floor laid: centre line, fit, start, boards, border, thresholds and grilles, in one value."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from preview.distinct import distinct
from preview.errors import SceneError
from preview.floor.beyond import join, lay_beyond
from preview.floor.blanks import blank_lengths
from preview.floor.board_count import check_board_count, check_edges
from preview.floor.border import lay_border
from preview.floor.centering import Axis, find_axis
from preview.floor.chalk import chalk_lines
from preview.floor.cut import cut_to, polygon_parts
from preview.floor.ends import edge_ends
from preview.floor.grilles import lay_grilles
from preview.floor.layout import Array, Board, ChalkLine, Layout, Pieces, Role
from preview.floor.measures import measure
from preview.floor.patterns import pattern_of
from preview.floor.patterns.fit import Fit
from preview.floor.patterns.interface import Placement
from preview.floor.remarks import remarks, small_ends
from preview.floor.slivers import sliver_mask
from preview.floor.stretches import edge_stretches
from preview.floor.thresholds import lay_thresholds
from preview.room.offset import GRID, parts
from preview.room.room import Room
from preview.scene.job import Job


def lay_floor(room: Room, job: Job) -> Layout:
    """Return the layout of `job` in `room`.

    Raises:
        SceneError: a board longer than the field, a centre line outside it.
    """
    check_edges(room, job)
    axis = find_axis(room, job)
    field = open_field(room)
    pattern = pattern_of(job)
    placement, fit, boards = place_boards(axis, job, field)

    border, border_remarks = lay_border(room, job.border)
    grilles, slots = lay_grilles(room)
    pieces = join([boards, _cut_round_vents(border, room), lay_thresholds(room), grilles])

    lines = chalk_lines(room, placement, field, job.floor.gap)
    if not lines:
        raise SceneError(
            job.place("floor"),
            "the field is too small for its boards: no corner at which two of them meet lies in it",
            "give smaller boards, or a narrower border",
        )
    across = placement.frame()[1]
    choice = job.floor
    board = board_of(job, placement, boards)
    stretches = edge_stretches(room, field, boards, axis.run, choice.gap)
    edge = "border line" if job.border.width > 0 else "edge line"
    layout = Layout(
        title=job.title,
        variant=job.variant,
        board=board,
        run=axis.run,
        count=len(distinct(boards.course)),
        course_width=placement.course_width,
        center_line=_through(room, across * axis.place, axis),
        lines=lines,
        chalk_offset=float(across @ lines[0].start) - axis.place,
        first=_first_pieces(placement, pieces, lines[0], choice.gap),
        border_line=room.border_line,
        border_width=job.border.width,
        strip_width=job.border.strip_width,
        inside_border=room.inside_border,
        field=room.field,
        pieces=pieces,
        slots=slots,
        beyond=lay_beyond(room, placement.board_width),
        measures={},
        warnings=(),
        stretches=stretches,
        ends=edge_ends(pattern, stretches, board, job.units),
        facts=pattern.facts(board, lines[0], edge, job.units),
        small=tuple(small_ends(room, axis, fit, placement, stretches)),
        mirrored=placement.mirrors_in(axis.place),
    )
    layout = replace(layout, measures=measure(room, layout, axis))
    said = (
        *room.warnings,
        *axis.remarks,
        *(() if axis.sides else (f"no wall runs with the courses, so {pattern.askew}",)),
        *fit.costs,
        *border_remarks,
        *remarks(room, layout, axis, fit, placement, job),
    )
    return replace(layout, warnings=tuple(dict.fromkeys(said)))


def board_of(job: Job, placement: Placement, boards: Pieces) -> Board:
    """Return what the boards of a floor are, as they are before they are cut."""
    choice, joint = job.floor, placement.reach.joint
    board = Board(choice.board_width, placement.length - joint, choice.thickness, choice.gap, joint)
    if placement.shortest == placement.length:
        return board
    return replace(board, shortest=placement.shortest - joint, mean=float(blank_lengths(boards).mean()) - joint)


def open_field(room: Room) -> BaseGeometry:
    """Return what the boards cover: the field less the frames of the grilles."""
    return _without_vents(np.array([room.field]), room)[0]


def place_boards(axis: Axis, job: Job, field: BaseGeometry) -> tuple[Placement, Fit, Pieces]:
    """Return the field's boards, with their placement and fit, cut to `field`.

    It is the first placing without slivers among the free choices of length and start, or the one with fewest.

    Raises:
        SceneError: too many boards, or one longer than the field.
    """
    pattern = pattern_of(job)
    if not parts(field):
        raise SceneError(
            job.place("vents"),
            "the grilles leave nothing of the field",
            "check their sizes, or make the border narrower",
        )
    check_board_count(axis, job, field, pattern.fitted(job))
    fewest: tuple[int, tuple[Placement, Fit, Pieces]] | None = None
    for fit in pattern.fits(axis, job):
        for placement in pattern.placements(axis, job, fit, field):
            boards = cut_to(placement, field)
            slivers = int(sliver_mask(boards.polygons[~boards.whole]).sum())
            if fewest is None or slivers < fewest[0]:
                fewest = (slivers, (placement, fit, boards))
            if slivers == 0:
                return fewest[1]
    assert fewest is not None
    return fewest[1]


def _first_pieces(placement: Placement, pieces: Pieces, line: ChalkLine, gap: float) -> tuple[int, ...]:
    """Return which pieces are those that are laid first, in the order of the work; those that were cut off altogether
    are left out."""
    found = []
    boards = np.flatnonzero(pieces.role == Role.BOARD)
    tree = shapely.STRtree(pieces.polygons[boards])
    for blank in placement.first_boards(line.start - placement.wood_corner(gap)):
        inner = blank.buffer(-0.1 * placement.board_width)
        met = tree.query(inner, predicate="intersects")
        if len(met):
            areas = shapely.area(shapely.intersection(pieces.polygons[boards[met]], inner))
            found.append(int(boards[met[areas.argmax()]]))
    return tuple(found)


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
    return replace(border.take(source), polygons=polygons)
