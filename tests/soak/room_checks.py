"""What must hold of any floor that is laid: its pieces tile the room, and what is printed is what lies there."""

from __future__ import annotations

import re

import numpy as np
import shapely
from shapely import Point

from preview.floor.laid import LaidFloor
from preview.floor.lay import open_field
from preview.floor.layout import Pieces, Role
from preview.room.obstacles import LEAST_OVERLAP

GRID = 0.7310585786e-9
"""Overlays are worked out on a grid this wide, metres: in floating point they now and then lose a part. An odd width,
so that no measure lies half way between two of its lines."""

COARSER = (GRID, 5.1 * GRID, 33.7 * GRID)
"""Where an overlay gives up on one grid, the next is tried."""

UNION = 1e-9
"""Pieces miss or share no more than this in all, square metres."""

MANY = ("boards", "bundles", "corners", "courses", "joints", "pieces", "rows", "sticks", "strips", "walls")
"""Things of which there may be one."""

NEAR = 1e-8
"""A piece lies in its blank to this, metres."""


def check_tiling(floor: LaidFloor) -> None:
    """Nothing missing, nothing twice, nothing outside: areas add up, and no two pieces overlap.

    A grille is laid as it was made, and may reach over an edge or another grille by as little as the room's check
    of it lets pass: that is taken off it here.
    """
    room, pieces = floor.room, floor.layout.pieces
    shapes = pieces.polygons[pieces.role != Role.THRESHOLD]
    grilles = np.flatnonzero(pieces.role[pieces.role != Role.THRESHOLD] == Role.GRILLE)
    shapes = np.concatenate([shapes, np.array(floor.layout.slots, object)])
    assert shapely.is_valid(shapes).all(), "a piece's outline crosses itself"
    beyond = 0.0
    if len(grilles):
        frames = np.array([each.polygon for each in room.vents])
        over = [overlaid(shapely.difference, each, room.floor) for each in frames]
        over += [
            overlaid(shapely.intersection, frames[one], frames[other])
            for one in range(len(frames))
            for other in range(one)
            if frames[one].intersects(frames[other])
        ]
        areas = shapely.area(np.array(over, object))
        assert areas.max() <= LEAST_OVERLAP, "a grille reaches over an edge"
        beyond = float(areas.sum())
    total = float(shapely.area(shapes).sum())
    assert abs(total - beyond - room.floor.area) < UNION, f"areas differ by {total - beyond - room.floor.area:.2g} m²"
    shapely.prepare(room.floor)
    crossing = shapes[~shapely.covers(room.floor, shapes)]
    outside = float(shapely.area(overlaid(shapely.difference, crossing, room.floor)).sum())
    assert outside - beyond < UNION, f"{outside:.2g} m² lie outside"
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    pair = one < other
    shared = float(shapely.area(overlaid(shapely.intersection, shapes[one[pair]], shapes[other[pair]])).sum())
    assert shared - beyond < UNION, f"pieces share {shared:.2g} m²"


def overlaid(overlay, one, other):
    """Return an overlay of two arrays of shapes on a grid."""
    for grid in COARSER[:-1]:
        try:
            return overlay(one, other, grid_size=grid)
        except shapely.errors.GEOSException:
            continue
    return overlay(one, other, grid_size=COARSER[-1])


def check_boards(floor: LaidFloor) -> None:
    """Boards fill the field; each piece lies in its blank; a whole one fills it, and no other does."""
    layout = floor.layout
    pieces = layout.pieces.take(layout.pieces.role == Role.BOARD)
    field = open_field(floor.room)
    assert abs(float(shapely.area(pieces.polygons).sum()) - field.area) < 1e-7, "the boards are not the field"
    long, wide = pieces.size.T
    long = long - np.abs(pieces.skew) * wide
    width, longest = layout.board.pitch
    assert len(pieces) and long.max() < longest + NEAR and (layout.board.mixed or long.max() > longest - 1e-6)
    assert np.allclose(wide, width, rtol=0, atol=NEAR), "boards of several widths"
    filled = shapely.area(pieces.polygons) / (width * long)
    assert (filled[pieces.whole] > 1 - 1e-6).all(), "a whole board does not fill its blank"
    assert (filled[~pieces.whole] < 1).all() and filled.max() < 1 + 1e-6, "a cut board fills its blank"
    along, across = _in_grain(pieces)
    owner = shapely.get_coordinates(pieces.polygons, return_index=True)[1]
    lead = np.maximum(0.0, -pieces.skew * pieces.size[:, 1])[owner]
    reach = along - lead - pieces.skew[owner] * across
    assert reach.min() > -NEAR and (long[owner] - reach).min() > -NEAR, "a piece is longer than its board"
    assert across.min() > -NEAR and across.max() < width + NEAR, "a piece is wider than its board"
    strips = layout.pieces.take(layout.pieces.role != Role.BOARD)
    if len(strips):
        owner = shapely.get_coordinates(strips.polygons, return_index=True)[1]
        places = np.stack(_in_grain(strips), axis=1)
        assert places.min() > -NEAR and (strips.size[owner] - places).min() > -NEAR, "a strip leaves its blank"


