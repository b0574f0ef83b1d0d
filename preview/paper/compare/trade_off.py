"""What variants are chosen by, in one large sentence each: only what differs, in the same words for all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

import numpy as np

from preview.floor.features import Feature, features
from preview.floor.laid import LaidFloor
from preview.paper.words.compare_rows import Compared, compared, finish_text
from preview.paper.words.light_rows import light_text
from preview.paper.words.line_words import TURNED, shared_features, the, towards
from preview.paper.words.numbers import and_list, long_text
from preview.paper.words.paint_words import STAND_IN, paint_lines
from preview.room.places import side_towards, wall_towards
from preview.scene.job import WoodChoice
from preview.units import format_length, round_length
from preview.vectors import right_of, unit

MOST_FEATURES = 2
"""Features of the room that a sentence holds the centre line against: one from which and one to which it runs."""

COUNTS = ("Courses", "Boards to cut", "Waste")
"""Rows that whoever lays the floor counts by: the card has them."""

ANGLED = re.compile(r"\bpieces of\b")
"""What is cut along a wall that stands at an angle to the courses is told by ranges that only the layer can use."""

MOST_ASPECTS = 3
"""Things that one sentence says; more of them are numbers among the others."""

MOST_ROWS = 5
"""Numbers that a page tells: more are no longer read."""


@dataclass(frozen=True)
class Aspect:
    """One thing that floors differ in: `what` it is, what is `said` of it of each floor, and the labels of the `rows`
    of a comparison that say no more than this."""

    what: str
    said: tuple[str, ...]
    rows: tuple[str, ...] = ()


def trade_offs(floors: Sequence[LaidFloor]) -> list[Aspect]:
    """Return what floors of one scene differ in, what counts for more first; where none of it is large, the first
    number that differs."""
    makers = (_pattern, _centred, _boards, _wood, _border, _strip, _paint, _light, _season)
    found = [each for make in makers for each in make(floors) if len(set(each.said)) > 1]
    if not found:
        rows = [each for each in compared(floors) if each.differs]
        first = next((each for each in rows if each.label not in COUNTS), None)
        if first is not None:
            found = [Aspect(_lower(first.label), tuple(f"{first.label}: {each}" for each in first.values))]
    return found[:MOST_ASPECTS]


def choice_text(floors: Sequence[LaidFloor], aspects: Sequence[Aspect]) -> str:
    """Return what is to be chosen, for all floors together, and why both can't be had where a line decides."""
    if not aspects:
        return "These differ in nothing that a picture shows." if len(floors) > 1 else ""
    first, *others = [each.what for each in aspects]
    told = [first, *(each.replace("the pattern", "it") if first == "the pattern" else each for each in others)]
    return f"The choice: {and_list(told)}.{_apart(floors)}"


def unnamed(said: str, name: str, alone: bool) -> str:
    """Return a sentence without what the variant's name over it has said already; nothing where it is `alone` and says
    no more than that."""
    start, _, rest = said.partition(": ")
    told = rest[:1].upper() + rest[1:] if rest and start.casefold() == name.casefold() else said
    return "" if alone and told.casefold() == name.casefold() else f"{told}."


def few_numbers(floors: Sequence[LaidFloor], aspects: Sequence[Aspect]) -> list[Compared]:
    """Return the few numbers that differ and that no sentence of `aspects` has said."""
    said = {row for each in aspects for row in each.rows} | set(COUNTS)
    rows = [each for each in compared(floors) if each.differs and each.label not in said]
    alike: dict[tuple[str, ...], list[str]] = {}
    for each in rows:
        if not any(ANGLED.search(value) for value in each.values):
            alike.setdefault(each.values, []).append(each.label)
    return [Compared(_together(labels), values) for values, labels in alike.items()][:MOST_ROWS]


def _together(labels: Sequence[str]) -> str:
    """Return the labels of rows that say the same as one."""
    if len(labels) > 1 and all(each.endswith(" wall") for each in labels):
        return f"{_upper(and_list([_lower(each.removesuffix(' wall')) for each in labels]))} walls"
    if len(labels) > 1 and all(each.startswith("Wall ") for each in labels):
        return f"Walls {and_list([each.removeprefix('Wall ') for each in labels])}"
    return _upper(and_list([_lower(each) for each in labels])) if len(labels) > 1 else labels[0]


