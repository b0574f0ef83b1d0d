"""The questions of `preview new`, in the order in which one walks a room with a tape.

Each answer comes from what was given up front, or else from `ask`, which may be a person at a keyboard or the lines of
a pipe; where the lines have ended, a question that proposes an answer takes it. An answer that can't be read is asked
for again, with the reason; one that was given up front is an error.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from preview.errors import UsageError
from preview.scene.job import Leg, Unit
from preview.scene.nodes import listed, suggest
from preview.scene.talk import Talk
from preview.scene.woods import Names
from preview.scene.write import Answers, ObstacleAnswer, OpeningAnswer, VentAnswer, Wall
from preview.units import UNITS, MeasureError, format_length, parse_bearing, parse_leg, parse_length, system

QUESTIONS = (
    "title",
    "units",
    "wall",
    "height",
    "baseboard",
    "opening",
    "obstacle",
    "vent",
    "board-width",
    "species",
    "cut",
    "run",
    "center",
    "border",
    "border-species",
)
"""What may be answered up front. "wall" once for each wall; "opening", "obstacle" and "vent" once for each, its
answers in the order of the questions with semicolons between: ``hall door; door; 1; 2' 6"; 32 in``."""


@dataclass(frozen=True)
class Walked:
    """A closed walk: its walls; how far it failed to close and how far it may, metres; the two likeliest wrong."""

    walls: tuple[Wall, ...]
    misclosure: float
    allowed: float
    suspects: tuple[int, int]


Close = Callable[[Sequence[Leg]], Walked]


def ask_room(
    ask: Callable[[str], str],
    say: Callable[[str], None],
    close: Close,
    woods: Names,
    given: Mapping[str, Sequence[str]],
) -> tuple[Answers, tuple[Wall, ...]]:
    """Ask for a whole room and its floor, and return the answers with the walls of the closed walk.

    Args:
        ask: shows a question and returns a line without its end; raises EOFError where there are no more.
        say: shows a remark.
        close: closes a walk of three legs or more by the compass rule.
        woods: the names of woods there are.
        given: answers given up front, by the names in `QUESTIONS`.

    Raises:
        UsageError: an answer given up front can't be read; the lines ended before a question without a proposal.
    """
    talk = Talk(ask, say, given)
    title = talk.one("title", "What is the room called?", "Room", _name)
    units = cast(Unit, talk.one("units", f"Unit of plain numbers ({', '.join(UNITS)})", "in", _one_of(UNITS)))
    imperial = system(units) == "imperial"

    def size(least: float = 0.0) -> Callable[[str], str]:
        return lambda text: _length(text, units, least)

    legs, walked = _walk(talk, units, close)
    lengths = [leg.length for leg in legs]
    height = talk.one("height", "Height of the ceiling", "8'" if imperial else "2.5 m", size(1.0))
    baseboard = talk.one("baseboard", "Thickness of the baseboard, 0 for none", "0", size())
    openings = _openings(talk, units, lengths)
    obstacles = _obstacles(talk, units, len(legs))
    vents = _vents(talk, units, len(legs))
    board_width = talk.one("board-width", "Face width of a board", "4 in" if imperial else "90 mm", size(0.01))
    species = tuple(sorted(set(woods["species"].values())))
    wood = talk.one("species", f"Wood of the field ({', '.join(species)})", "white oak", _one_of(species))
    cut = talk.one("cut", "How it is sawn", "plainsawn", _one_of(("plainsawn", "riftsawn", "quartersawn")))
    run = talk.one("run", "Which way the courses run (N, E, 45, ...; nothing: leave it to the program)", "", _bearing)
    names = ("room", *(each.name for each in openings))
    center = talk.one("center", f"What they are centred on: {listed(names, 'or')}", "room", _one_of(names))
    border = talk.one("border", "Width of the border, 0 for none", "0", size())
    other = ""
    if parse_length(border, units) > 0:
        other = talk.one("border-species", "Wood of the border", wood, _one_of(species))
    answers = Answers(
        title=title,
        units=units,
        walk=tuple(leg.text for leg in legs),
        height=height,
        baseboard=baseboard,
        openings=openings,
        obstacles=obstacles,
        vents=vents,
        board_width=board_width,
        run=run,
        center=center,
        species=wood,
        cut=cut,
        border=border,
        border_species="" if other == wood else other,
    )
    return answers, walked.walls


