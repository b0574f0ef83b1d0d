"""What the boards come to at the edge of the field, in words: along each wall and round what stands in the room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from preview.floor.facts import AllEnds, EndsAlong
from preview.floor.layout import Layout
from preview.paper.words.numbers import and_list
from preview.room.places import side_name, the
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length

MOST_SENTENCES = 4
"""Sentences of one short list: a rectangle's four sides."""

CUSTOMER = 2
"""Sentences about the walls that a customer reads of a room of many, before the one that tells all that are left."""

NAMED = 3
"""Obstacles that a sentence names; the rest are counted."""

CUT = {
    "boards cut to follow the edge": "boards cut to follow the edge",
    "boards cut to ": "boards cut to length",
    "triangles with short sides ": "triangles with short sides",
    "full triangles": "triangles with short sides",
}
"""How boards are cut along a wall: what its words begin with, and how walls of different lengths are told together."""

MOST_WALLS = 6
"""Walls by which variants are held against each other, the longest."""


def ends_text(layout: Layout) -> list[tuple[str, str]]:
    """Return a row for each wall and each thing that the boards stop at."""
    rows = []
    before = ""
    for each in layout.ends.each:
        where = {"near": "near end", "far": "far end", "left": "side", "right": "side"}.get(each.facing, "")
        if not each.wall and where:
            where = "ends of courses" if each.meets == "ends" else "side of a course"
        lead = f"{where}: " if where else ""
        rows.append(("" if each.label == before else each.label, f"{lead}{each.text}{each.corners}"))
        before = each.label
    return rows


def ends_sentences(layout: Layout, most: int = MOST_SENTENCES) -> list[str]:
    """Return the same in few sentences for who has the full list besides: walls where the same happens in one, the
    longest `most` of them, the smallest pieces among them, then what stands in the room."""
    walls = [each for each in layout.ends.each if each.wall]
    groups = _alike(walls)
    told = _told(groups, most)
    said = [f"{_place(group, walls)}: {group[0].text}." for group in told]
    if len(groups) > most:
        said.append("What shorter walls come to is in the layer's list.")
    return [*said, *_round(layout)]


def every_wall(room: Room, layout: Layout, units: Unit) -> list[str]:
    """Return the same for who has no other list: every wall of the room is named, those that come to many things
    together, by their smallest piece."""
    walls = [each for each in layout.ends.each if each.wall]
    groups = _alike(walls)
    told = groups if len(groups) <= MOST_SENTENCES else _told(groups, CUSTOMER)
    bare = [n for n in range(1, len(room.corners) + 1) if n not in {each.wall for each in walls}]
    said = [f"{_place(group, [] if bare else walls)}: {group[0].text}." for group in told]
    rest = [each for group in groups if group not in told for each in group]
    for words, alike in _kinds(rest):
        said.append(f"Along {_names(alike)}: {words}{_none_shorter(alike, units)}.")
    if bare:
        said.append(f"No boards end at {and_list([side_name(room, each) for each in bare])}.")
    return [*said, *_round(layout)]


def _kinds(walls: Sequence[EndsAlong]) -> list[tuple[str, list[EndsAlong]]]:
    """Return walls by how their boards are cut, in the words that the layer's card has for it too."""
    found: dict[str, list[EndsAlong]] = {}
    for each in walls:
        words = next((told for begins, told in CUT.items() if each.text.startswith(begins)), "cut pieces")
        found.setdefault(words, []).append(each)
    return sorted(found.items())


def _none_shorter(walls: Sequence[EndsAlong], units: Unit) -> str:
    """Return the length of the shortest piece along walls; nothing where that is too little to print."""
    least = format_length(min(each.least for each in walls), units)
    if least == format_length(0.0, units):
        return ""
    return f", none shorter than {least}{' except in corners' if any(each.corners for each in walls) else ''}"


def _told(groups: Sequence[list[EndsAlong]], most: int) -> list[list[EndsAlong]]:
    """Return the first groups, with the one of the smallest pieces among them: whoever signs, or saws, must not miss
    these."""
    told = list(groups[:most])
    worst = min(groups, key=lambda group: min(each.least for each in group), default=None)
    return told if worst is None or worst in told else [*told[:-1], worst]


def _round(layout: Layout) -> list[str]:
    """Say what is cut round the things that stand in the room."""
    names = list(dict.fromkeys(each.name for each in layout.ends.each if each.kind == "obstacle"))
    if not names:
        return []
    named = [the(each) for each in names[:NAMED]]
    shown = named if len(names) <= NAMED else [*named, f"{len(names) - NAMED} more"]
    return [f"Round {and_list(shown)}: {layout.ends.round}."]


def ends_rows(layout: Layout, most: int = MOST_SENTENCES) -> list[tuple[str, str]]:
    """Return the same of the longest walls in short rows, for a plan, on which walls are numbered."""
    rows = []
    for group in _alike(each for each in layout.ends.each if each.wall)[:most]:
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
    return f"{'At' if all(each.meets == 'ends' for each in group) else 'Along'} {_names(group)}"


def _names(group: Iterable[EndsAlong]) -> str:
    return and_list(list(dict.fromkeys(each.name for each in sorted(group, key=lambda each: each.wall))))


def short_ends(floors: Sequence[AllEnds]) -> list[tuple[str, list[str]]]:
    """Return a row for each of the longest walls, with what is cut there in each layout, in a word or two."""
    own = [{each.wall: each for each in ends.each if each.wall} for ends in floors]
    lengths: dict[int, float] = {}
    for walls in own:
        for wall, each in walls.items():
            lengths[wall] = max(each.length, lengths.get(wall, 0.0))
    longest = sorted(sorted(lengths, key=lambda wall: -lengths[wall])[:MOST_WALLS])
    return [
        (
            next(_short_name(walls[wall]) for walls in own if wall in walls),
            [walls[wall].short if wall in walls else "no boards" for walls in own],
        )
        for wall in longest
    ]


def _short_name(each: EndsAlong) -> str:
    """Return a wall's name without its number where it has both: ``South wall``, ``Wall 6``."""
    bare = each.name.removeprefix("the ").partition(" (")[0]
    return bare[:1].upper() + bare[1:]
