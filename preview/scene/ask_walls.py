"""The questions about a room's walls and diagonals, and what is said of them while one is still in the room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from preview.errors import UsageError
from preview.scene.answers import DiagonalAnswer
from preview.scene.ask_readers import leg, length, wall
from preview.scene.diagonals import unspanned
from preview.scene.job import Diagonal, Leg, Unit
from preview.scene.talk import Talk
from preview.scene.taped_wall import Wall
from preview.units import MeasureError, format_length, parse_length, system

END = "end"
"""The answer that leaves out the diagonals not yet asked for."""

OUT = "out"
"""The answer that leaves out a diagonal that was taped before."""

TAPE_DIAGONALS = "diagonals"
"""The answer of somebody whose walk doesn't close because the room isn't square."""


@dataclass(frozen=True)
class Walked:
    """A closed walk: its walls; how far it failed to close and how far it may, metres; the two likeliest wrong.

    `remarks` are what to say of a misclosure that is spread.
    """

    walls: tuple[Wall, ...]
    misclosure: float
    allowed: float
    suspects: tuple[int, int]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Taped:
    """Walls settled with diagonals: `remarks` say how well they agree, `wrong` that they don't, `doubtful` hardly.

    `suspect` is what to measure again first: a wall as "3", a diagonal as "1-3".
    """

    walls: tuple[Wall, ...]
    remarks: tuple[str, ...]
    wrong: bool
    doubtful: bool
    suspect: str


class Surveyor(Protocol):
    """Who reckons while the tape is still out: lengths in metres, corners and walls counted from 1."""

    def close(self, legs: Sequence[Leg], units: Unit) -> Walked:
        """Close a walk of three walls or more by the compass rule."""

    def worth_taping(self, legs: Sequence[Leg]) -> Sequence[tuple[int, int]]:
        """Return the diagonals inside the walked room, the most telling first."""

    def settle(self, legs: Sequence[Leg], diagonals: Sequence[Diagonal], units: Unit) -> Taped:
        """Settle the corners of a walk by its walls and at least one diagonal."""


@dataclass(frozen=True)
class Walls:
    """The walls as walked, the diagonals as taped, and the walls that came of them."""

    legs: tuple[Leg, ...]
    diagonals: tuple[DiagonalAnswer, ...]
    walls: tuple[Wall, ...]


def ask_walls(talk: Talk, units: Unit, surveyor: Surveyor) -> Walls:
    """Ask for walls and diagonals, tell how they agree, and let them be measured again while one is in the room."""
    legs = _legs(talk, units)
    while True:
        walked = surveyor.close(legs, units)
        closes = _close(talk, units, surveyor, legs, walked)
        taped = _diagonals(talk, units, surveyor.worth_taping(legs), legs)
        if taped:
            if (settled := _settle(talk, units, surveyor, legs, taped)) is not None:
                return settled
            continue
        if closes is not None:
            return Walls(tuple(legs), (), closes.walls)
        if talk.ended or "wall" in talk.given:
            raise _unclosed(units, legs, walked)
        talk.say("Without diagonals the walk must close.")


def _legs(talk: Talk, units: Unit) -> list[Leg]:
    if "wall" in talk.given:
        legs = [talk.read_given("wall", text, leg(units), "") for text in talk.given["wall"]]
        if len(legs) < 3:
            raise UsageError(f"--wall: {len(legs)} of them; a room has at least three")
        return legs
    example = "E 15 ft 6 in" if system(units) == "imperial" else "E 4.72 m"
    talk.say("Start in a corner and follow the walls until you are back there.")
    talk.say(f"For each wall: its direction (N, NE, E, ..., or degrees clockwise from N) and its length: {example}")
    legs = []
    while True:
        line = talk.line(
            f"Wall {len(legs) + 1}" + (" (leave blank when back at the start): " if len(legs) > 2 else ": ")
        )
        if not line and len(legs) > 2:
            return legs
        if not line and talk.ended:
            raise UsageError(f"the answers ended at wall {len(legs) + 1}; a room has at least three")
        try:
            legs.append(leg(units)(line))
        except MeasureError as error:
            talk.complain(error)


def _close(talk: Talk, units: Unit, surveyor: Surveyor, legs: list[Leg], walked: Walked) -> Walked | None:
    """Tell how the walk closes and have walls measured again until it does; None where diagonals are to settle it."""
    while True:
        off, allowed = (format_length(each, units) for each in (walked.misclosure, walked.allowed))
        if walked.misclosure <= walked.allowed:
            talk.say(f"The walk closes within {off}; up to {allowed} is spread over the walls.")
            for remark in walked.remarks:
                talk.say(f"{remark[:1].upper()}{remark[1:]}.")
            return walked
        if "diagonal" in talk.given:
            return None
        talk.say(f"The walk ends {off} from where it began; up to {allowed} could be spread over the walls.")
        first, second = (f'wall {n}, "{legs[n - 1].text}"' for n in walked.suspects)
        talk.say(f"Likeliest to be wrong: {first}, and {second}.")
        talk.say(f'In a room that is not square, answer "{TAPE_DIAGONALS}": they settle its corners.')
        if talk.ended or "wall" in talk.given:
            raise _unclosed(units, legs, walked)

        def again(text: str) -> int:
            return 0 if text.casefold() == TAPE_DIAGONALS else wall(len(legs))(text)

        number = talk.asked("Which wall did you measure again?", str(walked.suspects[0]), again)
        if not number:
            return None
        legs[number - 1] = talk.asked(f"Wall {number}", legs[number - 1].text, leg(units))
        walked = surveyor.close(legs, units)


def _unclosed(units: Unit, legs: Sequence[Leg], walked: Walked) -> UsageError:
    first, second = (f'wall {n}, "{legs[n - 1].text}"' for n in walked.suspects)
    off = format_length(walked.misclosure, units)
    return UsageError(f"the walk ends {off} from where it began; measure {first}, or {second}, again")


def _diagonals(talk: Talk, units: Unit, pairs: Sequence[tuple[int, int]], legs: Sequence[Leg]) -> list[DiagonalAnswer]:
    """Ask for the diagonals to tape, or take those given up front."""
    if "diagonal" in talk.given:
        given: list[DiagonalAnswer] = []
        for each in talk.things("diagonal", "", lambda first: _given(talk, units, legs, first)):
            if {each.first, each.last} in [{other.first, other.last} for other in given]:
                raise UsageError(f"--diagonal: two from corner {each.first} to corner {each.last}; give one of them")
            given.append(each)
        return given
    taped: list[DiagonalAnswer] = []
    if pairs:
        talk.say("Diagonals tell whether corners are square. Corner 1 is where wall 1 begins.")
        talk.say(f"Leave a line blank to skip one; {END}: leave out the rest.")
    for first, last in pairs:
        found = _diagonal(talk, units, legs, first, last)
        if found == END:
            break
        if found:
            taped.append(DiagonalAnswer(first, last, found))
    return taped


def _diagonal(talk: Talk, units: Unit, legs: Sequence[Leg], first: int, last: int, before: str = "") -> str:
    """Ask for one diagonal; nothing leaves it out, or as it was `before`."""
    others = (OUT,) if before else ("", END)

    def read(text: str) -> str:
        return text.casefold() if text.casefold() in others else _spanned(units, legs, first, last)(text)

    out = f" ({OUT}: leave it out)" if before else ""
    return talk.asked(f"Diagonal from corner {first} to corner {last}{out}", before, read)


def _spanned(units: Unit, legs: Sequence[Leg], first: int, last: int) -> Callable[[str], str]:
    """Return the reader of a diagonal's length that the walls can span."""

    def read(text: str) -> str:
        typed = length(units, 0.05)(text)
        taped = Diagonal(first, last, parse_length(typed, units))
        if found := unspanned(taped, [each.length for each in legs], units):
            raise MeasureError(found, "tape it again")
        return typed

    return read