def _walk(talk: Talk, units: Unit, close: Close) -> tuple[list[Leg], Walked]:
    """Ask for the walls, tell the misclosure, and let walls be measured again while one is still in the room."""
    legs: list[Leg] = []
    example = "E 15' 6\"" if system(units) == "imperial" else "E 4.72 m"
    if "wall" in talk.given:
        legs = [talk.read_given("wall", text, lambda text: _leg(text, units), "") for text in talk.given["wall"]]
        if len(legs) < 3:
            raise UsageError(f"--wall: {len(legs)} of them; a room has at least three")
    else:
        talk.say("Start in a corner and walk along the walls until you are back in it.")
        talk.say(f"For each wall: where it runs (N, NE, E, ..., or degrees clockwise from N) and its length: {example}")
        while True:
            line = talk.line(f"Wall {len(legs) + 1}" + (" (nothing: back at the start): " if len(legs) > 2 else ": "))
            if not line and len(legs) > 2:
                break
            if not line and talk.ended:
                raise UsageError(f"the answers ended at wall {len(legs) + 1}; a room has at least three")
            try:
                legs.append(_leg(line, units))
            except MeasureError as error:
                talk.complain(error)
    walked = close(legs)
    while True:
        off, allowed = (format_length(each, units) for each in (walked.misclosure, walked.allowed))
        if walked.misclosure <= walked.allowed:
            talk.say(f"The walk closes within {off}; up to {allowed} is spread over the walls.")
            return legs, walked
        talk.say(f"The walk ends {off} from where it began; up to {allowed} could be spread over the walls.")
        first, second = (f'wall {n}, "{legs[n - 1].text}"' for n in walked.suspects)
        talk.say(f"Likeliest to be wrong: {first}, and {second}.")
        if talk.ended or "wall" in talk.given:
            raise UsageError(f"the walk ends {off} from where it began; measure {first}, or {second}, again")
        n = talk.asked(
            "Which wall did you measure again?", str(walked.suspects[0]), lambda text: _wall(text, len(legs))
        )
        legs[n - 1] = talk.asked(f"Wall {n}", legs[n - 1].text, lambda text: _leg(text, units))
        walked = close(legs)


def _openings(talk: Talk, units: Unit, lengths: Sequence[float]) -> tuple[OpeningAnswer, ...]:
    imperial = system(units) == "imperial"
    names: list[str] = []

    def read(first: str) -> OpeningAnswer:
        name = _name(first)
        if name in names:
            raise MeasureError(f'a second "{name}"', "give each a name of its own")
        kinds = ("door", "cased opening", "window")
        likely = "window" if "window" in name.casefold() else "cased opening" if "arch" in name.casefold() else "door"
        kind = talk.one("opening", f"  {name}: {listed(kinds, 'or')}", likely, _one_of(kinds))
        wall = talk.one("opening", "  in wall", None, lambda text: _wall(text, len(lengths)))
        offset, width = _along(talk, units, wall, lengths[wall - 1])
        height, sill = ("4'" if imperial else "1.2 m"), ""
        if kind == "window":
            sill = talk.one(
                "opening", "  height of its sill", "3'" if imperial else "0.9 m", lambda t: _length(t, units, 0)
            )
        else:
            height = "6' 8\"" if imperial else "2 m"
        height = talk.one("opening", "  height", height, lambda text: _length(text, units, 0.1))
        names.append(name)
        return OpeningAnswer(name, kind, wall, offset, width, height, sill)

    return talk.things("opening", "Door, opening or window: its name", read)


