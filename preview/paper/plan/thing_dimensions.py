"""Measures of what stands in the room and of grilles, on plans for the customer: how large each is, and where."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preview.paper.plan.labels import Spot, spots_round
from preview.paper.plan.lettering import text_width
from preview.paper.plan.plan_dimensions import wall_frame
from preview.paper.plan.plan_svg import walls_only
from preview.paper.plan.svg_sheet import INK, Sheet
from preview.paper.words.numbers import bare_length
from preview.room.along_walls import AlongWall, along_wall
from preview.room.room import Room
from preview.scene.job import Unit

Array = NDArray[np.float64]

SAME = 2e-3
"""Metres: a distance that is no more is none."""

SIZE = 2.2
"""Millimetres, of the letters."""

ASIDE = 2.6
"""Millimetres from a wall, or from a thing that stands clear of it, to the line that says how far along it is."""


def size_text(polygon: Polygon, units: Unit) -> str:
    """Return how large a rectangle is, its longer side first: ``950 × 450``; nothing of another shape."""
    ring = np.asarray(polygon.exterior.coords)[:-1]
    if len(ring) != 4:
        return ""
    sides = sorted((float(np.hypot(*(ring[n + 1] - ring[n]))) for n in (0, 1)), reverse=True)
    return " × ".join(bare_length(each, units) for each in sides)


def draw_thing_dimensions(sheet: Sheet, room: Room, units: Unit) -> None:
    """Dimension how large things are, and where they stand: how far their nearer side, of a grille its middle, is from
    the nearer corner of their wall, and from the wall what doesn't touch it. A number that has no space is left out."""
    for polygon, middle in (
        *((each.polygon, False) for each in room.obstacles),
        *((each.polygon, True) for each in room.vents),
    ):
        _draw(sheet, room, polygon, units, middle=middle)
        _write_size(sheet, room, polygon, size_text(polygon, units))


def _write_size(sheet: Sheet, room: Room, polygon: Polygon, words: str) -> None:
    """Have the size of a thing stand in it, under its name, or round it."""
    west, south, east, north = polygon.bounds
    low, high = sheet.paper([west, north]), sheet.paper([east, south])
    middle, (wide, tall) = (low + high) / 2, np.abs(high - low)
    spots = []
    if text_width(words, SIZE) < wide and tall > 3.6 * SIZE:
        spots = [Spot.of(middle + np.array([0.0, sign * 1.25 * SIZE])) for sign in (1, -1)]
    row = np.array([0.0, 1.3 * SIZE])  # past the name, which has the best place
    spots += [*spots_round(low, high, words, SIZE), *spots_round(low - row, high + row, words, SIZE)]
    sheet.label(words, SIZE, spots, middle, rank=3, halo=True, off=walls_only(sheet, room), needed=False, fill=INK)


def _draw(sheet: Sheet, room: Room, polygon: Polygon, units: Unit, *, middle: bool) -> None:
    at = along_wall(room.corners, np.asarray(polygon.exterior.coords)[:-1])
    if at is None:
        return
    a, b, out = wall_frame(room, at.wall)
    along = (b - a) / at.length

    def point(t: float, clear: float) -> Array:
        return sheet.paper(a + along * t - out * clear)

    first = at.low <= at.length - at.high  # the corner that is nearer
    near, off = _taped(at, first, middle)
    level = (at.clear + at.far) / 2 if middle else at.clear + ASIDE * sheet.scale
    corner = 0.0 if first else at.length
    if abs(near - corner) > SAME:
        _dimension(sheet, point(corner, level), point(near, level), bare_length(abs(near - corner), units))
    if off > SAME:
        place = (at.low + at.high) / 2
        _dimension(sheet, point(place, 0.0), point(place, off), bare_length(off, units))


def _taped(at: AlongWall, first: bool, middle: bool) -> tuple[float, float]:
    """Return where along its wall a thing is taped to, and how far out from it, metres."""
    if middle:
        return (at.low + at.high) / 2, (at.clear + at.far) / 2
    return (at.low if first else at.high), at.clear


def _dimension(sheet: Sheet, a: Array, b: Array, text: str) -> None:
    sheet.dimension(a, b, text, color=INK, size=SIZE, halo=True, needed=False)
