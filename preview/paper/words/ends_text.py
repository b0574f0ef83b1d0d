"""What the boards come to at the edge of the field, in words: along each wall and round what stands in the room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from preview.floor.layout import Board, Layout
from preview.floor.stretches import Facing, Meets, Sizes, Stretch
from preview.paper.words.line_words import the
from preview.paper.words.numbers import and_list
from preview.scene.job import Unit
from preview.units import format_length

MOST_SENTENCES = 4
"""Sentences of one short list: a rectangle's four sides."""

CUSTOMER = 2
"""Sentences about the walls that a customer reads of a room of many."""

NAMED = 3
"""Obstacles that a sentence names; the rest are counted."""

MOST_WALLS = 6
"""Walls by which variants are held against each other, the longest."""


@dataclass(frozen=True)
class EndsAlong:
    """What meets one wall, or what one obstacle stops, all its stretches of a kind taken together; `wall` is 0 at an
    obstacle. `text` says it in words that go for any wall alike, and `corners` adds smaller pieces in its corners."""

    name: str
    wall: int
    meets: Meets
    facing: Facing
    length: float
    text: str
    corners: str

    @property
    def label(self) -> str:
        """The name as a row begins with it."""
        bare = self.name.removeprefix("the ")
        return bare[:1].upper() + bare[1:]


def told_ends(layout: Layout, units: Unit) -> list[EndsAlong]:
    """Return every wall, then every obstacle, with what the boards come to there; grilles only cut a few boards."""
    groups: dict[tuple[int, str, Meets], list[Stretch]] = {}
    for each in layout.stretches:
        if each.kind != "grille":
            groups.setdefault((each.wall, each.name, each.meets), []).append(each)
    return [_told(name, wall, meets, group, layout.board, units) for (wall, name, meets), group in groups.items()]


def ends_text(layout: Layout, units: Unit) -> list[tuple[str, str]]:
    """Return a row for each wall and each thing that the boards stop at."""
    rows = []
    before = ""
    for each in told_ends(layout, units):
        where = {"near": "near end", "far": "far end", "left": "side", "right": "side"}.get(each.facing, "")
        if not each.wall and where:
            where = "ends of courses" if each.meets == "ends" else "side of a course"
        lead = f"{where}: " if where else ""
        rows.append(("" if each.label == before else each.label, f"{lead}{each.text}{each.corners}"))
        before = each.label
    return rows


def ends_sentences(layout: Layout, units: Unit, most: int = MOST_SENTENCES, listed: bool = True) -> list[str]:
    """Return the same in few sentences: walls where the same happens in one, the longest `most` of them, then what
    stands in the room. Where walls are left out, who reads it beside the full list (`listed`) is told so; for others
    two sentences are enough in a room of more walls than `most` tell."""
    walls = [each for each in told_ends(layout, units) if each.wall]
    groups = _alike(walls)
    told = groups[: most if listed or len(groups) <= most else CUSTOMER]
    said = [f"{_place(group, walls)}: {group[0].text}." for group in told]
    if listed and len(groups) > most:
        said.append("What shorter walls come to is in the layer's list.")
    things = [each for each in layout.stretches if each.kind == "obstacle"]
    if things:
        names = list(dict.fromkeys(each.name for each in things))
        shown = names if len(names) <= NAMED else [*names[:NAMED], f"{len(names) - NAMED} more"]
        boards, triangles, corners = (
            _together([getattr(each, kind) for each in things]) for kind in ("boards", "triangles", "corners")
        )
        if triangles:
            text = _legs(triangles, layout.board, units)
        else:
            text = f"boards cut to {_range([boards], units)}" if boards else _corners(corners, units)
        said.append(f"Round {the(names[0]) if len(names) == 1 else and_list(shown)}: {text}.")
    return said


def ends_rows(layout: Layout, units: Unit, most: int = MOST_SENTENCES) -> list[tuple[str, str]]:
    """Return the same of the longest walls in short rows, for a plan, on which walls are numbered."""
    rows = []
    for group in _alike(each for each in told_ends(layout, units) if each.wall)[:most]:
        walls = sorted({each.wall for each in group})
        rows.append((f"Wall{'s' if len(walls) > 1 else ''} {and_list([str(wall) for wall in walls])}", group[0].text))
    return rows


def _alike(told: Iterable[EndsAlong]) -> list[list[EndsAlong]]:
    """Return what is told in groups that say the same, the longest first."""
    groups: dict[str, list[EndsAlong]] = {}
    for each in told:
        groups.setdefault(each.text, []).append(each)
    return sorted(groups.values(), key=lambda group: -sum(each.length for each in group))


def _place(group: Sequence[EndsAlong], walls: Sequence[EndsAlong]) -> str:
    """Return at which of all `walls` the same happens."""
    if len(group) > 2 and len(group) == len(walls):
        return "Along every wall"
    names = and_list(list(dict.fromkeys(each.name for each in group)))
    return f"{'At' if all(each.meets == 'ends' for each in group) else 'Along'} {names}"


