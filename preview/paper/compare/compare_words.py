"""What sets a variant apart, in a customer's words."""

from __future__ import annotations

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.paper.words.ends_text import short_ends
from preview.paper.words.numbers import and_list, long_text
from preview.paper.words.paint_words import paint_lines
from preview.scene.job import Unit
from preview.units import format_length, round_length


def compare_words(floor: LaidFloor, base: LaidFloor) -> tuple[str, ...]:
    """Say what is otherwise in `floor` than in `base`, one sentence for each thing."""
    layout, other, units = floor.layout, base.layout, floor.job.units
    said = [
        _pattern(layout, other),
        _boards(layout, other, units),
        _courses(layout, other),
        *_ends(layout, other, units),
    ]
    said.append(_count(layout, other, "cut_boards", "piece", "is cut", "are cut"))
    said.append(_count(layout, other, "blanks", "board", "is needed", "are needed"))
    said.append(_paint(floor, base))
    return tuple(each for each in said if each)


def _pattern(layout: Layout, base: Layout) -> str:
    """Say that the pattern is another, or the same laid otherwise."""
    here, there = layout.facts, base.facts
    if here.name != there.name:
        new, old = (f"{each.name}, {each.variety}," if each.variety else each.name for each in (here, there))
        return f"The pattern is {new} instead of {old.rstrip(',')}."
    return f"The boards are laid {here.lie}, instead of {there.lie}." if here.lie != there.lie else ""


def _boards(layout: Layout, base: Layout, units: Unit) -> str:
    parts = [
        _more(getattr(layout.board, name) - getattr(base.board, name), units, *words)
        for name, words in (("width", ("wider", "narrower")), ("length", ("longer", "shorter")))
    ]
    said = [part for part in parts if part]
    if layout.board.mixed != base.board.mixed:
        here, there = (long_text(each.board, units, format_length) for each in (layout, base))
        said = [*filter(None, parts[:1]), f"{here} long instead of {there}"]
    return f"The boards are {' and '.join(said)}." if said else ""


def _paint(floor: LaidFloor, base: LaidFloor) -> str:
    """Say what is painted otherwise."""
    changed = [
        f"{label[:1].lower()}{label[1:]} is {paints[0]} instead of {paints[1]}"
        for label, paints in paint_lines((floor, base))
        if paints[0] != paints[1]
    ]
    return f"The {and_list(changed)}." if changed else ""


def _courses(layout: Layout, base: Layout) -> str:
    if layout.count == base.count:
        return ""
    return f"{layout.count} courses fill the room instead of {base.count}."


def _ends(layout: Layout, base: Layout, units: Unit) -> list[str]:
    """Say at which of the longest walls the boards come to something else."""
    return [
        f"{label}: {values[0]} instead of {values[1]}."
        for label, values in short_ends([each.ends for each in (layout, base)])
        if values[0] != values[1]
    ]


def _count(layout: Layout, base: Layout, name: str, what: str, one: str, many: str) -> str:
    change = int(layout.measures[name] - base.measures[name])
    if change == 0:
        return ""
    things, verb = (what, one) if abs(change) == 1 else (f"{what}s", many)
    return f"{abs(change):,} {'more' if change > 0 else 'fewer'} {things} {verb}."


def _more(difference: float, units: Unit, more: str, less: str) -> str:
    """Return how much longer or shorter, rounded as it is printed; nothing where that is nothing."""
    rounded = round_length(abs(difference), units)
    return f"{format_length(rounded, units)} {more if difference > 0 else less}" if rounded else ""