def _along(talk: Talk, units: Unit, wall: int, length: float) -> tuple[str, str]:
    """Ask where an opening begins along a wall and how wide it is, both again where the wall is too short for them."""
    while True:
        offset = talk.one("opening", "  from the wall's first corner", None, lambda text: _length(text, units, 0))
        width = talk.one("opening", "  width", None, lambda text: _length(text, units, 0.1))
        if parse_length(offset, units) + parse_length(width, units) <= length + 1e-6:
            return offset, width
        whole = format_length(length, units)
        fault = MeasureError(f"wall {wall} is {whole} long: too short for {width} after {offset}", "measure both again")
        if talk.fields is not None:
            raise fault
        talk.complain(fault)


def _obstacles(talk: Talk, units: Unit, walls: int) -> tuple[ObstacleAnswer, ...]:
    names: list[str] = []

    def read(first: str) -> ObstacleAnswer:
        name = _name(first)
        if name in names:
            raise MeasureError(f'a second "{name}"', "give each a name of its own")
        kinds = ("hearth", "column", "island", "cabinet")
        likely = next((kind for kind in kinds if kind in name.casefold()), "hearth")
        kind = talk.one("obstacle", f"  {name}: {listed(kinds, 'or')}", likely, _one_of(kinds))
        wall = talk.one("obstacle", "  measured from wall", None, lambda text: _wall(text, walls))
        offset = talk.one("obstacle", "  from the wall's first corner", None, lambda text: _length(text, units, 0))
        width = talk.one("obstacle", "  width along the wall", None, lambda text: _length(text, units, 0.01))
        depth = talk.one("obstacle", "  depth away from it", None, lambda text: _length(text, units, 0.01))
        clear = talk.one("obstacle", "  how far it stands clear of the wall", "0", lambda text: _length(text, units, 0))
        names.append(name)
        return ObstacleAnswer(name, kind, wall, offset, width, depth, clear)

    return talk.things("obstacle", "Hearth, column, island or cabinet: its name", read)


def _vents(talk: Talk, units: Unit, walls: int) -> tuple[VentAnswer, ...]:
    def read(first: str) -> VentAnswer:
        wall = _wall(first, walls)
        offset = talk.one("vent", "  from the wall's first corner to its middle", None, lambda t: _length(t, units, 0))
        clear = talk.one("vent", "  from the wall to its middle", None, lambda text: _length(text, units, 0))
        along = talk.one("vent", "  its frame along the wall", None, lambda text: _length(text, units, 0.03))
        across = talk.one("vent", "  its frame across", None, lambda text: _length(text, units, 0.03))
        return VentAnswer(wall, offset, clear, along, across)

    return talk.things("vent", "Floor grille: the wall it is measured from", read)


def _name(text: str) -> str:
    name = " ".join(text.split())
    if not 0 < len(name) <= 200:
        raise MeasureError(f"a name of {len(name)} letters", "write one of 1 to 200")
    return name


def _one_of(names: Sequence[str]) -> Callable[[str], str]:
    def read(text: str) -> str:
        found = next((name for name in names if name.casefold() == text.strip().casefold()), None)
        if found is None:
            raise MeasureError(f'"{text}" is not among the answers', suggest(text, names))
        return found

    return read


def _length(text: str, units: Unit, least: float) -> str:
    metres = parse_length(text, units)
    if metres < least:
        raise MeasureError(f"a length of {text}", f"give one of {format_length(least, units)} or more")
    return " ".join(text.split())


def _leg(text: str, units: Unit) -> Leg:
    return Leg(*parse_leg(text, units), " ".join(text.split()))


def _wall(text: str, walls: int) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= walls):
        raise MeasureError(f'"{text}" is not a wall', f"they are counted from 1 to {walls} in the order you walked")
    return int(text)


def _bearing(text: str) -> str:
    if text:
        parse_bearing(text)
    return text
