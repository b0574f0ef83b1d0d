"""A commented scene from what was measured in the room: the reverse of reading."""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from preview.scene.check import grille_letter
from preview.scene.job import Point, Unit
from preview.units import parse_bearing, parse_leg, parse_length


@dataclass(frozen=True)
class Wall:
    """A wall of the closed walk: where it begins (metres), unit vectors along it and into the room."""

    corner: Point
    along: Point
    inward: Point

    def point(self, offset: float, clear: float) -> Point:
        """Return the plan point `offset` along the wall and `clear` out from it, metres."""
        (x, y), (ax, ay), (ix, iy) = self.corner, self.along, self.inward
        return x + offset * ax + clear * ix, y + offset * ay + clear * iy


@dataclass(frozen=True)
class OpeningAnswer:
    """An opening as measured along its wall; lengths as typed, `sill` empty for what is no window."""

    name: str
    kind: str
    wall: int
    offset: str
    width: str
    height: str
    sill: str = ""


@dataclass(frozen=True)
class ObstacleAnswer:
    """A rectangle measured from a wall: `offset` along it, `width` along and `depth` away from it, `clear` of it."""

    name: str
    kind: str
    wall: int
    offset: str
    width: str
    depth: str
    clear: str = "0"


@dataclass(frozen=True)
class VentAnswer:
    """A grille measured to its middle: `offset` along a wall, `clear` away; its frame `along` and `across` the wall."""

    wall: int
    offset: str
    clear: str
    along: str
    across: str


@dataclass(frozen=True)
class Answers:
    """Everything one is asked in the room. Lengths stay as they were typed, numbers alone being in `units`.

    `run` is a direction as in a walk, or empty to leave it to the program; `center` is "room" or an opening's name;
    `border_species` is empty where the border is of the field's wood.
    """

    title: str
    units: Unit
    walk: tuple[str, ...]
    height: str
    baseboard: str
    openings: tuple[OpeningAnswer, ...]
    obstacles: tuple[ObstacleAnswer, ...]
    vents: tuple[VentAnswer, ...]
    board_width: str
    run: str
    center: str
    species: str
    cut: str
    border: str
    border_species: str


def scene_text(answers: Answers, walls: Sequence[Wall]) -> str:
    """Return a scene, with comments, that says what `answers` say; `walls` are those of the closed walk."""
    parts = [
        _head(answers),
        *(_opening(each) for each in answers.openings),
        *(_obstacle(each, answers.units, walls[each.wall - 1]) for each in answers.obstacles),
        *(_vent(each, n, answers, walls[each.wall - 1]) for n, each in enumerate(answers.vents)),
        _floor(answers),
    ]
    return "\n".join(parts)


def _head(answers: Answers) -> str:
    walls = [f"    {_quoted(leg)},  # wall {n}" for n, leg in enumerate(answers.walk, 1)]
    return _lines(
        f"title = {_quoted(answers.title)}",
        f'units = "{answers.units}"  # what a number without a unit of its own is in',
        "",
        "[room]",
        "# The walls as walked with the tape: where each runs (letters, or degrees clockwise from N) and its length.",
        "walk = [",
        *walls,
        "]",
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
    return _lines(
        "[[vents]]",
        f'name = "{grille_letter(n)}"',
        f"# Measured from wall {vent.wall} to its middle: {vent.offset} along it, {vent.clear} away from it.",
        f"center = {_point(middle, units)}",
        f"size = [{_length(vent.along)}, {_length(vent.across)}]  # the frame's outer edges: along, across",
        f"angle = {math.degrees(bearing) % 180:g}",
    )


def _floor(answers: Answers) -> str:
    center = '"room"' if answers.center == "room" else f"{{ opening = {_quoted(answers.center)} }}"
    run = f"{math.degrees(parse_bearing(answers.run)):g}" if answers.run else ""
    return _lines(
        "[floor]",
        f"board_width = {_length(answers.board_width)}",
        'board_length = "fit"  # or a length',
        *([f"run = {run}  # direction of the courses, degrees anticlockwise from E"] if run else []),
        f'center = {center}  # "room", {{ opening = "its name" }} or {{ point = [x, y] }}',
        "",
        "[border]",
        f"width = {_length(answers.border)}  # 0 for none",
        "",
        "[wood]",
        f"species = {_quoted(answers.species)}",
        f"cut = {_quoted(answers.cut)}",
        *(["", "[border_wood]", f"species = {_quoted(answers.border_species)}"] if answers.border_species else []),
        "",
        "# To hold two layouts side by side, add variants; each changes what it names:",
        "# [[variants]]",
        '# name = "Another width"',
        "# floor.board_width = ...",
    )


def _lines(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def _length(text: str) -> str:
    """Return a typed length as TOML: a plain number bare, anything else in quotes."""
    plain = text.strip()
    return plain if plain.isascii() and plain.isdigit() and str(int(plain)) == plain else _quoted(plain)


def _point(point: Iterable[float], units: Unit) -> str:
    """Return a plan point in `units`, to a hundredth of a millimetre or finer, so that it stays on its wall."""
    places = {"in": 4, "ft": 5, "mm": 2, "cm": 3, "m": 5}[units]
    one = parse_length(1, units)
    return f"[{', '.join(f'{round(each / one, places) + 0.0:.{places}f}'.rstrip('0').rstrip('.') for each in point)}]"


def _quoted(text: str) -> str:
    """Return `text` as a TOML basic string; control characters, which no name needs, become spaces."""
    clean = "".join(" " if unicodedata.category(letter) in ("Cc", "Cs") else letter for letter in text)
    return json.dumps(clean, ensure_ascii=False)
