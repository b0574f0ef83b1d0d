"""The scene file's schema: every table, every key, what it may be and what holds where it is left out.

Limits are where a number stops being a floor and starts being a slip of the unit; each is said in the message.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from preview.scene.amounts import CORNERS, TABLES
from preview.scene.fields import (
    FAR,
    angle,
    angle_within,
    area,
    choice,
    coordinate,
    corners,
    either,
    length,
    length_or_none,
    lengths,
    moment,
    number,
    paint,
    pair,
    text,
    walk,
    whole,
    wood,
)
from preview.scene.job import (
    BorderChoice,
    Center,
    Diagonal,
    FloorChoice,
    LightChoice,
    Moisture,
    Obstacle,
    Opening,
    PaintChoice,
    RoomMeasure,
    Sticks,
    StockChoice,
    StripChoice,
    Sun,
    Target,
    Vent,
    Viewpoint,
    WoodChoice,
)
from preview.scene.nodes import (
    Described,
    Json,
    Key,
    Node,
    Reader,
    Source,
    described,
    keys_schema,
    listed,
    schema_of,
    shown,
    table,
    tables,
)
from preview.scene.patterns import PatternKey, own_keys, pattern_keys
from preview.units import UNITS, system

unit = choice("unit", *UNITS)

NONE = "none"
STRIP_WIDTHS = (0.003, 0.305)
"""Of a feature strip, metres."""


def _place_schema(source: Source, name: str, keys: Mapping[str, Reader], points: Json | None = None) -> Json:
    """Return what JSON Schema says of a place: `name`, a table with one of `keys`, or an array as `points` has it."""
    return {
        "anyOf": [{"const": name}, {"type": "object"}, *([{"type": "array"}] if points else [])],
        "properties": {key: schema_of(reader, source) for key, reader in keys.items()},
        "minProperties": 1,
        "maxProperties": 1,
        "additionalProperties": False,
        **(points or {}),
    }


@described(lambda source: _place_schema(source, "room", {"opening": text, "point": pair(coordinate)}))
def _center(node: Node) -> Center:
    """Read what the courses are centred on."""
    if node.value == "room":
        return Center("room")
    if isinstance(node.value, dict) and len(node.value) == 1:
        kind, value = next(iter(node.value.items()))
        inner = node.child(kind, value)
        if kind == "opening":
            return Center("opening", opening=text(inner))
        if kind == "point":
            return Center("point", point=pair(coordinate)(inner))
    raise node.error(f"{shown(node.value)} as a centre", 'write "room", { opening = "its name" } or { point = [x, y] }')


def _target(heights: bool) -> Described:
    """Return the reader of a place in a viewpoint; with `heights`, a point may have a third coordinate."""

    def schema(source: Source) -> Json:
        points = {"items": coordinate.schema(source), "minItems": 2, "maxItems": 3 if heights else 2}
        return _place_schema(source, "center", dict.fromkeys(("opening", "obstacle", "vent"), text), points)

    @described(schema)
    def read(node: Node) -> Target:
        value = node.value
        if value == "center":
            return Target("center")
        if isinstance(value, dict) and len(value) == 1:
            kind = next(iter(value))
            if kind in ("opening", "obstacle", "vent"):
                return Target(kind, name=text(node.child(kind, value[kind])))
        if isinstance(value, list) and len(value) in ((2, 3) if heights else (2,)):
            x, y, *z = (coordinate(item) for item in node.items())
            return Target("point", point=(x, y, z[0] if z else None))
        points = "[x, y] or [x, y, z]" if heights else "[x, y]"
        raise node.error(
            f"{shown(value)} as a place",
            f'write {{ opening = "its name" }}, {{ obstacle = ... }}, {{ vent = ... }}, "center" or {points}',
        )

    return read


DIAGONAL = {
    "from": Key(
        whole("a corner", 1, 10_000),
        example="from = 1, the corner where wall 1 begins",
        says="A corner by its number, counted from 1",
    ),
    "to": Key(whole("a corner", 1, 10_000), example="to = 3", says="Another corner, no neighbour of the first"),
    "length": Key(
        length("a diagonal", 0.05, FAR),
        example="length, as taped from corner to corner",
        says="As taped from corner to corner",
    ),
}


def _diagonal(length: float, **corners: int) -> Diagonal:
    return Diagonal(corners["from"], corners["to"], length)


ROOM = {
    "corners": Key(corners, absent=True, says="The corners in order, either way round"),
    "walk": Key(
        walk, absent=True, says='The walls in order: for each where it runs and how long it is, "E 15 ft 6 in"'
    ),
    "diagonals": Key(tables(DIAGONAL, _diagonal, CORNERS), (), says="Taped between corners, to find the true angles"),
    "height": Key(length("a room height", 1.0, 30.0), ("8'", "2.5 m"), says="Height of the ceiling"),
    "baseboard": Key(length("a baseboard", 0, 0.1), 0, says="Thickness of the baseboard, 0 for none"),
    "wall_thickness": Key(
        length("a wall thickness", 0.02, 2.0), ("4 7/8 in", "124 mm"), says="Thickness of the walls, seen in openings"
    ),
}
OPENING = {
    "name": Key(text, example='name = "hall archway"', says="What other tables and pictures call it"),
    "kind": Key(
        choice("kind of opening", "cased opening", "door", "window"), example='kind = "door"', says="What it is"
    ),
    "wall": Key(
        whole("a wall", 1, 10_000),
        example="wall = 1, the wall from the first corner to the second",
        says="Number of its wall, counted from 1 in the order given",
    ),
    "offset": Key(
        length("an offset", 0, FAR),
        example="offset, from the wall's first corner to the near jamb",
        says="From the wall's first corner to the near jamb",
    ),
    "width": Key(length("an opening", 0.1, FAR), example="width", says="Between the jambs"),
    "height": Key(length("an opening height", 0.1, 30.0), absent=True, says="Height of the opening itself"),
    "sill": Key(length("a sill", 0, 30.0), absent=True, says="Height of the sill of a window"),
    "beyond": Key(length("a next room", 0, 50.0), ("8'", "2.5 m"), says="How far the next room is shown"),
}
OBSTACLE = {
    "name": Key(text, example='name = "hearth"', says="What other tables and pictures call it"),
    "kind": Key(
        choice("kind of obstacle", "hearth", "column", "island", "cabinet"),
        example='kind = "hearth"',
        says="What it is",
    ),
    "corners": Key(corners, example="corners = [[x, y], ...]", says="Its corners in order, either way round"),
    "height": Key(length("an obstacle's height", 0, 30.0), absent=True, says="How high it stands"),
    "baseboard": Key(length("a baseboard", 0, 0.1), 0, says="Thickness of a baseboard round it, 0 for none"),
}
VENT = {
    "name": Key(text, absent=True, says="A letter or a name; A, B, ... where left out"),
    "center": Key(pair(coordinate), example="center = [x, y]", says="Middle of the grille"),
    "size": Key(
        pair(length("a grille", 0.03, 3.0)),
        example="size = [along, across], the frame's outer edges",
        says="The frame's outer edges, along and across",
    ),
    "angle": Key(angle, 0, says="Direction of along, degrees anticlockwise from +x"),
}


def _pattern_reader(key: PatternKey) -> Reader:
    """Return the reader of a key that a pattern takes."""
    if key.read == "whole":
        return whole(key.what, round(key.least), round(key.most))
    return {"angle": angle_within, "length": length}[key.read](key.what, key.least, key.most)


FLOOR = {
    "pattern": Key(choice("pattern", *pattern_keys()), next(iter(pattern_keys())), says="How the boards are laid"),
    **{name: Key(_pattern_reader(key), absent=True, says=key.says) for name, key in own_keys().items()},
    "board_width": Key(
        length("a board width", 0.01, 0.305),
        example="board_width, the face width of a board",
        says="Face width of a board",
    ),
    "board_length": Key(
        either("board length", ("fit",), lengths("a board length", 0.05, 3.0)),
        "fit",
        says="A length, lengths in stock to choose from, or one that fits the room",
    ),
    "courses": Key(
        either("number of courses", ("even", "odd", "any"), whole("courses", 1, 10_000)),
        "even",
        says="How many, or what number may be chosen",
    ),
    "run": Key(angle, absent=True, says="Direction of the courses, degrees anticlockwise from +x"),
    "center": Key(_center, "room", says="What the courses are centred on"),
    "start": Key(
        either("start", ("full", "both"), length("a start", 0, FAR)),
        "full",
        says="How the courses begin at the near end",
    ),
    "thickness": Key(length("a board thickness", 0.003, 0.06), ("3/4 in", "20 mm"), says="Thickness of a board"),
    "gap": Key(length("a joint", 0, 0.01), 0, says="Width of a joint"),
}
STICKS = {
    "length": Key(length("a stick", 0.05, 12.0), example="length", says="Length of these sticks"),
    "count": Key(whole("a count of sticks", 1, 1_000_000), example="count = 12", says="How many there are"),
}
STOCK = {
    "lengths": Key(tables(STICKS, Sticks, TABLES), absent=True, says="The sticks at hand"),
    "shortest": Key(length("a shortest stick", 0.05, 12.0), absent=True, says="Shortest of random lengths"),
    "longest": Key(length("a longest stick", 0.05, 12.0), absent=True, says="Longest of random lengths"),
    "bundle": Key(area("a bundle", 0.1, 100.0), absent=True, says="Area that a bundle covers"),
    "kerf": Key(length("a kerf", 0, 0.02), "1/8 in", says="What a saw cut takes"),
    "trim": Key(length("a trim", 0, 0.3), "1/2 in", says="What squaring each end of a stick takes"),
}
MOISTURE = {
    name: Key(
        number("a moisture content", 4, 20),
        example=f"{name} = {example}, per cent of the dry wood's weight",
        says=f"Moisture content {when}, per cent of the dry wood's weight",
    )
    for name, example, when in (("install", 8, "when laid"), ("summer", 11, "in summer"), ("winter", 5, "in winter"))
}
WOOD = {
    "species": Key(wood("species"), "white oak", says="Species of the wood"),
    "cut": Key(choice("cut", "plainsawn", "riftsawn", "quartersawn"), "plainsawn", says="How it is sawn"),
    "grade": Key(wood("grade"), "select", says="Grade of the boards"),
    "stain": Key(wood("stain"), "none", says="Stain"),
    "finish": Key(wood("finish"), "satin", says="Finish; oil deepens and warms the wood"),
    "seed": Key(whole("a seed", 0, 2**31 - 1), 1, says="Another number shows other boards"),
    "moisture": Key(table(MOISTURE, Moisture), absent=True, says="Moisture content when laid and through the year"),
    "season": Key(choice("season", "install", "summer", "winter"), "install", says="When the pictures show the floor"),
    "age": Key(number("an age in years", 0, 100), 0, says="Years of daylight that it has had"),
}
STRIP = {
    "width": Key(
        length("a feature strip", *STRIP_WIDTHS, f', or strip = "{NONE}"'),
        example='width = "3/4 in"',
        says="Width of the feature strip",
    ),
    **{name: replace(key, absent=True) for name, key in WOOD.items()},
}
"""A strip's own wood; what is left out is the border's, which stands elsewhere: see `preview.scene.check.complete`."""


def _strip_schema(source: Source) -> Json:
    return {"anyOf": [*choice("strip", NONE).schema(source)["anyOf"], {"type": "object"}], **keys_schema(STRIP, source)}


@described(_strip_schema)
def _strip(node: Node) -> StripChoice | None:
    """Read a feature strip; "none" takes away the one that a variant would have from the scene."""
    if isinstance(node.value, str) and node.value.strip().casefold() == NONE:
        return None
    if not isinstance(node.value, dict):
        example = {"imperial": '"3/4 in"', "metric": '"20 mm"'}[system(node.source.unit)]
        raise node.error(
            f"{shown(node.value)} instead of a feature strip",
            f'write {{ width = {example}, species = "walnut" }}, or "{NONE}"',
        )
    strip: StripChoice = table(STRIP, lambda width, **wood: StripChoice(width, WoodChoice(**wood)))(node)
    return strip


BORDER = {
    "width": Key(
        length_or_none("a border", STRIP_WIDTHS[0], 2.0),
        example="width, 0 for no border",
        says="Width of the border, 0 for none",
    ),
    "overlap": Key(length("an overlap", 0, 0.1), absent=True, says="How far it runs under the baseboard"),
    "longest": Key(length("a longest border piece", 0.3, 10.0), ("7'", "2.1 m"), says="Longest piece of it"),
    "strip": Key(_strip, NONE, says="A feature strip between border and field"),
}
SUN = {
    "latitude": Key(number("a latitude", -90, 90), example="latitude, degrees north", says="Degrees north"),
    "longitude": Key(number("a longitude", -180, 180), example="longitude, degrees east", says="Degrees east"),
    "time": Key(moment, example="time = 2026-10-14T16:00:00+01:00", says="Date, time and offset from UTC"),
}
LIGHT = {
    "sky": Key(choice("sky", "overcast", "clear"), "overcast", says="Overcast, or clear with its sun"),
    "sun": Key(table(SUN, Sun), absent=True, says="Where and when, for a clear sky"),
    "exposure": Key(
        either("exposure", ("auto",), number("an exposure value", -10, 25)),
        "auto",
        says="An exposure value, or found by itself",
    ),
    "lamps": Key(
        either("lamps", ("auto",), number("the lux on the ceiling", 0, 5000)),
        "auto",
        says="Lamplight besides: lux on the ceiling, 500 for an evening with the lamps on, 0 for none",
    ),
}
PAINT = {
    name: Key(paint, absent=True, says=f'Paint of the {name}: its name, or its colour, "#e8e2d6"')
    for name in ("walls", "ceiling", "trim", "cabinets")
}
VIEWPOINT = {
    "name": Key(text, example='name = "from the door"', says="What pictures are called by"),
    "kind": Key(
        choice("kind of viewpoint", "eye", "plan"), "eye", says="From eye height, or a plan from straight above"
    ),
    "at": Key(_target(heights=False), absent=True, says="Where one stands"),
    "eye": Key(length("an eye height", 0.05, 30.0), ("5' 3\"", "1.6 m"), says="Height of the eye"),
    "look": Key(_target(heights=True), absent=True, says="What one looks at"),
    "fov": Key(angle_within("a field of view", 10, 150), absent=True, says="Field of view across, degrees"),
    "tilt": Key(
        angle_within("a tilt", -60, 80), 0, says="Degrees that the camera is tipped down; 0 keeps upright lines upright"
    ),
}


def _floor(**values: object) -> FloorChoice:
    long = values.pop("board_length")
    fixed, stocked = (None, long) if isinstance(long, tuple) else (None if long == "fit" else long, ())
    own = {name: values.pop(name) for name in own_keys()}
    given = tuple((name, value) for name, value in own.items() if value is not None)
    return FloorChoice(board_length=fixed, lengths=stocked, own=given, **values)  # type: ignore[arg-type]


def _stock(lengths: object, **values: object) -> StockChoice:
    return StockChoice(lengths=lengths or (), **values)  # type: ignore[arg-type]


def _room(corners: object, walk: object, **values: object) -> RoomMeasure:
    return RoomMeasure(corners=corners or (), walk=walk or (), **values)  # type: ignore[arg-type]


VARYING = {
    "north": Key(angle, 0, says="True north, degrees clockwise from +y"),
    "room": Key(
        table(ROOM, _room), example="a table [room] with its corners or a walk round it", says="The measured room"
    ),
    "openings": Key(tables(OPENING, Opening, TABLES), (), says="Doors, cased openings and windows"),
    "obstacles": Key(tables(OBSTACLE, Obstacle, TABLES), (), says="What the floor stops at"),
    "vents": Key(tables(VENT, Vent, TABLES), (), says="Wooden grilles in the floor"),
    "floor": Key(
        table(FLOOR, _floor), example="a table [floor] with a board_width", says="Boards, pattern and centre line"
    ),
    "border": Key(table(BORDER, BorderChoice), {"width": 0}, says="The border round the field"),
    "stock": Key(table(STOCK, _stock), {}, says="What boards and border are cut from"),
    "wood": Key(table(WOOD, WoodChoice), {}, says="The wood of the field"),
    "border_wood": Key(table(WOOD, WoodChoice), {}, says="The wood of the border; what is left out is as in [wood]"),
    "light": Key(table(LIGHT, LightChoice), {}, says="Light in the pictures"),
    "paint": Key(table(PAINT, PaintChoice), {}, says="What the room is painted in"),
}
"""What a variant may change."""

SECTIONS = ("room", "floor", "border", "stock", "wood", "border_wood", "light", "paint")
"""The tables of which a variant may change some keys and leave the others; everything else it replaces whole."""

INNER = ("border.strip",)
"""Tables within those of which the same goes."""

SCENE = {
    "title": Key(text, absent=True, says="What papers are headed by"),
    "units": Key(unit, example=f"units = {listed(UNITS, 'or')}", says="What numbers without a unit are in"),
    "base_name": Key(text, "As drawn", says="What the scene itself is called beside its variants"),
    **VARYING,
    "viewpoints": Key(tables(VIEWPOINT, Viewpoint, TABLES), (), says="What is pictured, and from where"),
}
