"""The cutting lists: every cut field board by what it is cut along and by course, every strip by its wall."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import radians, tan

import numpy as np

from preview.floor.cut_shapes import EndCut
from preview.floor.cuts import CutBoard, CutStrip, cut_boards, cut_strips, edge_names
from preview.floor.layout import Layout, Role
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import long_text, total_length
from preview.paper.words.shape_words import SQUARE, shape_words
from preview.room.places import side_name, wall_name
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_area, format_count, format_exact, format_length

BOARD_NOTES = (
    "Each piece lies face up, {uncut}. Long and short are its two edges; left or right is the side",
    "of the long point; the angle is off square. A piece that is sawn at both ends lies with its near end, the one",
    "towards the start, towards you. Where a piece has more cuts it is given by its corners, each so far from the left",
    "edge × so far from the end towards you. An uncut end is the board's own, with its groove or tongue; it is called",
    "near or far as the board lies in the floor. Hold every piece to its line on the floor before you saw.",
)

SQUARE_ENDS = 0.001
"""Ends that slant by less over a piece's width, metres, take no more of a stick than its edges are long."""

TINY = 0.01
"""A piece with no more than this along the grain, metres, can't be held at a saw: its place is filled. Common practice,
no published source."""

SAWN_STRIPS = (("Border", Role.BORDER), ("Feature strip", Role.STRIP), ("Thresholds", Role.THRESHOLD))
"""What is sawn to length of strips, and its heading."""

SAWN = (
    "Each piece lies face up, a square end towards you if it has one. Long and short are its two edges; left or right"
)
ROUND = {
    Role.BORDER: (
        SAWN,
        "is the side of the long point. The long edge lies at the wall unless the line says otherwise.",
    ),
    Role.STRIP: (
        SAWN,
        "is the side of the long point. The long edge faces the wall unless the line says otherwise.",
    ),
}
"""What of it runs round the floor, and how its list is read."""

List = tuple[str, tuple[str, ...], list["Group"]]
"""A cutting list: its heading, notes on how to read it, and its groups."""


@dataclass(frozen=True)
class Group:
    """Lines of a cutting list under a heading of their own."""

    heading: str
    rows: tuple[Row, ...]


def cutting_lists(room: Room, layout: Layout, units: Unit) -> list[List]:
    """Return the lists of border, feature strip, thresholds and cut field boards; one without a piece is left out."""
    found: list[List] = []
    for heading, role in SAWN_STRIPS:
        groups = strip_list(room, layout, role, units)
        if groups:
            notes = ROUND[role] if role in ROUND and bevelled(cut_strips(room, layout, role)) else ()
            found.append((heading, (strips_note(room, layout, role, units), *notes), groups))
    boards = board_list(room, layout, units)
    if boards:
        found.append(
            (
                "Cut field boards",
                (*(each.format(uncut=layout.facts.uncut) for each in BOARD_NOTES), *board_notes(room, layout, units)),
                boards,
            )
        )
    return found


def strips_note(room: Room, layout: Layout, role: Role, units: Unit) -> str:
    """Say how many strips there are, how wide they are and how long all together."""
    strips = layout.pieces.take(layout.pieces.role == role)
    words = f"{pieces_text(len(strips))} {format_length(float(np.median(strips.size[:, 1])), units)} wide"
    if len(strips) > 1:
        words += f", {total_length(float(strips.size[:, 0].sum()), units)} in all before waste"
    if role is Role.THRESHOLD:
        thick = format_length(room.wall_thickness, units)
        words += f", for walls {thick} thick: measure each opening before you rip"
    return f"{words}."


def board_notes(room: Room, layout: Layout, units: Unit) -> list[str]:
    """Say what leans which way, what the list leaves to the whole boards, and that both are the field."""
    cut = cut_boards(room, layout)
    pieces, board = layout.pieces, layout.board
    hands = layout.facts.hands
    odd = {hands[each.hand] for each in cut if each.course % 2 == 1}
    even = {hands[each.hand] for each in cut if each.course % 2 == 0}
    said = []
    if len(odd) == 1 and len(even) == 1 and odd != even:
        said.append(
            f"Odd courses {min(odd)}, even ones {min(even)}. They count from the left as one faces, as on the plan."
        )
    whole = int((pieces.whole & (pieces.role == Role.BOARD)).sum())
    area = sum(each.shape.area for each in cut)
    sizes = f"{long_text(board, units)} × {format_exact(board.width, units)}"
    joints = f", with joints of {format_exact(board.gap, units)}," if board.gap > 0 else ""
    said.append(
        f"The {pieces_text(len(cut))} of {format_area(area, units)} and {whole:,} whole boards of {sizes}{joints} are "
        f"the field's {format_area(layout.measures['field_area'], units)}."
    )
    return said


