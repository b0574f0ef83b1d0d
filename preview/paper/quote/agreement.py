"""What a customer agrees to with a signature, in plain words and in the units of the scene."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.paper.quote.price_lines import FloorPart
from preview.paper.words.compare_rows import Compared, by_part, finish_text, finishes, wood_text
from preview.paper.words.ends_text import every_wall
from preview.paper.words.layer_notes import Row
from preview.paper.words.line_words import line_words
from preview.paper.words.numbers import and_list, long_text
from preview.paper.words.paint_words import painted_words
from preview.paper.words.year import joint_text, year_words
from preview.room.measured import border_only
from preview.room.places import by_compass, edge_on_paper, offset_from_wall, side_name, the
from preview.room.room import Room
from preview.scene.job import Job, Unit, WoodChoice
from preview.units import format_area, format_exact, format_length

NO_REMARKS: Mapping[FloorPart, str] = MappingProxyType({})

LAYERS = frozenset({"Courses", "Boards to cut", "Waste"})
"""Lines of a comparison that tell a layer something and a customer nothing."""


def agreed_rows(floor: LaidFloor, remarks: Mapping[FloorPart, str] = NO_REMARKS) -> list[Row]:
    """Return the points that are settled by signing: centre line, boards, ends, border with its feature strip, grilles,
    wood. `remarks` on parts of the floor end what is said of them."""
    room, layout, job = floor.room, floor.layout, floor.job
    units = job.units
    rows = [
        (
            "Centre line",
            " ".join([f"The pattern is centred on {_center(room, job)}.", *line_words(room, layout, units)]),
        ),
        ("Boards", _boards(layout, units)),
        ("Where the boards end", " ".join(every_wall(room, layout, units))),
    ]
    if layout.border_width > 0:
        width = format_exact(layout.border_width, units)
        said = f"{width} of {ordered(job.border_wood)}, mitred at the corners."
        rows.append(("Border", " ".join([said, *_all_border(room), *_remark(remarks, "border")])))
        if strip := job.border.strip:
            width = format_exact(strip.width, units)
            said = f"{width} of {ordered(strip.wood)}, between border and boards, mitred at the corners."
            rows.append(("Feature strip", " ".join([said, *_remark(remarks, "strip")])))
    else:
        rows.append(("Border", "None: the pattern runs to the walls."))
    rows += _doorways(floor, _remark(remarks, "thresholds"))
    if room.vents:
        names = and_list([vent.name for vent in room.vents])
        count = "1 flush wooden grille" if len(room.vents) == 1 else f"{len(room.vents)} flush wooden grilles"
        said = f"{count}: {names}, where the plan shows {'it' if len(room.vents) == 1 else 'them'}."
        rows.append(("Grilles", " ".join([said, *_straddling(room), *_remark(remarks, "grilles")])))
    if words := year_words(floor):
        rows.append(("Through the year", words))
    if words := painted_words(job, room):
        said = f"The pictures show {words}. Painting is not part of this work unless a line of the price names it."
        rows.append(("Paint", said))
    return rows


def floor_rows(layout: Layout, job: Job) -> list[Row]:
    """Return what the floor is made of."""
    units, board = job.units, layout.board
    wide, thick = (format_exact(each, units) for each in (board.width, board.thickness))
    sizes = f"{wide} × {long_text(board, units)} × {thick}"
    border = "none"
    if layout.border_width > 0:
        border = f"{format_exact(layout.border_width, units)}, {ordered(job.border_wood)}"
    strip = job.border.strip
    return [
        ("Wood", ordered(job.wood)),
        ("Grade", by_part(job, [each.grade for each in job.woods])),
        ("Finish", by_part(job, finishes(job))),
        ("Boards", f"{sizes} (width, length, thickness)"),
        ("Border", border),
        *([("Feature strip", f"{format_exact(strip.width, units)}, {ordered(strip.wood)}")] if strip else []),
        ("Area", _area(layout, units)),
    ]


def _area(layout: Layout, units: Unit) -> str:
    """Return the floor's area with what is counted in it, and the pattern's where that is less."""
    numbers = layout.measures
    whole, field = (format_area(numbers[each], units) for each in ("floor_area", "field_area"))
    grilles = int(numbers["grilles"])
    beside = ["border"] * (layout.border_width > 0) + ["feature strip"] * (layout.strip_width > 0)
    beside += ["grille" if grilles == 1 else "grilles"] * (grilles > 0)
    doorways = ", without what lies in doorways" if numbers["threshold_pieces"] else ""
    if not beside:
        return f"{whole}{doorways}"
    return f"{whole} with {and_list(beside)}{doorways}; {field} of it {layout.facts.name}"


def for_customer(lines: Sequence[Compared]) -> list[Compared]:
    """Return the lines of a comparison that a customer chooses by: the centre line by what stands at its ends, where
    anything does."""
    told = [
        replace(line, label=f"Centre line at {line.label.removeprefix('At ')}")
        if line.label.startswith("At ")
        else line
        for line in lines
        if line.label not in LAYERS
    ]
    by_features = any(line.label.startswith("Centre line at ") for line in told)
    return [line for line in told if not (by_features and line.label == "Centre line")]


def differences(floors: Sequence[LaidFloor], lines: Sequence[Compared]) -> list[tuple[str, list[Row]]]:
    """Return each variant after the first by name, with the rows in which it differs from the first."""
    return [
        (floor.job.variant, [(line.label, line.values[n]) for line in lines if line.values[n] != line.values[0]])
        for n, floor in enumerate(floors)
        if n > 0
    ]


def wall_words(room: Room) -> str:
    """Say by what the sheet calls walls, and where they are found by it."""
    if by_compass(room):
        return "Walls are named by the compass and numbered in the plan; the arrow shows north."
    return "Walls are called by the numbers that they have in the plan."


def sample_words(job: Job) -> str:
    """Say of which woods a sample is to be seen before the floor is ordered, each in its finish."""
    woods = job.woods if job.border.width > 0 else job.woods[:1]
    named = list(dict.fromkeys(f"{ordered(wood)}, {finish_text(wood.finish, job.materials)}" for wood in woods))
    return f"The customer has seen and accepted a sample of the wood in its finish: {'; '.join(named)}."


def _boards(layout: Layout, units: Unit) -> str:
    board = layout.board
    wide, thick = (format_exact(each, units) for each in (board.width, board.thickness))
    joints = f", with joints of {joint_text(board.gap, units)}" if board.gap else ""
    said = f"{wide} wide, {long_text(board, units)} long, {thick} thick"
    return f"{said}{joints}, {layout.facts.lie}."


def _center(room: Room, job: Job) -> str:
    """Return what the pattern is centred on; a point by how one finds it with a tape."""
    center = job.floor.center
    if center.kind == "opening":
        return the(str(center.opening))
    if center.kind == "room" or center.point is None:
        return "the room"
    try:
        found = offset_from_wall(room, np.array(center.point))
    except ValueError:
        return "a point outside the room, which only the centre line below tells"
    count = len(room.corners)
    other = (found.wall - 2) % count + 1 if found.corner == found.wall - 1 else found.wall % count + 1
    wall, beside = side_name(room, found.wall), side_name(room, other)
    square, along = (format_length(each, job.units) for each in (found.square, found.along))
    return f"a point {square} out from {wall}, square to it, and {along} along that wall from its corner with {beside}"


def ordered(wood: WoodChoice) -> str:
    """Return a wood in words as it is ordered, new."""
    return wood_text(replace(wood, age=0.0))


def _remark(remarks: Mapping[FloorPart, str], part: FloorPart) -> list[str]:
    return [remarks[part]] if part in remarks else []


def _doorways(floor: LaidFloor, remark: Sequence[str]) -> list[Row]:
    """Return the row of the thresholds, nothing where there is none."""
    laid = floor.layout.pieces.key[floor.layout.pieces.role == Role.THRESHOLD, 0]
    names = [the(floor.room.openings[number].name) for number in dict.fromkeys(int(each) for each in laid)]
    if not names:
        return []
    wood = floor.job.border_wood.species
    what = "A threshold" if len(names) == 1 else "Thresholds"
    return [("Doorways", " ".join([f"{what} of {wood} in {and_list(names)}.", *remark]))]


def _all_border(room: Room) -> list[str]:
    """Say where the floor is too narrow for the pattern."""
    places = list(dict.fromkeys(edge_on_paper(room, each.representative_point()) for each in border_only(room)))
    return [f"By {and_list(places)} the floor is too narrow for the pattern and is all border."] if places else []


def _straddling(room: Room) -> list[str]:
    """Name the grilles that lie partly in the border."""
    inside = [(each, each.polygon.intersection(room.field).area / each.polygon.area) for each in room.vents]
    names = [each.name for each, share in inside if 1e-6 < share < 1 - 1e-6]
    if not names or room.border_line <= room.edge:
        return []
    edge = "border and its feature strip" if room.strip_line < room.border_line else "border"
    return [f"{and_list(names)} {'lies' if len(names) == 1 else 'lie'} partly in the {edge}."]