def _centred(floors: Sequence[LaidFloor]) -> list[Aspect]:
    first = floors[0]
    if any(abs(np.sin(each.layout.run - first.layout.run)) > TURNED for each in floors):
        said = tuple(_turned(each) for each in floors)
        names = {each.name for floor in floors for each in features(floor.room, floor.layout)}
        rows = ("Centre line", *(f"At {the(name)}" for name in names))
        return [Aspect("which way the pattern runs", said, rows)]
    common = _decisive(floors)
    units = first.job.units
    room = any(
        not round_length(abs(floor.layout.measures["center_offset"]), units)
        and all(round_length(abs(each.taped), units) for each in near)
        for floor, near in zip(floors, common, strict=True)
    )
    said = tuple(_held(floor, each, room) for floor, each in zip(floors, common, strict=True))
    rows = ("Centre line", *(f"At {the(each.name)}" for each in common[0]))
    return [Aspect("what the pattern is centred on", said, rows)]


def _turned(floor: LaidFloor) -> str:
    """Say of a floor whose courses run another way than others' what they run in line with, else towards what."""
    units = floor.job.units
    on = [the(each.name) for each in features(floor.room, floor.layout) if not round_length(abs(each.taped), units)]
    if on:
        return f"In line with {and_list(on[:MOST_FEATURES])}"
    return f"The pattern runs towards {_towards_far(floor)}"


def _towards_far(floor: LaidFloor) -> str:
    """Return what courses run towards: the opening on the wall that they meet nearest to the line, else the wall."""
    room, along = floor.room, unit(floor.layout.run)
    wall, start = wall_towards(room, along), floor.layout.center_line[0]
    faced = [each for each in room.openings if each.wall == wall]
    if not faced:
        return side_towards(room, along)
    right = right_of(along)
    return the(min(faced, key=lambda each: abs(float((each.middle - start) @ right))).name)


def _decisive(floors: Sequence[LaidFloor]) -> list[list[Feature]]:
    """Return for each floor the same few features: those in whose middle one of the lines lies, else those near one."""
    common = shared_features(floors)
    units = floors[0].job.units

    def nearest(name: str) -> float:
        return min(abs(each[name].taped) for each in common)

    moved = [n for n in common[0] if len({round_length(each[n].taped, units) for each in common}) > 1]
    hit = [name for name in moved if not round_length(nearest(name), units)]
    chosen = sorted(hit or moved, key=nearest)[:MOST_FEATURES]
    return [[each[name] for name in common[0] if name in chosen] for each in common]


def _held(floor: LaidFloor, near: Sequence[Feature], room: bool) -> str:
    """Say of a floor what its line lies in the middle of, and how far off the middle of what; the `room` is told too
    where one of the floors is centred on that."""
    units = floor.job.units
    middle = floor.layout.measures["center_offset"]
    places = [(the(each.name), abs(each.taped)) for each in near]
    on = [name for name, off in places if not round_length(off, units)]
    if not places or (room and (not on or len(places) == 1)):
        places.append(("the room", abs(middle)))
    on = [name for name, off in places if not round_length(off, units)]
    apart = [
        f"{format_length(off, units)} off the middle of {name}" for name, off in places if round_length(off, units)
    ]
    if len(apart) == 1 and not on:
        aside = near[0].aside if near else middle
        apart = [f"{apart[0]}, towards {towards(floor.room, floor.layout, aside)}"]
    return "; ".join(filter(None, (f"Centred on {and_list(on)}" if on else "", " and ".join(apart))))


def _apart(floors: Sequence[LaidFloor]) -> str:
    """Say why a floor can't be centred on both of the features its line is held against; nothing where it can."""
    first = floors[0]
    if any(abs(np.sin(each.layout.run - first.layout.run)) > TURNED for each in floors):
        return ""
    names = [each.name for each in _decisive(floors)[0]]
    pair = [each for each in features(first.room, first.layout) if each.name in names]
    if len(pair) != 2 or pair[0].end == pair[1].end:
        return ""
    distance = round_length(abs(pair[0].aside - pair[1].aside), first.job.units)
    if not distance:
        return ""
    both = f"{the(pair[0].name)} and {the(pair[1].name)}"
    return (
        f" The middles of {both} lie {format_length(distance, first.job.units)} apart: "
        "the pattern can be centred on one of them, not on both."
    )


def _pattern(floors: Sequence[LaidFloor]) -> list[Aspect]:
    facts = [each.layout.facts for each in floors]
    looks = tuple(f"{_upper(each.name)}: {each.look}" for each in facts)
    if len({(each.name, each.look) for each in facts}) < len({(each.name, each.lie) for each in facts}):
        looks = tuple(f"{_upper(each.name)}, {each.lie}" for each in facts)
    return [Aspect("the pattern", looks, ("Pattern",))]


