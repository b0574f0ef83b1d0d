"""How one answer to `preview new` is read: each returns what was said, or raises MeasureError with what is accepted."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from preview.letters import plain, same
from preview.scene.job import Leg, Unit
from preview.scene.nodes import suggest
from preview.scene.paint_names import paint_named, unknown_paint
from preview.scene.woods import named
from preview.units import MeasureError, format_length, parse_bearing, parse_leg, parse_length


def name(text: str) -> str:
    """Read a name of 1 to 200 letters."""
    found = plain(text)
    if not 0 < len(found) <= 200:
        raise MeasureError(f"a name of {len(found)} letters", "write one of 1 to 200")
    return found


def one_of(names: Sequence[str]) -> Callable[[str], str]:
    """Return the reader of one of `names`, in capitals or not."""

    def read(text: str) -> str:
        found = next((each for each in names if same(each) == same(text.strip())), None)
        if found is None:
            raise MeasureError(f'"{text}" is not among the answers', suggest(text, names))
        return found

    return read


def material(names: Mapping[str, str]) -> Callable[[str], str]:
    """Return the reader of a wood, a stain or a finish by any of its spellings."""

    def read(text: str) -> str:
        found = named(text, names)
        if found is None:
            raise MeasureError(f'"{text}" is not among the answers', suggest(text, set(names.values())))
        return found

    return read


def paint(names: Mapping[str, str]) -> Callable[[str], str]:
    """Return the reader of a paint by its name or its colour, "#rrggbb", or of nothing."""

    def read(text: str) -> str:
        if not text.strip():
            return ""
        if (found := paint_named(text, names)) is None:
            raise MeasureError(*unknown_paint(text, names))
        return found

    return read


def length(units: Unit, least: float = 0.0) -> Callable[[str], str]:
    """Return the reader of a length of `least` metres or more, which stays as it was typed."""

    def read(text: str) -> str:
        if parse_length(text, units) < least:
            raise MeasureError(f"a length of {text}", f"give one of {format_length(least, units)} or more")
        return " ".join(text.split())

    return read


def leg(units: Unit) -> Callable[[str], Leg]:
    """Return the reader of a wall: where it runs and how long it is."""
    return lambda text: Leg(*parse_leg(text, units), " ".join(text.split()))


def wall(walls: int) -> Callable[[str], int]:
    """Return the reader of a wall's number."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit() and 1 <= int(text) <= walls):
            raise MeasureError(f'"{text}" is not a wall', f"they are counted from 1 to {walls} in the order you walked")
        return int(text)

    return read


def bearing(text: str) -> str:
    """Read a direction, or nothing."""
    if text:
        parse_bearing(text)
    return text
