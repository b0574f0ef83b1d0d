"""The scene file's schema: every table, every key, what it may be and what holds where it is left out.

Limits are where a number stops being a floor and starts being a slip of the unit; each is said in the message.
"""

from __future__ import annotations

from dataclasses import replace

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
from preview.scene.nodes import Key, Node, Reader, listed, shown, table, tables
from preview.scene.patterns import pattern_keys
from preview.units import UNITS, system

unit = choice("unit", *UNITS)

NONE = "none"


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


def _target(heights: bool) -> Reader:
    """Return the reader of a place in a viewpoint; with `heights`, a point may have a third coordinate."""

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
    "from": Key(whole("a corner", 1, 10_000), example="from = 1, the corner where wall 1 begins"),
    "to": Key(whole("a corner", 1, 10_000), example="to = 3"),
    "length": Key(length("a diagonal", 0.05, FAR), example="length, as taped from corner to corner"),
}


def _diagonal(length: float, **corners: int) -> Diagonal:
    return Diagonal(corners["from"], corners["to"], length)


ROOM = {
    "corners": Key(corners, absent=True),
    "walk": Key(walk, absent=True),
    "diagonals": Key(tables(DIAGONAL, _diagonal), ()),
    "height": Key(length("a room height", 1.0, 30.0), ("8'", "2.5 m")),
    "baseboard": Key(length("a baseboard", 0, 0.1), 0),
    "wall_thickness": Key(length("a wall thickness", 0.02, 2.0), ("4 7/8 in", "124 mm")),
}
OPENING = {
    "name": Key(text, example='name = "hall archway"'),
    "kind": Key(choice("kind of opening", "cased opening", "door", "window"), example='kind = "door"'),
    "wall": Key(whole("a wall", 1, 10_000), example="wall = 1, the wall from the first corner to the second"),
    "offset": Key(length("an offset", 0, FAR), example="offset, from the wall's first corner to the near jamb"),
    "width": Key(length("an opening", 0.1, FAR), example="width"),
    "height": Key(length("an opening height", 0.1, 30.0), absent=True),
    "sill": Key(length("a sill", 0, 30.0), absent=True),
    "beyond": Key(length("a next room", 0, 50.0), ("8'", "2.5 m")),
}
OBSTACLE = {
    "name": Key(text, example='name = "hearth"'),
    "kind": Key(choice("kind of obstacle", "hearth", "column", "island", "cabinet"), example='kind = "hearth"'),
    "corners": Key(corners, example="corners = [[x, y], ...]"),
    "height": Key(length("an obstacle's height", 0, 30.0), absent=True),
    "baseboard": Key(length("a baseboard", 0, 0.1), 0),
}
VENT = {
    "name": Key(text, absent=True),
    "center": Key(pair(coordinate), example="center = [x, y]"),
    "size": Key(pair(length("a grille", 0.03, 3.0)), example="size = [along, across], the frame's outer edges"),
    "angle": Key(angle, 0),
}
FLOOR = {
    "pattern": Key(choice("pattern", *pattern_keys()), next(iter(pattern_keys()))),
    "strips": Key(whole("boards side by side", 2, 3), absent=True),
    "angle": Key(angle_within("an angle", 30, 60), absent=True),
    "board_width": Key(length("a board width", 0.01, 0.305), example="board_width, the face width of a board"),
    "board_length": Key(either("board length", ("fit",), lengths("a board length", 0.05, 3.0)), "fit"),
    "courses": Key(either("number of courses", ("even", "odd", "any"), whole("courses", 1, 10_000)), "even"),
    "run": Key(angle, absent=True),
    "center": Key(_center, "room"),
    "start": Key(either("start", ("full", "both"), length("a start", 0, FAR)), "full"),
    "thickness": Key(length("a board thickness", 0.003, 0.06), ("3/4 in", "20 mm")),
    "gap": Key(length("a joint", 0, 0.01), 0),
}
STICKS = {
    "length": Key(length("a stick", 0.05, 12.0), example="length"),
    "count": Key(whole("a count of sticks", 1, 1_000_000), example="count = 12"),
}
STOCK = {
    "lengths": Key(tables(STICKS, Sticks), absent=True),
    "shortest": Key(length("a shortest stick", 0.05, 12.0), absent=True),
    "longest": Key(length("a longest stick", 0.05, 12.0), absent=True),
    "bundle": Key(area("a bundle", 0.1, 100.0), absent=True),
    "kerf": Key(length("a kerf", 0, 0.02), "1/8 in"),
    "trim": Key(length("a trim", 0, 0.3), "1/2 in"),
}
MOISTURE = {
    name: Key(number("a moisture content", 4, 20), example=f"{name} = {example}, per cent of the dry wood's weight")
    for name, example in (("install", 8), ("summer", 11), ("winter", 5))
}
WOOD = {
    "species": Key(wood("species"), "white oak"),
    "cut": Key(choice("cut", "plainsawn", "riftsawn", "quartersawn"), "plainsawn"),
    "grade": Key(wood("grade"), "select"),
    "stain": Key(wood("stain"), "none"),
    "finish": Key(wood("finish"), "satin"),
    "seed": Key(whole("a seed", 0, 2**31 - 1), 1),
    "moisture": Key(table(MOISTURE, Moisture), absent=True),
    "season": Key(choice("season", "install", "summer", "winter"), "install"),
    "age": Key(number("an age in years", 0, 100), 0),
}
STRIP = {
    "width": Key(length("a feature strip", 0.003, 0.305, f', or strip = "{NONE}"'), example='width = "3/4 in"'),
    **{name: replace(key, absent=True) for name, key in WOOD.items()},
}
"""A strip's own wood; what is left out is the border's, which stands elsewhere: see `preview.scene.check.complete`."""


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
    "width": Key(length("a border", 0, 2.0), example="width, 0 for no border"),
    "overlap": Key(length("an overlap", 0, 0.1), absent=True),
    "longest": Key(length("a longest border piece", 0.3, 10.0), ("7'", "2.1 m")),
    "strip": Key(_strip, NONE),
}
SUN = {
    "latitude": Key(number("a latitude", -90, 90), example="latitude, degrees north"),
    "longitude": Key(number("a longitude", -180, 180), example="longitude, degrees east"),
    "time": Key(moment, example="time = 2026-10-14T16:00:00+01:00"),
}
LIGHT = {
    "sky": Key(choice("sky", "overcast", "clear"), "overcast"),
    "sun": Key(table(SUN, Sun), absent=True),
    "exposure": Key(either("exposure", ("auto",), number("an exposure value", -10, 25)), "auto"),
}
PAINT = {name: Key(paint, absent=True) for name in ("walls", "ceiling", "trim", "cabinets")}
VIEWPOINT = {
    "name": Key(text, example='name = "from the door"'),
    "kind": Key(choice("kind of viewpoint", "eye", "plan"), "eye"),
    "at": Key(_target(heights=False), absent=True),
    "eye": Key(length("an eye height", 0.05, 30.0), ("5' 3\"", "1.6 m")),
    "look": Key(_target(heights=True), absent=True),
    "fov": Key(angle_within("a field of view", 10, 150), 60),
}