def _in_grain(pieces: Pieces) -> tuple[np.ndarray, np.ndarray]:
    """Return how far each corner lies along and across the grain of its piece, metres."""
    points, owner = shapely.get_coordinates(pieces.polygons, return_index=True)
    cos, sin = np.cos(pieces.grain)[owner], np.sin(pieces.grain)[owner]
    x, y = (points - pieces.origin[owner]).T
    return x * cos + y * sin, y * cos - x * sin


def check_words(floor: LaidFloor, lay: str, check: str) -> None:
    """What `lay` and `check` print of a floor, held against its pieces."""
    layout = floor.layout
    for line in layout.lines:
        assert layout.field.distance(Point(line.start)) < 2e-6, "a chalk line starts outside the field"
    words = lay + check
    for wrong in ("nan", "inf", "None"):
        assert wrong not in words.split(), f"{wrong} is printed"
    assert not re.search(r"(?<![\d(,×-] )(?<!\()-\d", lay.split("Cut field boards")[0]), (
        "a distance under nothing is printed"
    )
    ones = re.search(rf"(?<![\d/.,×-])(?<!\d )1 (?:{'|'.join(MANY)})\b", words)
    assert not ones, f"{ones and ones[0]} is printed"
    pieces = layout.pieces
    count = {role: int((pieces.role == role).sum()) for role in Role}
    board = pieces.role == Role.BOARD
    whole = int((pieces.whole & board).sum())
    said = _found(r"Pieces +([\d,]+) whole(?: \(([\d,]+) lean left, ([\d,]+) lean right\))?, ([\d,]+) cut", lay)
    assert said[0] == whole and said[3] == count[Role.BOARD] - whole, "pieces are miscounted"
    assert said[1] is None or said[1] + said[2] == whole, "leans are miscounted"
    courses = len(np.unique(pieces.course[board]))
    for text in (lay, check):
        assert _found(r"^  (?:Courses|Rows|Columns) +(\d+)", text) == [courses], "courses are miscounted"
        area, unit = re.search(r"^  Field .*?([\d,.]+) (sq ft|m²)", text, re.MULTILINE).groups()
        metric = float(area.replace(",", "")) * (0.09290304 if unit == "sq ft" else 1.0)
        step = 0.1 * 0.09290304 if unit == "sq ft" else 0.01
        laid = float(shapely.area(pieces.polygons[board]).sum())
        assert abs(metric - laid) < step / 2 + 1e-6, "the field's area is misprinted"
    for heading, role in (("Border", Role.BORDER), ("Feature strip", Role.STRIP), ("Thresholds", Role.THRESHOLD)):
        listed = _section(lay, heading)
        if count[role]:
            assert _found(r"^  (?:In all +)?([\d,]+) pieces?\b", listed) == [count[role]], f"{heading}: miscounted"
            rows = re.findall(r"^    ([\d,]+) of  ", listed, re.MULTILINE)
            assert sum(_number(each) for each in rows) == count[role], f"{heading}: the list is miscounted"
        else:
            assert heading == "Border" or not listed, f"{heading}: a list of nothing"
    listed = _section(lay, "Cut field boards")
    heads = re.findall(r"^  Along .*: ([\d,]+) pieces?(?:,|$)", listed, re.MULTILINE)
    assert sum(_number(each) for each in heads) == said[3], "cut boards are miscounted by where they lie"
    rows = re.findall(r"^    courses? (.*?)  +([\d,]+)(?: each)?: ", listed, re.MULTILINE)
    assert sum(_courses(named) * _number(each) for named, each in rows) == said[3], (
        "cut boards are miscounted by course"
    )


def _section(text: str, heading: str) -> str:
    """Return what stands under a heading, up to the next."""
    found = re.search(rf"^{heading}\n((?:(?: .*)?\n)*)", text, re.MULTILINE)
    return found[1] if found else ""


def _courses(named: str) -> int:
    """Return how many courses "1, 3, 5 ... 11" or "1, 3 and 7 to 9" are."""
    if "..." in named:
        first, second, *_, last = (int(each) for each in re.findall(r"\d+", named))
        return (last - first) // (second - first) + 1
    spans = (re.findall(r"\d+", each) for each in re.split(r", | and ", named))
    return sum(int(each[-1]) - int(each[0]) + 1 for each in spans)


def _found(pattern: str, text: str) -> list[int | None]:
    found = re.search(pattern, text, re.MULTILINE)
    assert found, f"{pattern} is not printed"
    return [None if each is None else _number(each) for each in found.groups()]


def _number(text: str) -> int:
    return int(text.replace(",", ""))
