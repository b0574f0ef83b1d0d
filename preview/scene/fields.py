"""How one value of a scene file is read: a reader takes a `Node` and returns the value, or raises SceneError."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from typing import Any, TypeVar

from preview.errors import Place, SceneError
from preview.scene.job import Leg, Point, Unit
from preview.scene.woods import Names
from preview.units import MeasureError, format_length, parse_angle, parse_leg, parse_length, split_pair, system


@dataclass(frozen=True)
class Source:
    """What the meaning of a value and the place of an error depend on.

    `lines` maps key paths to lines. `owners` maps each key path that a variant sets to that variant's own path,
    such as ``variants[2]``; `woods` are the names of woods there are.
    """

    file: str
    lines: Mapping[str, int]
    unit: Unit = "mm"
    woods: Names = field(default_factory=dict)
    owners: Mapping[str, str] = field(default_factory=dict)

    def error(self, key: str, found: str, remedy: str) -> SceneError:
        """Return an error about `key`; one that is left out has the line of the table above it."""
        line = next((self.lines[each] for each in _upwards(key) if each in self.lines), None)
        owner = next((self.owners[each] for each in _upwards(key) if each in self.owners), None)
        return SceneError(Place(self.file, f"{owner}.{key}" if owner else key, line), found, remedy)


@dataclass(frozen=True)
class Node:
    """A value as the TOML parser gives it, its key path, and where it comes from."""

    value: Any
    key: str
    source: Source

    def error(self, found: str, remedy: str) -> SceneError:
        """Return an error that stands at this value."""
        return self.source.error(self.key, found, remedy)

    def child(self, name: str, value: object) -> Node:
        """Return the value under `name` in this table."""
        return Node(value, f"{self.key}.{name}" if self.key else name, self.source)

    def items(self) -> list[Node]:
        """Return the values of this array, counted from 1."""
        return [Node(value, f"{self.key}[{n}]", self.source) for n, value in enumerate(self.value, 1)]


Reader = Callable[[Node], Any]
T = TypeVar("T")


@dataclass(frozen=True)
class Key:
    """A key of a table: how it is read, and what holds where it is left out.

    `default` is written as a file would have it, and read the same way; a pair (imperial, metric) of them goes by the
    scene's units. `absent` means that the value is then None and found later. Where neither is given the key is
    required, and `example` shows how to write it.
    """

    read: Reader
    default: object = None
    absent: bool = False
    example: str = ""


def table(keys: Mapping[str, Key], build: Callable[..., Any]) -> Reader:
    """Return the reader of a table of `keys`; `build` gets their values by name."""

    def read(node: Node) -> object:
        if not isinstance(node.value, dict):
            raise node.error(f"{shown(node.value)} instead of a table", f"give it keys: {listed(keys, 'and')}")
        for name in node.value:
            if name not in keys:
                raise node.child(name, None).error(f'unknown key "{name}"', suggest(name, keys))
        return build(**{name: _key_value(node, name, key) for name, key in keys.items()})

    return read


def tables(keys: Mapping[str, Key], build: Callable[..., Any]) -> Reader:
    """Return the reader of an array of tables, a tuple."""
    one = table(keys, build)

    def read(node: Node) -> tuple[object, ...]:
        if isinstance(node.value, dict):
            raise node.error("a single table", f"there may be several: write [[{node.key}]] with two brackets")
        if not isinstance(node.value, list | tuple):
            raise node.error(f"{shown(node.value)} instead of tables", f"begin each with [[{node.key}]]")
        return tuple(one(item) for item in node.items())

    return read


def length(what: str, least: float, most: float) -> Reader:
    """Return the reader of a length between two limits, metres; `what` is its name with its article."""

    def read(node: Node) -> float:
        metres = _measured(lambda: parse_length(node.value, node.source.unit), node)
        if not least - 1e-9 <= metres <= most + 1e-9:
            low, high = _limit(least, node.source.unit, math.ceil), _limit(most, node.source.unit, math.floor)
            written = shown(node.value) if isinstance(node.value, str) else f"{node.value} {node.source.unit}"
            raise node.error(f"{what} of {written}", f"give one between {low} and {high}")
        return metres

    return read


def pair(one: Reader) -> Reader:
    """Return the reader of two lengths: an array of two, or a text such as ``10" × 4"``."""

    def read(node: Node) -> Point:
        if isinstance(node.value, str):
            first, second = (one(replace(node, value=each)) for each in _measured(lambda: split_pair(node.value), node))
            return first, second
        _count(node, (2,), "two lengths", f"[{_example(node)}]")
        first, second = (one(item) for item in node.items())
        return first, second

    return read


def corners(node: Node) -> tuple[Point, ...]:
    """Read the corners of a polygon: at least three pairs."""
    one = pair(coordinate)
    if not isinstance(node.value, list) or len(node.value) < 3:
        raise node.error(
            f"{shown(node.value)} instead of corners", f"list three or more, [[0, 0], [{_example(node)}], ...]"
        )
    return tuple(one(item) for item in node.items())


def walk(node: Node) -> tuple[Leg, ...]:
    """Read a tape walk: at least three walls."""
    if not isinstance(node.value, list) or len(node.value) < 3:
        example = {"imperial": '"E 15\' 6\\""', "metric": '"E 4.72 m"'}[system(node.source.unit)]
        raise node.error(f"{shown(node.value)} instead of a walk", f"list three walls or more, [{example}, ...]")
    legs = []
    for item in node.items():
        bearing, metres = _measured(partial(parse_leg, item.value, item.source.unit), item)
        if metres > FAR:
            raise item.error(f"a wall of {item.value}", f"give one up to {format_length(FAR, item.source.unit)}")
        legs.append(Leg(bearing, metres, item.value))
    return tuple(legs)


def angle(node: Node) -> float:
    """Read degrees as radians."""
    return _measured(lambda: parse_angle(node.value), node)


def angle_within(what: str, least: float, most: float) -> Reader:
    """Return the reader of degrees between two limits in degrees, as radians."""

    def read(node: Node) -> float:
        radians = angle(node)
        if not math.radians(least) <= radians <= math.radians(most):
            raise node.error(f"{what} of {shown(node.value)} degrees", f"give one between {least:g} and {most:g}")
        return radians

    return read


def number(what: str, least: float, most: float) -> Reader:
    """Return the reader of a plain number between two limits."""

    def read(node: Node) -> float:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            raise node.error(f"{what} of {shown(value)}", f"give a number between {least:g} and {most:g}")
        return float(value)

    return read


def whole(what: str, least: int, most: int) -> Reader:
    """Return the reader of a whole number between two limits."""

    def read(node: Node) -> int:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise node.error(f"{what} of {shown(value)}", f"give a whole number between {least} and {most}")
        return value

    return read


def text(node: Node) -> str:
    """Read a name or a title: a text that is not blank."""
    if not isinstance(node.value, str) or not node.value.strip():
        raise node.error(f"{shown(node.value)} instead of a name", "write a text in quotes")
    if len(node.value) > 200:
        raise node.error(f"a name of {len(node.value)} letters", "keep it to 200")
    return " ".join(node.value.split())


def choice(what: str, *names: str) -> Reader:
    """Return the reader of one of `names`; `what` says what they are."""
    return lambda node: _chosen(node, what, names)


def either(what: str, names: tuple[str, ...], other: Reader) -> Reader:
    """Return the reader of one of `names`, or of what `other` reads (a number, or a text with a figure in it)."""

    def read(node: Node) -> object:
        if isinstance(node.value, str) and not any(letter.isnumeric() for letter in node.value):
            return _chosen(node, what, names)
        return other(node)

    return read


def wood(kind: str) -> Reader:
    """Return the reader of a name from the material files: of a species, a grade, a stain or a finish."""

    def read(node: Node) -> str:
        names = node.source.woods[kind]
        spaced = node.value.replace("_", " ") if isinstance(node.value, str) else node.value
        if isinstance(spaced, str) and (plain := spaced.strip().casefold().replace("-", " ")) in names:
            return names[plain]
        return _chosen(replace(node, value=spaced), kind, tuple(sorted(set(names.values()))))

    return read


def moment(node: Node) -> datetime:
    """Read a date and time with its offset from UTC."""
    if not isinstance(node.value, datetime) or node.value.tzinfo is None:
        raise node.error(
            f"{shown(node.value)} instead of a time", "write date, time and offset from UTC: 2026-10-14T16:00:00+01:00"
        )
    return node.value


def suggest(name: str, known: Iterable[str]) -> str:
    """Return advice on a name that is not among `known`: the nearest, or all of them."""
    from difflib import get_close_matches

    names = sorted(known)
    if not names:
        return "there are none in this scene"
    lowered = {each.casefold(): each for each in names}
    near = get_close_matches(name.casefold(), lowered, 1, 0.6)
    there = f"there {'is' if len(names) == 1 else 'are'} {listed(names, 'and')}"
    return f'did you mean "{lowered[near[0]]}"?' if near else there


def listed(names: Iterable[str], last: str) -> str:
    """Return names in quotes as a list: ``"a", "b" and "c"``."""
    quoted = [f'"{name}"' for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"


def shown(value: object) -> str:
    """Return a value of a TOML file as the file has it, cut where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"an array of {len(value)}"
    written = f'"{value}"' if isinstance(value, str) else str(value)
    return written if len(written) <= 60 else f"{written[:56]}..."


