"""A commented scene from what was measured in the room: the reverse of reading."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Sequence

from preview.letters import plain
from preview.scene.answers import (
    Answers,
    FloorAnswers,
    ObstacleAnswer,
    OpeningAnswer,
    PaintAnswers,
    VariantAnswer,
    VentAnswer,
)
from preview.scene.check import grille_letter
from preview.scene.job import Unit
from preview.scene.taped_wall import Wall
from preview.units import parse_bearing, parse_leg, parse_length


def scene_text(answers: Answers, walls: Sequence[Wall]) -> str:
    """Return a scene, with comments, that says what `answers` say; `walls` are those of the closed walk."""
    parts = [
        _head(answers),
        *(_opening(each) for each in answers.openings),
        *(_obstacle(each, answers.units, walls[each.wall - 1]) for each in answers.obstacles),
        *(_vent(each, n, answers, walls[each.wall - 1]) for n, each in enumerate(answers.vents)),
        _floor(answers.floor),
        *([_paint(answers.paint)] if any(vars(answers.paint).values()) else []),
        *([_variant(each) for each in answers.variants] or [_HOW_TO_VARY]),
    ]
    return "\n".join(parts)


def _head(answers: Answers) -> str:
    walls = [f"    {_measure(leg)},  # wall {n}" for n, leg in enumerate(answers.walk, 1)]
    diagonals = [
        f"    {{ from = {each.first}, to = {each.last}, length = {_length(each.length)} }},"
        for each in answers.diagonals
    ]
    return _lines(
        f"title = {_quoted(answers.title)}",
        f'units = "{answers.units}"  # the unit of numbers without one',
        "",
        "[room]",
        "# The walls in order: the direction of each (letters, or degrees clockwise from N) and its length.",
        "walk = [",
        *walls,
        "]",
        *(["# Taped from corner to corner; corner n is where wall n begins.", "diagonals = ["] if diagonals else []),
        *([*diagonals, "]"] if diagonals else []),
        f"height = {_length(answers.height)}",
        f"baseboard = {_length(answers.baseboard)}  # its thickness",
    )


def _opening(opening: OpeningAnswer) -> str:
    return _lines(
        "[[openings]]",
        f"name = {_quoted(opening.name)}",
        f"kind = {_quoted(opening.kind)}",
        f"wall = {opening.wall}",
        f"offset = {_length(opening.offset)}  # from the wall's first corner to the near jamb",
        f"width = {_length(opening.width)}",
        *([f"sill = {_length(opening.sill)}"] if opening.sill else []),
        f"height = {_length(opening.height)}",
    )


def _obstacle(obstacle: ObstacleAnswer, units: Unit, wall: Wall) -> str:
    offset, width, depth, clear = (
        parse_length(each, units) for each in (obstacle.offset, obstacle.width, obstacle.depth, obstacle.clear)
    )
    corners = [
        wall.point(offset, clear),
        wall.point(offset + width, clear),
        wall.point(offset + width, clear + depth),
        wall.point(offset, clear + depth),
    ]
    return _lines(
        "[[obstacles]]",
        f"name = {_quoted(obstacle.name)}",
        f"kind = {_quoted(obstacle.kind)}",
        f"# Measured from wall {obstacle.wall}: {obstacle.offset} along it, {obstacle.width} wide, "
        f"{obstacle.depth} deep, {obstacle.clear} clear of it.",
        f"corners = [{', '.join(_point(each, units) for each in corners)}]",
    )


def _vent(vent: VentAnswer, n: int, answers: Answers, wall: Wall) -> str:
    units = answers.units
    middle = wall.point(parse_length(vent.offset, units), parse_length(vent.clear, units))
    bearing, _ = parse_leg(answers.walk[vent.wall - 1], units)
    if answers.diagonals:
        bearing = math.atan2(wall.along[1], wall.along[0])
    return _lines(
        "[[vents]]",
        f'name = "{grille_letter(n)}"',
        f"# Measured from wall {vent.wall} to its middle: {vent.offset} along it, {vent.clear} away from it.",
        f"center = {_point(middle, units)}",
        f"size = [{_length(vent.along)}, {_length(vent.across)}]  # the frame's outer edges: along, across",
        f"angle = {round(math.degrees(bearing) % 180, 2):g}",
    )


def _floor(floor: FloorAnswers) -> str:
    run = f"{math.degrees(parse_bearing(floor.run)):g}" if floor.run else ""
    return _lines(
        "[floor]",
        f"board_width = {_length(floor.board_width)}",
        f"board_length = {_length(floor.board_length)}" if floor.board_length else _FITTED,
        *([f"run = {run}  # direction of the courses, degrees anticlockwise from E"] if run else []),
        f'center = {_center(floor.center)}  # "room", {{ opening = "its name" }} or {{ point = [x, y] }}',
        "",
        "[border]",
        f"width = {_length(floor.border)}  # 0 for none",
        *([f"strip = {_strip(floor)}  # between border and field"] if floor.strip else []),
        "",
        "[wood]",
        f"species = {_quoted(floor.species)}",
        f"cut = {_quoted(floor.cut)}",
        f"stain = {_quoted(floor.stain)}",
        f"finish = {_quoted(floor.finish)}",
        *(["", "[border_wood]", f"species = {_quoted(floor.border_species)}"] if floor.border_species else []),
    )


def _paint(paint: PaintAnswers) -> str:
    return _lines("[paint]", *(f"{surface} = {_quoted(each)}" for surface, each in vars(paint).items() if each))


def _strip(floor: FloorAnswers) -> str:
    species = f", species = {_quoted(floor.strip_species)}" if floor.strip_species else ""
    return f"{{ width = {_length(floor.strip)}{species} }}"


def _center(center: str) -> str:
    return '"room"' if center == "room" else f"{{ opening = {_quoted(center)} }}"


_FITTED = 'board_length = "fit"  # or a length'
_HOW_TO_VARY = """\
# To compare layouts, add variants; each changes only what it names:
# [[variants]]
# name = "Another width"
# floor.board_width = ...
"""


def _variant(variant: VariantAnswer) -> str:
    written = {
        "board_width": ("floor.board_width", _length),
        "center": ("floor.center", _center),
        "species": ("wood.species", _quoted),
        "stain": ("wood.stain", _quoted),
        "border": ("border.width", _length),
        "walls": ("paint.walls", _quoted),
        "strip": ("border.strip.width", _length)
        if variant.changes.get("strip")
        else ("border.strip", lambda _: '"none"'),
    }
    changes = [f"{written[field][0]} = {written[field][1](value)}" for field, value in variant.changes.items()]
    return _lines("[[variants]]", f"name = {_quoted(variant.name)}", *changes)


def _lines(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def _length(text: str) -> str:
    """Return a typed length as TOML: a plain number bare, anything else in quotes."""
    plain = text.strip()
    return plain if plain.isascii() and plain.isdigit() and str(int(plain)) == plain else _measure(plain)


def _measure(text: str) -> str:
    """Return a typed length, or a wall with its direction, as TOML: inch marks as words, since quotes need escapes."""
    plain = text.translate(_MARKS).replace("''", '"')
    if '"' not in plain:
        return _quoted(text)
    spelled = re.sub(r"\s*'\s*-?\s*", " ft ", re.sub(r"\s*\"\s*", " in ", plain))
    return _quoted(" ".join(spelled.split()))


def typed_length(text: str) -> str | int:
    """Return a typed length as a scene file has it: a plain number bare, marks of feet and inches as words."""
    found: str | int = json.loads(_length(text))
    return found


_MARKS = str.maketrans({**dict.fromkeys("′’‘ʹ´`", "'"), **dict.fromkeys("″”“ʺ", '"')})


def _point(point: Iterable[float], units: Unit) -> str:
    """Return a plan point in `units`, to a hundredth of a millimetre or finer, so that it stays on its wall."""
    places = {"in": 4, "ft": 5, "mm": 2, "cm": 3, "m": 5}[units]
    one = parse_length(1, units)
    return f"[{', '.join(f'{round(each / one, places) + 0.0:.{places}f}'.rstrip('0').rstrip('.') for each in point)}]"


def plan_point(point: Iterable[float], units: Unit) -> list[float]:
    """Return a plan point, metres, as a scene file has it: numbers in `units`."""
    found: list[float] = json.loads(_point(point, units))
    return found


def _quoted(text: str) -> str:
    """Return `text` as a TOML basic string; control characters, which no name needs, become spaces."""
    return json.dumps(plain(text), ensure_ascii=False)
