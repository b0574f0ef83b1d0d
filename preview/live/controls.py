"""What of a scene can be chosen at the page: a control for each key, made from the schema that scenes are read by."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from preview.errors import SceneError
from preview.paper.words.paint_words import OWN
from preview.paper.words.run_words import direction_text
from preview.room.corners import settle_corners
from preview.room.directions import room_directions, same_direction
from preview.room.places import the
from preview.scene.job import Job
from preview.scene.nodes import Key, Source
from preview.scene.patterns import own_keys, pattern_keys
from preview.scene.schema import BORDER, FLOOR, LIGHT, PAINT, SCENE, STOCK, STRIP, SUN, WOOD
from preview.scene.woods import wood_names
from preview.units import system

Kind = Literal["choice", "length", "lengths", "number", "text", "picture-choice", "place", "date", "direction"]

TABLES: Mapping[str, Mapping[str, Key]] = {
    "": SCENE,
    "floor": FLOOR,
    "border": BORDER,
    "border.strip": STRIP,
    "wood": WOOD,
    "border_wood": WOOD,
    "light": LIGHT,
    "light.sun": SUN,
    "paint": PAINT,
    "stock": STOCK,
}
"""The tables whose keys are controls, by their paths."""

LABELS: Mapping[str, Mapping[str, str]] = {
    "Layout": {
        "floor.pattern": "Pattern",
        "floor.strips": "Boards side by side",
        "floor.angle": "Angle of the ends",
        "floor.stagger": "Least distance between end joints",
        "floor.center": "Centred on",
        "floor.courses": "Courses",
        "floor.start": "First boards",
        "floor.run": "Direction of the courses",
    },
    "Boards": {
        "floor.board_width": "Board width",
        "floor.board_length": "Board length",
        "floor.thickness": "Thickness",
        "floor.gap": "Joints",
    },
    "Border": {
        "border.width": "Border width",
        "border_wood.species": "Wood of the border",
        "border_wood.cut": "Cut of the border",
        "border_wood.stain": "Stain of the border",
        "border_wood.finish": "Finish of the border",
        "border_wood.grade": "Grade of the border",
        "border.strip.width": "Feature strip",
        "border.strip.species": "Wood of the strip",
        "border.strip.cut": "Cut of the strip",
        "border.strip.stain": "Stain of the strip",
        "border.strip.finish": "Finish of the strip",
        "border.strip.grade": "Grade of the strip",
        "border.longest": "Longest border piece",
        "border.overlap": "Border under the baseboard",
    },
    "Wood": {
        "wood.species": "Wood",
        "wood.cut": "Cut",
        "wood.grade": "Grade",
        "wood.stain": "Stain",
        "wood.finish": "Finish",
        "wood.age": "Years of daylight",
        "wood.seed": "Other boards of the same wood",
        "wood.moisture": "Moisture of the wood",
        "wood.season": "Season in the pictures",
    },
    "Room": {
        "title": "Name of the room",
        "paint.walls": "Walls",
        "paint.ceiling": "Ceiling",
        "paint.trim": "Baseboards and casings",
        "paint.cabinets": "Cabinets",
    },
    "Light": {
        "light.sky": "Sky",
        "light.sun.time": "Date and hour",
        "light.sun.latitude": "Latitude",
        "light.sun.longitude": "Longitude",
        "north": "True north",
        "light.exposure": "Exposure",
        "light.lamps": "Lamps",
    },
    "Buying": {
        "stock.lengths": "Pieces at hand",
        "stock.shortest": "Shortest of random lengths",
        "stock.longest": "Longest of random lengths",
        "stock.bundle": "A bundle covers",
        "stock.kerf": "Saw cut",
        "stock.trim": "Squaring an end takes",
    },
}
"""What controls are called, in their groups."""

ELSEWHERE: Mapping[str, str] = {
    "units": "is the file's own: other units would change what bare numbers mean",
    "base_name": "is changed as the name of the first variant",
    "room": "is measured, not chosen",
    "openings": "is measured, not chosen",
    "obstacles": "is measured, not chosen",
    "vents": "is measured, not chosen",
    "viewpoints": "stand beside the pictures",
    **{f"border_wood.{key}": "goes with the floor's" for key in ("seed", "moisture", "season", "age")},
    **{f"border.strip.{key}": "goes with the floor's" for key in ("seed", "moisture", "season", "age")},
}
"""Keys that are no controls, and why."""

HELP: Mapping[str, str] = {
    "floor.run": "By itself with the sight line that the floor is centred on, else straight in from the first door, "
    "else along the longest wall. The walls have their numbers on the plan; an angle is anticlockwise from its right",
    "floor.center": "The room, an opening, or a point: drag Centre on the plan",
    "wood.moisture": "Per cent when laid, in summer and in winter, such as 8, 11, 5",
    "wood.seed": "Each number shows other boards of the same wood",
    "border.strip.width": "A narrow strip of another wood between border and field",
    "stock.lengths": "Such as 12 of 7 ft, 20 of 5 ft 6 in",
    "light.sun.time": "Date, hour and difference from UTC",
    "north": "Degrees from the top of the plan, clockwise",
}

# Common practice, no published source: widths and lengths that floors are sold in.
TRADE: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "floor.board_width": (("2 1/4 in", "3 in", "3 1/4 in", "4 in", "5 in", "6 in"), ("70 mm", "90 mm", "120 mm")),
    "floor.board_length": (
        ("fit", "12 in", "15 in", "18 in", "20 in", "24 in"),
        ("fit", "350 mm", "400 mm", "500 mm", "600 mm"),
    ),
    "floor.thickness": (("1/2 in", "5/8 in", "3/4 in"), ("14 mm", "15 mm", "20 mm", "22 mm")),
    "floor.gap": (("0", "1/32 in", "1/16 in"), ("0", "0.5 mm", "1 mm")),
    "border.width": (("0", "3 in", "4 in", "5 in", "6 in"), ("0", "70 mm", "90 mm", "120 mm")),
    "border.strip.width": (("none", "1/2 in", "3/4 in", "1 in"), ("none", "10 mm", "20 mm", "30 mm")),
    "stock.kerf": (("1/16 in", "1/8 in"), ("2 mm", "3 mm")),
}
"""Lengths that are suggested, imperial and metric; any other may be typed."""

NAMED: Mapping[str, Mapping[object, str]] = {
    "floor.center": {"room": "the room"},
    "floor.board_length": {"fit": "whatever fits the room"},
    "floor.courses": {"even": "even, a seam on the line", "odd": "odd, a course on the line", "any": "the better"},
    "floor.start": {"full": "full at the near end", "both": "the same at both ends"},
    "wood.season": {"install": "as laid", "summer": "summer", "winter": "winter"},
    "wood.cut": {"plainsawn": "plainsawn", "riftsawn": "riftsawn", "quartersawn": "quartersawn"},
    "light.exposure": {"auto": "by itself"},
    "light.lamps": {"auto": "only without windows"},
    "border.width": {"0": "none"},
    "floor.gap": {"0": "none"},
    **{
        f"paint.{surface}": {
            "wall": "warm off-white",
            "ceiling": "ceiling white",
            "trim": "satin white",
            "cabinet": "soft grey-green",
        }
        for surface in OWN
    },
}
"""What options are called where their own name says too little."""

PICTURED = frozenset({"species", "cut", "grade", "stain", "finish", *PAINT})


@dataclass(frozen=True)
class Option:
    """Something to choose: its value as it is sent back, and what it is called."""

    value: object
    label: str
    picture: str = ""


@dataclass(frozen=True)
class Control:
    """What is chosen of a key of a scene; `free` where something else than its options may be typed."""

    group: str
    key: str
    label: str
    kind: Kind
    help: str
    options: tuple[Option, ...] = field(default=())
    unit: str = ""
    free: bool = False

    def told(self) -> dict[str, object]:
        """Return the control as it goes to the page."""
        options = [{name: value for name, value in vars(each).items() if value != ""} for each in self.options]
        return {**vars(self), "options": options}


def controls(base: Job) -> tuple[Control, ...]:
    """Return the controls of a scene, group by group; its own names and materials are among the options."""
    source = Source("", {}, base.units, wood_names(base.materials))
    return tuple(
        _control(group, key, label, base, source) for group, keys in LABELS.items() for key, label in keys.items()
    )


def schema_key(key: str) -> Key:
    """Return a key's entry in the schema."""
    table, _, name = key.rpartition(".")
    return TABLES[table][name]