def _told(name: str, wall: int, meets: Meets, group: Sequence[Stretch], board: Board, units: Unit) -> EndsAlong:
    boards, triangles, corners = (
        _together([getattr(each, kind) for each in group]) for kind in ("boards", "triangles", "corners")
    )
    longest = max(group, key=lambda each: each.length)
    if boards is None and triangles is None:
        text = _corners(corners, units)
        return EndsAlong(name, wall, meets, longest.facing, sum(each.length for each in group), text, "")
    if meets == "angled":
        text = _angled(boards, triangles, float(np.degrees(longest.angle)), board, units)
    elif meets == "sides":
        text = _side(boards, triangles, board, units)
    else:
        text = _end(boards, triangles, board, units)
    own = min(each.shortest for each in (boards, triangles) if each)
    smaller = corners is not None and format_length(corners.shortest, units) != format_length(own, units)
    aside = (
        f"; in corners from {_size(corners.shortest, units)}" if corners and smaller and corners.shortest < own else ""
    )
    return EndsAlong(name, wall, meets, longest.facing, sum(each.length for each in group), text, aside)


def _corners(corners: Sizes | None, units: Unit) -> str:
    return f"cut in corners only, pieces of {_range([corners], units)}" if corners else "whole boards"


def _together(sizes: Iterable[Sizes | None]) -> Sizes | None:
    """Return the sizes of several lots of pieces as one."""
    found = [each for each in sizes if each]
    if not found:
        return None
    return Sizes(
        sum(each.count for each in found),
        min(each.shortest for each in found),
        max(each.longest for each in found),
        min(each.narrowest for each in found),
        max(each.widest for each in found),
    )


def _end(boards: Sizes | None, triangles: Sizes | None, board: Board, units: Unit) -> str:
    if triangles is None:
        return f"boards cut to {_range([boards], units)}"
    return _legs(triangles, board, units)


def _side(boards: Sizes | None, triangles: Sizes | None, board: Board, units: Unit) -> str:
    full = format_length(board.length, units)
    cut = boards is not None and format_length(boards.shortest, units) != full
    parts = []
    if triangles:
        parts.append(_legs(triangles, board, units))
    if cut or not triangles:
        parts.append(f"boards cut to {_range([boards], units)}" if cut else f"full boards of {full}")
    return " and ".join(parts)


def _angled(boards: Sizes | None, triangles: Sizes | None, angle: float, board: Board, units: Unit) -> str:
    narrow = min(each.narrowest for each in (boards, triangles) if each)
    text = f"boards cut at {angle:.0f}° to the courses, pieces of {_range([boards, triangles], units)}"
    if format_length(narrow, units) == format_length(board.width, units):
        return text
    return f"{text}, the narrowest {_size(narrow, units)} wide"


def _legs(triangles: Sizes, board: Board, units: Unit) -> str:
    """Return triangles by their legs, called full only where the legs of every one are as long as a board is wide."""
    full = format_length(board.width, units)
    least, most = min(triangles.shortest, triangles.narrowest), max(triangles.longest, triangles.widest)
    if format_length(least, units) == format_length(most, units) == full:
        return "full triangles"
    return f"triangles with legs of {_span(least, most, units)} (full: {full})"


def _range(sizes: Iterable[Sizes | None], units: Unit) -> str:
    found = _together(sizes)
    return _span(found.shortest, found.longest, units) if found else ""


def _span(least: float, most: float, units: Unit) -> str:
    """Return a range of lengths, one of them where they print alike."""
    low, high = format_length(least, units), format_length(most, units)
    if low == high:
        return _size(least, units)
    return f"up to {high}" if low == format_length(0.0, units) else f"{low} to {high}"


def _size(length: float, units: Unit) -> str:
    words = format_length(length, units)
    return words if words != format_length(0.0, units) else "next to nothing"


def short_ends(floors: Sequence[tuple[Board, Sequence[Stretch]]], units: Unit) -> list[tuple[str, list[str]]]:
    """Return a row for each of the longest walls, with what is cut there in each layout, in a word or two."""
    own = [(board.width, {each.wall: each for each in stretches if each.wall}) for board, stretches in floors]
    lengths: dict[int, float] = {}
    for _, walls in own:
        for wall, each in walls.items():
            lengths[wall] = max(each.length, lengths.get(wall, 0.0))
    longest = sorted(sorted(lengths, key=lambda wall: -lengths[wall])[:MOST_WALLS])
    return [
        (
            next(_short_name(walls[wall]) for _, walls in own if wall in walls),
            [_short(walls[wall], full, units) if wall in walls else "no boards" for full, walls in own],
        )
        for wall in longest
    ]


def _short_name(each: Stretch) -> str:
    """Return a wall's name without its number where it has both: ``South wall``, ``Wall 6``."""
    bare = each.name.removeprefix("the ").partition(" (")[0]
    return bare[:1].upper() + bare[1:]


def _short(each: Stretch, full: float, units: Unit) -> str:
    boards, triangles = each.boards, each.triangles
    if each.meets == "angled":
        return f"at {np.degrees(each.angle):.0f}°, {_range([boards, triangles], units) or 'whole boards'}"
    if not triangles:
        return f"boards of {_range([boards], units)}" if boards else "corners only" if each.corners else "whole boards"
    least, most = min(triangles.shortest, triangles.narrowest), max(triangles.longest, triangles.widest)
    if format_length(least, units) == format_length(most, units) == format_length(full, units):
        return "full triangles"
    return f"triangles of {_span(least, most, units)}"