def _boards(floors: Sequence[LaidFloor]) -> list[Aspect]:
    """Return how wide boards are, and where the scene gives their length, how long: one that the program fitted to a
    line is a number among others."""
    units = floors[0].job.units
    widths = tuple(f"Boards {format_length(each.layout.board.width, units)} wide" for each in floors)
    given = {(each.job.floor.board_length, each.job.floor.lengths) for each in floors}
    one = len({each.layout.facts.name for each in floors}) == 1
    if one and len(given) > 1:
        lengths = tuple(f"{long_text(each.layout.board, units, format_length)} long" for each in floors)
        if len(set(widths)) == 1:
            return [Aspect("how long the boards are", tuple(f"Boards {each}" for each in lengths), ("Board",))]
        said = tuple(f"{wide} and {long}" for wide, long in zip(widths, lengths, strict=True))
        return [Aspect("the size of the boards", said, ("Board",))]
    return [Aspect("how wide the boards are", widths)]


def _wood(floors: Sequence[LaidFloor]) -> list[Aspect]:
    woods = [each.job.wood for each in floors]
    return [Aspect("the wood", _woods(floors, woods, True), ("Wood", "Grade", "Finish"))]


def _woods(floors: Sequence[LaidFloor], woods: Sequence[WoodChoice], finish: bool) -> tuple[str, ...]:
    """Say of each wood its species, and what else is not the same in all."""
    parts: list[Callable[[WoodChoice], str]] = [
        lambda wood: wood.cut,
        lambda wood: f"{wood.stain} stain" if wood.stain != "none" else "no stain",
        lambda wood: f"{wood.grade} grade",
        lambda wood: f"after {wood.age:g} years" if wood.age else "new",
    ]
    if finish:
        parts.append(lambda wood: finish_text(wood.finish, floors[0].job.materials))
    told = [part for part in parts if len({part(each) for each in woods}) > 1]
    return tuple(", ".join([_upper(each.species), *(part(each) for part in told)]) for each in woods)


def _border(floors: Sequence[LaidFloor]) -> list[Aspect]:
    units = floors[0].job.units
    widths = [format_length(each.layout.border_width, units) for each in floors]
    bordered = [each for each in floors if each.layout.border_width]
    own = any(_own_border(each, bordered[0]) for each in bordered)
    names = _woods(floors, [each.job.border_wood for each in floors], True) if own else ("",) * len(floors)

    def words(floor: LaidFloor, width: str, name: str) -> str:
        if not floor.layout.border_width:
            return "No border"
        return ", ".join(filter(None, (f"Border {width} wide", _lower(name))))

    said = tuple(words(*each) for each in zip(floors, widths, names, strict=True))
    return [Aspect("the border", said, ("Border",))]


def _own_border(floor: LaidFloor, base: LaidFloor) -> bool:
    """Return whether the border's wood is another than in `base` by more than what the field's wood differs in too."""
    here, there = floor.job, base.job
    return any(
        getattr(here.border_wood, each.name) != getattr(there.border_wood, each.name)
        and (
            getattr(here.border_wood, each.name) != getattr(here.wood, each.name)
            or getattr(here.wood, each.name) == getattr(there.wood, each.name)
        )
        for each in fields(WoodChoice)
    )


def _strip(floors: Sequence[LaidFloor]) -> list[Aspect]:
    strips = [each.job.border.strip for each in floors]
    units = floors[0].job.units
    said = tuple(
        f"Feature strip {format_length(each.width, units)} wide, {each.wood.species}" if each else "No feature strip"
        for each in strips
    )
    return [Aspect("the feature strip", said, ("Feature strip",))]


def _paint(floors: Sequence[LaidFloor]) -> list[Aspect]:
    found = []
    for label, paints in paint_lines(floors):
        surface = _upper(label.removeprefix("Paint of the "))
        said = tuple(f"{surface}: no paint chosen" if each == STAND_IN else f"{surface} {each}" for each in paints)
        found.append(Aspect(_lower(label), said, (label,)))
    return found


def _light(floors: Sequence[LaidFloor]) -> list[Aspect]:
    return [Aspect("the light", tuple(_upper(light_text(each.job.light)) for each in floors), ("Light",))]


def _season(floors: Sequence[LaidFloor]) -> list[Aspect]:
    shown = [each.job.wood.season for each in floors]
    said = tuple("Shown as laid" if each == "install" else f"Shown in {each}" for each in shown)
    return [Aspect("the season that the pictures show", said, ("Pictures show it",))]


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