def _given(talk: Talk, units: Unit, legs: Sequence[Leg], first: str) -> DiagonalAnswer:
    def corner(text: str) -> int:
        if not (text.isascii() and text.isdigit() and 1 <= int(text) <= len(legs)):
            raise MeasureError(f'"{text}" is not a corner', f"they are counted from 1 to {len(legs)}")
        return int(text)

    start = corner(first)
    end = talk.one("diagonal", "to corner", None, corner)
    if abs(end - start) in (0, 1, len(legs) - 1):
        raise MeasureError(f"corners {start} and {end}", "give two that are no neighbours")
    return DiagonalAnswer(start, end, talk.one("diagonal", "length", None, _spanned(units, legs, start, end)))


def _settle(talk: Talk, units: Unit, surveyor: Surveyor, legs: list[Leg], taped: list[DiagonalAnswer]) -> Walls | None:
    """Tell how walls and diagonals agree, and have them measured again while they don't; None where none is left."""
    while taped:
        measured = [Diagonal(each.first, each.last, parse_length(each.length, units)) for each in taped]
        settled = surveyor.settle(legs, measured, units)
        for remark in settled.remarks:
            talk.say(f"{remark[:1].upper()}{remark[1:]}.")
        if settled.wrong and (talk.ended or "diagonal" in talk.given):
            raise UsageError("; ".join(settled.remarks))
        if not (settled.wrong or settled.doubtful) or talk.ended or "diagonal" in talk.given:
            return Walls(tuple(legs), tuple(taped), settled.walls)
        again = _again(talk, settled, legs, taped)
        if again == "":
            return Walls(tuple(legs), tuple(taped), settled.walls)
        if "-" not in again:
            number = int(again)
            legs[number - 1] = talk.asked(f"Wall {number}", legs[number - 1].text, leg(units))
            continue
        place = [f"{each.first}-{each.last}" for each in taped].index(again)
        first, last = taped[place].first, taped[place].last
        found = _diagonal(talk, units, legs, first, last, taped[place].length)
        taped[place : place + 1] = [] if found == OUT else [DiagonalAnswer(first, last, found)]
    return None


def _again(talk: Talk, settled: Taped, legs: Sequence[Leg], taped: Sequence[DiagonalAnswer]) -> str:
    """Ask what was measured again: a wall's number, a diagonal as "1-3", or nothing where nothing must be."""
    known = [f"{each.first}-{each.last}" for each in taped]

    def read(text: str) -> str:
        plain = text.replace(" ", "").replace("to", "-")
        if plain in known or (plain == "" and not settled.wrong):
            return plain
        if plain.isascii() and plain.isdigit() and 1 <= int(plain) <= len(legs):
            return str(int(plain))
        raise MeasureError(f'"{text}" is neither', f"write a wall, 1 to {len(legs)}, or a diagonal: {', '.join(known)}")

    question = f"What did you measure again: a wall (1 to {len(legs)}) or a diagonal ({', '.join(known)})?"
    if settled.wrong:
        return talk.asked(question, settled.suspect, read)
    return talk.asked(f"{question} (leave blank to go on)", "", read)
