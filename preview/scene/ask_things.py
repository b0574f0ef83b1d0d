"""The questions about what is in a room: openings, obstacles and floor grilles, each measured from a wall."""

from __future__ import annotations

from collections.abc import Sequence

from preview.letters import same
from preview.scene.answers import ObstacleAnswer, OpeningAnswer, VentAnswer
from preview.scene.ask_readers import length, name, one_of, wall
from preview.scene.job import Unit
from preview.scene.nodes import listed
from preview.scene.talk import Talk
from preview.units import MeasureError, format_length, parse_length, system


def ask_openings(talk: Talk, units: Unit, lengths: Sequence[float]) -> tuple[OpeningAnswer, ...]:
    """Ask for doors, cased openings and windows on walls of given lengths, metres."""
    imperial = system(units) == "imperial"
    names: list[str] = []

    def read(first: str) -> OpeningAnswer:
        called = _another(first, names)
        kinds = ("door", "cased opening", "window")
        plain = called.casefold()
        likely = "window" if "window" in plain else "cased opening" if "arch" in plain else "door"
        kind = talk.one("opening", f"  {called}: {listed(kinds, 'or')}", likely, one_of(kinds))
        number = talk.one("opening", "  in wall", None, wall(len(lengths)))
        offset, width = _along(talk, units, number, lengths[number - 1])
        height, sill = ("4'" if imperial else "1.2 m"), ""
        if kind == "window":
            sill = talk.one("opening", "  height of its sill", "3'" if imperial else "0.9 m", length(units))
        else:
            height = "6 ft 8 in" if imperial else "2 m"
        height = talk.one("opening", "  height", height, length(units, 0.1))
        names.append(called)
        return OpeningAnswer(called, kind, number, offset, width, height, sill)

    return talk.things("opening", "Door, opening or window: its name", read)


def ask_obstacles(talk: Talk, units: Unit, walls: int) -> tuple[ObstacleAnswer, ...]:
    """Ask for what the floor stops at, each a rectangle measured from a wall."""
    names: list[str] = []

    def read(first: str) -> ObstacleAnswer:
        called = _another(first, names)
        kinds = ("hearth", "column", "island", "cabinet")
        likely = next((kind for kind in kinds if kind in called.casefold()), "hearth")
        kind = talk.one("obstacle", f"  {called}: {listed(kinds, 'or')}", likely, one_of(kinds))
        number = talk.one("obstacle", "  measured from wall", None, wall(walls))
        offset = talk.one("obstacle", "  from the wall's first corner", None, length(units))
        width = talk.one("obstacle", "  width along the wall", None, length(units, 0.01))
        depth = talk.one("obstacle", "  depth away from it", None, length(units, 0.01))
        clear = talk.one("obstacle", "  how far it stands clear of the wall", "0", length(units))
        names.append(called)
        return ObstacleAnswer(called, kind, number, offset, width, depth, clear)

    return talk.things("obstacle", "Hearth, column, island or cabinet: its name", read)


def ask_vents(talk: Talk, units: Unit, walls: int) -> tuple[VentAnswer, ...]:
    """Ask for floor grilles, each measured from a wall to its middle."""

    def read(first: str) -> VentAnswer:
        number = wall(walls)(first)
        offset = talk.one("vent", "  from the wall's first corner to its middle", None, length(units))
        clear = talk.one("vent", "  from the wall to its middle", None, length(units))
        along = talk.one("vent", "  its frame along the wall", None, length(units, 0.03))
        across = talk.one("vent", "  its frame across", None, length(units, 0.03))
        return VentAnswer(number, offset, clear, along, across)

    return talk.things("vent", "Floor grille: the wall it is measured from", read)


def _another(text: str, names: Sequence[str]) -> str:
    called = name(text)
    if same(called) in map(same, names):
        raise MeasureError(f'a second "{called}"', "give each a name of its own")
    return called


def _along(talk: Talk, units: Unit, number: int, whole: float) -> tuple[str, str]:
    """Ask where an opening begins along a wall and how wide it is, both again where the wall is too short for them."""
    while True:
        offset = talk.one("opening", "  from the wall's first corner", None, length(units))
        width = talk.one("opening", "  width", None, length(units, 0.1))
        if parse_length(offset, units) + parse_length(width, units) <= whole + 1e-6:
            return offset, width
        told = format_length(whole, units)
        found = f"wall {number} is {told} long: too short for {width} after {offset}"
        fault = MeasureError(found, "measure both again")
        if talk.fields is not None:
            raise fault
        talk.complain(fault, lines=2)