FAR = 300.0
"""The largest room that is taken for meant, metres: beyond it a unit has been mistaken."""

coordinate = length("a coordinate", -FAR, FAR)


def _key_value(node: Node, name: str, key: Key) -> object:
    if name in node.value:
        return key.read(node.child(name, node.value[name]))
    if key.absent:
        return None
    if key.default is None:
        raise node.error(f'no "{name}"', f"add {key.example}")
    value = key.default
    if isinstance(value, tuple) and value:
        value = value[0 if system(node.source.unit) == "imperial" else 1]
    return key.read(node.child(name, value))


def _chosen(node: Node, what: str, names: tuple[str, ...]) -> str:
    found = node.value.strip().casefold() if isinstance(node.value, str) else node.value
    if found in names:
        return str(found)
    near = suggest(found, names) if isinstance(found, str) else ""
    advice = f"{near} Known are {listed(names, 'and')}" if near.startswith("did") else f"write {listed(names, 'or')}"
    raise node.error(f"unknown {what} {shown(node.value)}", advice)


def _limit(metres: float, unit: Unit, inwards: Callable[[float], int]) -> str:
    """Return a limit as text, in imperial units as whole feet, or eighths of an inch below two feet."""
    if system(unit) == "imperial":
        step = 0.3048 if metres >= 0.6096 else 0.003175
        metres = inwards(round(metres / step, 6)) * step
    return format_length(metres, unit)


def _count(node: Node, counts: tuple[int, ...], what: str, example: str) -> None:
    if not isinstance(node.value, list) or len(node.value) not in counts:
        raise node.error(f"{shown(node.value)} instead of {what}", f"write them as {example}")


def _measured(read: Callable[[], T], node: Node) -> T:
    try:
        return read()
    except MeasureError as error:
        raise node.error(error.found, error.remedy) from None


def _example(node: Node) -> str:
    return {"imperial": '"7\' 9\\"", 0', "metric": '"2.36 m", 0'}[system(node.source.unit)]


def _upwards(key: str) -> Iterable[str]:
    """Yield `key` and the paths above it, nearest first."""
    while key:
        yield key
        key = key[: max(key.rfind("."), key.rfind("["), 0)]