def _control(group: str, key: str, label: str, base: Job, source: Source) -> Control:
    schema = schema_key(key).schema(source)
    said = HELP.get(key) or str(schema.get("description", "")).split("; ")[0]
    table, _, name = key.rpartition(".")
    if key == "floor.center":
        return Control(group, key, label, "place", said, _centers(base))
    if key == "floor.run":
        return Control(group, key, label, "direction", said, _runs(base), "degrees", free=True)
    if key == "light.sun.time":
        return Control(group, key, label, "date", said)
    names = tuple(dict.fromkeys(each for part in schema.get("anyOf", ()) for each in part.get("enum", ())))
    kind = _kind(key, schema, names)
    if kind == "picture-choice":
        picture = "/swatch/paint/{}" if table == "paint" else f"/swatch/{table}/{name}/{{}}"
        called = NAMED.get(key, {})
        options = tuple(Option(each, called.get(each, each), picture.format(_in_path(each))) for each in names)
        return Control(group, key, label, kind, said, options, free=table == "paint")
    given = TRADE[key][0 if system(base.units) == "imperial" else 1] if key in TRADE else ()
    called = NAMED.get(key, {})
    options = tuple(Option(each, called.get(each, each)) for each in dict.fromkeys((*names, *given)))
    return Control(group, key, label, kind, said, options, _unit(key, kind, base), kind != "choice")