def board_list(room: Room, layout: Layout, units: Unit) -> list[Group]:
    """Return the cut field boards, grouped by what they are cut along; in a group by course, then long before short.

    A row's label names the courses, and its value says how many pieces there are in each of them and what is sawn.
    """
    groups: dict[tuple[str, ...], list[CutBoard]] = defaultdict(list)
    for each in cut_boards(room, layout):
        groups[each.along].append(each)
    order = {name: place for place, name in enumerate(edge_names(room))}
    ordered = sorted(groups.items(), key=lambda group: [order[name] for name in group[0]])
    found = []
    for names, pieces in ordered:
        kept = {each.keeps for each in pieces}
        alike = len(kept) == 1 and kept <= {"near", "far"}
        said = f", {min(kept)} {'end' if len(pieces) == 1 else 'ends'} uncut" if alike else ""
        heading = f"{_along(room, names)}: {pieces_text(len(pieces))}{said}"
        found.append(Group(heading, tuple(_board_rows(pieces, units, with_ends=not alike))))
    return found


def strip_list(room: Room, layout: Layout, role: Role, units: Unit) -> list[Group]:
    """Return the strips of one role, grouped by what they lie along, long before short."""
    groups: dict[str, list[CutStrip]] = defaultdict(list)
    for each in cut_strips(room, layout, role):
        groups[each.along].append(each)
    order = {name: place for place, name in enumerate([*edge_names(room), *(each.name for each in room.openings)])}
    found = []
    for name, pieces in sorted(groups.items(), key=lambda group: order[group[0]]):
        counts = Counter(strip_words(each, units) for each in sorted(pieces, key=lambda each: -each.shape.reach))
        heading = _along(room, (name,)) if role in ROUND else f"In the {name}"
        found.append(Group(heading, tuple((f"{count} of", words) for words, count in counts.items())))
    return found


def board_words(each: CutBoard, units: Unit, *, with_ends: bool = True) -> str:
    """Return what is sawn of a field board and, where that is to be told, which end it keeps."""
    kept = f"; {each.keeps} end uncut" if with_ends and each.keeps in ("near", "far") else ""
    words = shape_words(each.shape, units, sided=True, own=each.keeps in ("near", "far"))
    tiny = "; too small to saw: fill its place" if each.shape.reach < TINY and not words.startswith("sliver") else ""
    return f"{words}{kept}{tiny}"


def strip_words(each: CutStrip, units: Unit) -> str:
    """Return what is sawn of a strip, and which edge lies along the wall where that is not the long one."""
    words = shape_words(each.shape, units)
    if not isinstance(each.shape, EndCut):
        return words
    if abs(each.shape.left - each.shape.right) < SQUARE_ENDS:
        slant = each.shape.width * abs(tan(radians(each.shape.far)))
        return f"{words}, from {format_length(each.shape.long + slant, units)}" if slant > SQUARE_ENDS else words
    long = "left" if each.shape.left > each.shape.right else "right"
    at = "wall" if each.along.startswith("wall ") else each.along
    return words if long == each.wall else f"{words}; short edge at the {at}"


def bevelled(strips: Iterable[CutStrip]) -> bool:
    """Return whether any strip has an end that is not sawn square."""
    return any(
        isinstance(each.shape, EndCut) and max(abs(each.shape.near), abs(each.shape.far)) >= SQUARE for each in strips
    )


def courses_text(courses: Sequence[int]) -> str:
    """Return which courses, such as ``course 3``, ``courses 1 to 12``, ``courses 1, 3 and 7 to 9`` or ``courses 1, 3,
    5 ... 11``."""
    if len(courses) == 1:
        return f"course {courses[0]}"
    if len(courses) > 4 and len({b - a for a, b in pairwise(courses)} - {2}) == 0:
        return f"courses {courses[0]}, {courses[1]}, {courses[2]} ... {courses[-1]}"
    runs: list[list[int]] = []
    for course in courses:
        if runs and course == runs[-1][-1] + 1:
            runs[-1].append(course)
        else:
            runs.append([course])
    parts = [
        part
        for run in runs
        for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(course) for course in run])
    ]
    return "courses " + (f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else parts[0])


def pieces_text(count: int) -> str:
    """Return a count of pieces in words."""
    return format_count(count, "piece")


def _board_rows(pieces: Sequence[CutBoard], units: Unit, *, with_ends: bool) -> list[Row]:
    """Return the rows of one group: pieces that are sawn alike in one row, where a course has as many as the next."""
    alike: dict[str, Counter[int]] = defaultdict(Counter)
    for each in sorted(pieces, key=lambda each: (each.course, -each.shape.reach)):
        alike[board_words(each, units, with_ends=with_ends)][each.course] += 1
    rows: list[tuple[int, Row]] = []
    for words, counts in alike.items():
        for count in sorted(set(counts.values())):
            courses = sorted(course for course, here in counts.items() if here == count)
            each_of = f"{count}" if len(courses) == 1 else f"{count} each"
            rows.append((courses[0], (courses_text(courses), f"{each_of}: {words}")))
    return [row for _, row in sorted(rows, key=lambda row: row[0])]


def _along(room: Room, names: Sequence[str]) -> str:
    """Return what pieces are cut or lie along: a wall by what stands in it where it is the only one."""
    walls = {f"wall {number}": number for number in range(1, len(room.corners) + 1)}
    if len(names) == 1 and names[0] in walls:
        number = walls[names[0]]
        side = side_name(room, number)
        return f"Along {side if side != names[0] else wall_name(room, number)}"
    things = {each.name: f"the {each.name}" for each in room.obstacles}
    said = [things.get(name, name) for name in names]
    return f"Along {', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else f"Along {said[0]}"