def _floor(**values: object) -> FloorChoice:
    given = values.pop("board_length")
    fixed, stocked = (None, given) if isinstance(given, tuple) else (None if given == "fit" else given, ())
    return FloorChoice(board_length=fixed, lengths=stocked, **values)  # type: ignore[arg-type]


def _stock(lengths: object, **values: object) -> StockChoice:
    return StockChoice(lengths=lengths or (), **values)  # type: ignore[arg-type]


def _room(corners: object, walk: object, **values: object) -> RoomMeasure:
    return RoomMeasure(corners=corners or (), walk=walk or (), **values)  # type: ignore[arg-type]


VARYING = {
    "north": Key(angle, 0),
    "room": Key(table(ROOM, _room), example="a table [room] with its corners or a walk round it"),
    "openings": Key(tables(OPENING, Opening), ()),
    "obstacles": Key(tables(OBSTACLE, Obstacle), ()),
    "vents": Key(tables(VENT, Vent), ()),
    "floor": Key(table(FLOOR, _floor), example="a table [floor] with a board_width"),
    "border": Key(table(BORDER, BorderChoice), {"width": 0}),
    "stock": Key(table(STOCK, _stock), {}),
    "wood": Key(table(WOOD, WoodChoice), {}),
    "border_wood": Key(table(WOOD, WoodChoice), {}),
    "light": Key(table(LIGHT, LightChoice), {}),
    "paint": Key(table(PAINT, PaintChoice), {}),
}
"""What a variant may change."""

SECTIONS = ("room", "floor", "border", "stock", "wood", "border_wood", "light", "paint")
"""The tables of which a variant may change some keys and leave the others; everything else it replaces whole."""

INNER = ("border.strip",)
"""Tables within those of which the same goes."""

SCENE = {
    "title": Key(text, absent=True),
    "units": Key(unit, example=f"units = {listed(UNITS, 'or')}"),
    "base_name": Key(text, "As drawn"),
    **VARYING,
    "viewpoints": Key(tables(VIEWPOINT, Viewpoint), ()),
}
