"""The seams of a layout: the lines along the run at which its courses meet, whatever its pattern."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from preview.floor.layout import Array, Layout, Role
from preview.vectors import axes

SAME = 0.002
"""Seams that lie within this of each other, metres, are taken for the same by the eye (by choice)."""


def seam_places(layout: Layout) -> Array:
    """Return how far right of the centre line each seam between two courses lies, (n,) metres, from the left.

    A seam is taken at its middle: that of a zigzag where boards cross it in turn. Whole boards of a course reach as far
    to its one side as to its other, so that the middle of a course is that of their reach.
    """
    _, right = axes(layout.run)
    pieces = layout.pieces
    chosen = np.flatnonzero((pieces.role == Role.BOARD) & pieces.whole)
    if not len(chosen):
        return np.zeros(0)
    corners, which = shapely.get_coordinates(pieces.polygons[chosen], return_index=True)
    aside = (corners - layout.center_line[0]) @ right
    courses, of_board = np.unique(pieces.course[chosen], return_inverse=True)
    low, high = np.full(len(courses), np.inf), np.full(len(courses), -np.inf)
    np.minimum.at(low, of_board[which], aside)
    np.maximum.at(high, of_board[which], aside)
    width = layout.course_width
    firsts = (low + high) / 2 - courses * width
    first = float(np.median(firsts))
    board = pieces.role == Role.BOARD
    least, most = pieces.course[board].min(), pieces.course[board].max()
    return first + (np.arange(least, most) + 0.5) * width


def seam_lines(layout: Layout, most: int | None = None) -> list[Array]:
    """Return the parts of the seams that lie in the field, (2, 2) plan metres each along the run; where `most` are
    asked for, only the seams nearest to the centre line, as many as that or one more where two are as near."""
    along, right = axes(layout.run)
    places = seam_places(layout)
    if most is not None and len(places) > most:
        places = places[np.abs(places) < np.sort(np.abs(places))[most - 1] + SAME]
    start = layout.center_line[0]
    reach = (shapely.get_coordinates(layout.field.envelope) - start) @ along
    ends = np.array([reach.min() - 1, reach.max() + 1])
    found = []
    for place in places:
        line = LineString(start + place * right + ends[:, None] * along)
        for part in shapely.get_parts(shapely.intersection(layout.field, line)):
            if isinstance(part, LineString) and part.length > 0:
                found.append(shapely.get_coordinates(part))
    return found


def same_seams(one: Layout, other: Layout) -> bool:
    """Return whether the courses of two layouts meet on the same lines, as far as one sees."""
    if abs(np.sin(one.run - other.run)) > SAME:
        return False
    _, right = axes(one.run)
    places = [
        np.sort((each.center_line[0] @ right) + np.sign(np.cos(each.run - one.run)) * seam_places(each))
        for each in (one, other)
    ]
    if not len(places[0]) or not len(places[1]):
        return len(places[0]) == len(places[1])
    if abs(one.course_width - other.course_width) > SAME:
        return False
    apart = (places[0][0] - places[1][0]) / one.course_width
    return bool(abs(apart - np.round(apart)) * one.course_width <= SAME)