def _kind(key: str, schema: Mapping[str, Any], names: tuple[str, ...]) -> Kind:
    """Return what sort of control a key is, by what it reads."""
    if names and key.rpartition(".")[2] in PICTURED:
        return "picture-choice"
    if key in ("stock.lengths", "wood.moisture"):
        return "text"
    if key == "floor.board_length":
        return "lengths"
    read = [schema, *schema.get("anyOf", ())]
    if any(str(each.get("$ref", "")).endswith(("/length", "/size")) for each in read):
        return "length"
    if any(each.get("type") in ("integer", "number") for each in read):
        return "number"
    if any(str(each.get("$ref", "")).endswith("/angle") for each in read):
        return "number"
    return "choice" if names else "text"


def _unit(key: str, kind: Kind, base: Job) -> str:
    if kind in ("length", "lengths"):
        return base.units
    if key in ("floor.run", "floor.angle", "north", "light.sun.latitude", "light.sun.longitude"):
        return "degrees"
    return {"wood.age": "years", "light.exposure": "EV", "light.lamps": "lux"}.get(key, "")


def _centers(base: Job) -> tuple[Option, ...]:
    passages = [each for each in base.openings if each.kind != "window"]
    windows = [each for each in base.openings if each.kind == "window"]
    return (
        Option("room", "the room"),
        *(Option({"opening": each.name}, f"the {each.name}") for each in (*passages, *windows)),
    )


def _runs(base: Job) -> tuple[Option, ...]:
    """Return the directions of the room that courses may have, and one askew; degrees."""
    try:
        found = room_directions(settle_corners(base).corners, base.openings)
    except SceneError:
        return ()  # the room doesn't close: it is told where it is read
    named = [(each.angle, direction_text(each)) for each in found]
    askew = found[0].angle + math.pi / 4
    if not same_direction(found, askew):
        named.append((askew, f"slantwise, 45° off {the(found[0].openings[0]) if found[0].openings else 'the walls'}"))
    turned = [(round(math.degrees(angle) % 360, 2), label) for angle, label in named]
    return tuple(Option(int(each) if each.is_integer() else each, label) for each, label in turned)


def _in_path(name: str) -> str:
    from urllib.parse import quote

    return quote(name, safe="")


def meant(key: str, job: Job) -> bool:
    """Whether a key says anything in a variant as it stands: those of other patterns, and of what it hasn't, don't."""
    table, _, name = key.rpartition(".")
    if table == "floor" and name in own_keys():
        return name in pattern_keys()[job.floor.pattern]
    if table == "border.strip" and name != "width":
        return job.border.strip is not None
    if table in ("border_wood", "border") and key != "border.width":
        return job.border.width > 0
    if table == "light.sun":
        return job.light.sky == "clear"
    if key == "paint.cabinets":
        return any(each.kind in ("cabinet", "island") for each in job.obstacles)
    if key == "wood.season":
        return job.wood.moisture is not None
    return True
