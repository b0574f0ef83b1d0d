"""How one value of a scene file is read: a reader takes a `Node` and returns the value, or raises SceneError."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TypeVar

from preview.letters import plain
from preview.scene.amounts import CORNERS, LENGTHS
from preview.scene.job import Leg, Point, Unit
from preview.scene.nodes import (
    Described,
    Json,
    Node,
    Reader,
    Source,
    described,
    listed,
    not_more,
    schema_of,
    shown,
    suggest,
)
from preview.scene.paint_names import paint_named, unknown_paint
from preview.scene.woods import named, spellings
from preview.unit_patterns import any_of, spelled, whole_text
from preview.units import (
    MeasureError,
    format_area,
    format_length,
    parse_angle,
    parse_area,
    parse_leg,
    parse_length,
    split_pair,
    system,
)

T = TypeVar("T")


def length(what: str, least: float, most: float, otherwise: str = "") -> Described:
    """Return the reader of a length between two limits, metres; `what` is its name with its article, `otherwise` what
    else an error advises."""

    @described(
        lambda source: {
            "$ref": f"#/$defs/{'length' if least < 0 else 'size'}",
            **_limits(least, most, parse_length(1, source.unit)),
        }
    )
    def read(node: Node) -> float:
        metres = _measured(lambda: parse_length(node.value, node.source.unit), node)
        if not least - 1e-9 <= metres <= most + 1e-9:
            low, high = _limit(least, node.source.unit, math.ceil), _limit(most, node.source.unit, math.floor)
            written = shown(node.value) if isinstance(node.value, str) else f"{node.value} {node.source.unit}"
            raise node.error(f"{what} of {written}", f"give one between {low} and {high}{otherwise}")
        return metres

    return read


def length_or_none(what: str, least: float, most: float) -> Described:
    """Return the reader of a length between two limits, metres, or 0 where there is none."""
    one = length(what, least, most, ", or 0 for none")

    @described(lambda source: {**one.schema(source), "minimum": 0})
    def read(node: Node) -> float:
        return 0.0 if _measured(lambda: parse_length(node.value, node.source.unit), node) == 0 else float(one(node))

    return read


FAR = 300.0
"""The largest room that is taken for meant, metres: beyond it a unit has been mistaken."""

coordinate = length("a coordinate", -FAR, FAR)


def lengths(what: str, least: float, most: float) -> Described:
    """Return the reader of a length, or of an array of lengths to choose from: a tuple, short before long."""
    one = length(what, least, most)

    def schema(source: Source) -> Json:
        single = one.schema(source)
        limits = {key: value for key, value in single.items() if key != "$ref"}
        either_way = {"anyOf": [{"$ref": single["$ref"]}, {"type": "array", "minItems": 1, "maxItems": LENGTHS}]}
        return {**either_way, **limits, "items": single}

    @described(schema)
    def read(node: Node) -> float | tuple[float, ...]:
        if not isinstance(node.value, list):
            return one(node)
        if not node.value:
            raise node.error("an empty array", f"list the lengths in stock, [{_example(node)}]")
        not_more(node, LENGTHS, "lengths")
        return tuple(sorted({one(item) for item in node.items()}))

    return read


def area(what: str, least: float, most: float) -> Described:
    """Return the reader of an area between two limits, square metres; `what` is its name with its article."""

    @described(lambda source: {"$ref": "#/$defs/area", **_limits(least, most, parse_area(1, source.unit))})
    def read(node: Node) -> float:
        found = _measured(lambda: parse_area(node.value, node.source.unit), node)
        if not least <= found <= most:
            low, high = (format_area(each, node.source.unit) for each in (least, most))
            raise node.error(f"{what} of {shown(node.value)}", f"give one between {low} and {high}")
        return found

    return read


def pair(one: Reader) -> Described:
    """Return the reader of two lengths: an array of two, or a text such as ``10" × 4"``."""

    @described(lambda source: {"$ref": "#/$defs/pair", "items": schema_of(one, source)})
    def read(node: Node) -> Point:
        if isinstance(node.value, str):
            first, second = (one(replace(node, value=each)) for each in _measured(lambda: split_pair(node.value), node))
            return first, second
        _count(node, (2,), "two lengths", f"[{_example(node)}]")
        first, second = (one(item) for item in node.items())
        return first, second

    return read


@described(
    lambda source: {"type": "array", "minItems": 3, "maxItems": CORNERS, "items": pair(coordinate).schema(source)}
)
def corners(node: Node) -> tuple[Point, ...]:
    """Read the corners of a polygon: at least three pairs."""
    one = pair(coordinate)
    if not isinstance(node.value, list) or len(node.value) < 3:
        raise node.error(
            f"{shown(node.value)} instead of corners", f"list three or more, [[0, 0], [{_example(node)}], ...]"
        )
    not_more(node, CORNERS, "corners")
    return tuple(one(item) for item in node.items())


@described(lambda source: {"type": "array", "minItems": 3, "maxItems": CORNERS, "items": {"$ref": "#/$defs/leg"}})
def walk(node: Node) -> tuple[Leg, ...]:
    """Read a tape walk: at least three walls."""
    if not isinstance(node.value, list) or len(node.value) < 3:
        example = {"imperial": '"E 15 ft 6 in"', "metric": '"E 4.72 m"'}[system(node.source.unit)]
        raise node.error(f"{shown(node.value)} instead of a walk", f"list three walls or more, [{example}, ...]")
    not_more(node, CORNERS, "walls")
    legs = []
    for item in node.items():
        bearing, metres = _measured(partial(parse_leg, item.value, item.source.unit), item)
        if metres > FAR:
            raise item.error(f"a wall of {item.value}", f"give one up to {format_length(FAR, item.source.unit)}")
        legs.append(Leg(bearing, metres, item.value))
    return tuple(legs)


@described(lambda source: {"$ref": "#/$defs/angle"})
def angle(node: Node) -> float:
    """Read degrees as radians."""
    return _measured(lambda: parse_angle(node.value), node)


def angle_within(what: str, least: float, most: float) -> Described:
    """Return the reader of degrees between two limits in degrees, as radians."""

    @described(lambda source: {"$ref": "#/$defs/angle", "minimum": least, "maximum": most})
    def read(node: Node) -> float:
        radians = angle(node)
        if not math.radians(least) <= radians <= math.radians(most):
            raise node.error(f"{what} of {shown(node.value)} degrees", f"give one between {least:g} and {most:g}")
        return radians

    return read


def number(what: str, least: float, most: float) -> Described:
    """Return the reader of a plain number between two limits."""

    @described(lambda source: {"type": "number", "minimum": least, "maximum": most})
    def read(node: Node) -> float:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            raise node.error(f"{what} of {shown(value)}", f"give a number between {least:g} and {most:g}")
        return float(value)

    return read


def whole(what: str, least: int, most: int) -> Described:
    """Return the reader of a whole number between two limits."""

    @described(lambda source: {"type": "integer", "minimum": least, "maximum": most})
    def read(node: Node) -> int:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise node.error(f"{what} of {shown(value)}", f"give a whole number between {least} and {most}")
        return value

    return read


@described(lambda source: {"$ref": "#/$defs/text"})
def text(node: Node) -> str:
    """Read a name or a title: a text that is not blank."""
    if not isinstance(node.value, str) or not node.value.strip():
        raise node.error(f"{shown(node.value)} instead of a name", "write a text in quotes")
    if len(node.value) > 200:
        raise node.error(f"a name of {len(node.value)} letters", "keep it to 200")
    return plain(node.value)


def choice(what: str, *names: str) -> Described:
    """Return the reader of one of `names`; `what` says what they are."""
    return Described(lambda node: _chosen(node, what, names), lambda source: {"anyOf": _named(names)})


def either(what: str, names: tuple[str, ...], other: Reader) -> Described:
    """Return the reader of one of `names`, or of what `other` reads (a number, or a text with a figure in it)."""

    def schema(source: Source) -> Json:
        found = schema_of(other, source)
        limits: Json = {key: found.pop(key) for key in ("minimum", "maximum", "items") if key in found}
        return {"anyOf": [*_named(names), *found.get("anyOf", [found])], **limits}

    @described(schema)
    def read(node: Node) -> object:
        if isinstance(node.value, str) and not any(letter.isnumeric() for letter in node.value):
            return _chosen(node, what, names)
        return other(node)

    return read


def wood(kind: str) -> Described:
    """Return the reader of a name from the material files: of a species, a grade, a stain or a finish."""

    def schema(source: Source) -> Json:
        names = source.woods[kind]
        return {"anyOf": [{"enum": sorted(set(names.values()))}, {"type": "string", "pattern": spellings(names)}]}

    @described(schema)
    def read(node: Node) -> str:
        names = node.source.woods[kind]
        if isinstance(node.value, str) and (name := named(node.value, names)) is not None:
            return name
        return _chosen(node, kind, tuple(sorted(set(names.values()))))

    return read


def _paint_schema(source: Source) -> Json:
    names = source.woods["paint"]
    return {
        "anyOf": [
            {"enum": sorted(set(names.values()))},
            {"type": "string", "pattern": whole_text("#[0-9A-Fa-f]{6}")},
            {"type": "string", "pattern": spellings(names)},
        ]
    }


@described(_paint_schema)
def paint(node: Node) -> str:
    """Read a paint: its name in the material files, or its colour, "#rrggbb"."""
    names = node.source.woods["paint"]
    if isinstance(node.value, str) and (found := paint_named(node.value, names)) is not None:
        return found
    raise node.error(*unknown_paint(node.value, names))


@described(lambda source: {"type": "string", "format": "date-time", "pattern": MOMENT})
def moment(node: Node) -> datetime:
    """Read a date and time with its offset from UTC."""
    if not isinstance(node.value, datetime) or node.value.tzinfo is None:
        raise node.error(
            f"{shown(node.value)} instead of a time", "write date, time and offset from UTC: 2026-10-14T16:00:00+01:00"
        )
    return node.value


MOMENT = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}.*([Zz]|[-+][0-9]{2}:[0-9]{2})$"
"""A time as an editor hands it on from TOML, with its offset."""


def _named(names: tuple[str, ...]) -> list[Json]:
    """Return what JSON Schema says of one of `names`: as they are completed, and as they are read too."""
    return [
        {"enum": list(names)},
        {"type": "string", "pattern": whole_text(any_of(spelled(name) for name in names))},
    ]


def _limits(least: float, most: float, unit: float) -> Json:
    """Return two limits for numbers in `unit`, rounded outwards to four decimals."""
    low, high = (round(each / unit * 1e4, 3) for each in (least, most))
    return {"minimum": math.floor(low) / 1e4, "maximum": math.ceil(high) / 1e4}


def _chosen(node: Node, what: str, names: tuple[str, ...]) -> str:
    found = node.value.strip().casefold() if isinstance(node.value, str) else node.value
    if found in names:
        return str(found)
    near = suggest(found, names) if isinstance(found, str) else ""
    advice = (
        f"{near} Accepted values: {listed(names, 'or')}"
        if near.startswith("did")
        else f"accepted values: {listed(names, 'or')}"
    )
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
    return {"imperial": '"7 ft 9 in", 0', "metric": '"2.36 m", 0'}[system(node.source.unit)]
