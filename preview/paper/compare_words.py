"""What sets a variant apart, in a customer's words."""

from __future__ import annotations

from preview.floor.layout import Layout
from preview.paper.line_words import Floor
from preview.scene.job import Unit
from preview.units import format_length, round_length


def compare_words(floor: Floor, base: Floor) -> tuple[str, ...]:
    """Say what is otherwise in `floor` than in `base`, one sentence for each thing."""
    job, _, layout = floor
    units = job.units
    said = [_boards(layout, base[2], units), _courses(layout, base[2])]
    for side in ("left", "right"):
        said.append(_last(layout, base[2], side, units))
    for end in ("near", "far"):
        said.append(_triangles(layout, base[2], end, units))
    said.append(_count(layout, base[2], "cut_boards", "piece", "is cut", "are cut"))
    said.append(_count(layout, base[2], "blanks", "board", "is needed", "are needed"))
    return tuple(each for each in said if each)


def _boards(layout: Layout, base: Layout, units: Unit) -> str:
    parts = [
        _more(getattr(layout.board, name) - getattr(base.board, name), units, *words)
        for name, words in (("width", ("wider", "narrower")), ("length", ("longer", "shorter")))
    ]
    said = [part for part in parts if part]
    return f"The boards are {' and '.join(said)}." if said else ""


def _courses(layout: Layout, base: Layout) -> str:
    if layout.count == base.count:
        return ""
    return f"{layout.count} courses fill the room instead of {base.count}."


def _last(layout: Layout, base: Layout, side: str, units: Unit) -> str:
    here, there = (each.measures[f"last_piece_{side}"] for each in (layout, base))
    ends = [length <= each.board.width + each.board.gap for length, each in ((here, layout), (there, base))]
    if ends[0] != ends[1]:
        if not ends[0]:
            return (
                f"On the {side} the floor no longer ends in triangles: the last board is {format_length(here, units)}."
            )
        return f"On the {side} the floor now ends in triangles with legs of {format_length(here, units)}."
    what = "The triangles" if ends[0] else "The last board"
    more = _more(here - there, units, "longer", "shorter")
    return f"{what} on the {side} {'are' if ends[0] else 'is'} {more}." if more else ""


def _triangles(layout: Layout, base: Layout, end: str, units: Unit) -> str:
    legs = [each.measures[f"{end}_triangle"] for each in (layout, base)]
    full = [each.board.width + each.board.gap for each in (layout, base)]
    here, there = (
        "full" if format_length(a, units) == format_length(b, units) else f"{int(100 * a / b)} % of a full one"
        for a, b in zip(legs, full, strict=True)
    )
    if here == there:
        return ""
    return f"The triangles at the {end} end are {here} instead of {there}."


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
