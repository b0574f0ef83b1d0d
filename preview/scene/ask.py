"""The questions of `preview new`, in the order in which one walks a room with a tape.

Each answer comes from what was given up front, or else from `ask`, which may be a person at a keyboard or the lines of
a pipe; where the lines have ended, a question that proposes an answer takes it. An answer that can't be read is asked
for again, with the reason; one that was given up front is an error. "back" goes to the question before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import cast

from preview.scene.answers import Answers
from preview.scene.ask_floor import ask_floor, ask_variants
from preview.scene.ask_paint import ask_paint
from preview.scene.ask_readers import length, name, one_of
from preview.scene.ask_things import ask_obstacles, ask_openings, ask_vents
from preview.scene.ask_walls import Surveyor, ask_walls
from preview.scene.job import Unit
from preview.scene.talk import BACK, Talk, talked
from preview.scene.taped_wall import Wall
from preview.scene.woods import Names
from preview.units import UNITS, system

QUESTIONS = (
    "title",
    "units",
    "wall",
    "diagonal",
    "height",
    "baseboard",
    "opening",
    "obstacle",
    "vent",
    "board-width",
    "board-length",
    "species",
    "cut",
    "stain",
    "finish",
    "run",
    "center",
    "border",
    "border-species",
    "strip",
    "strip-species",
    "paint-walls",
    "paint-ceiling",
    "paint-trim",
    "paint-cabinets",
    "variant",
)
"""What may be answered up front. "wall" once for each wall; "diagonal", "opening", "obstacle", "vent" and "variant"
once for each, its answers in the order of the questions with semicolons between: ``hall door; door; 1; 30; 32 in``."""


def ask_room(
    ask: Callable[[str], str],
    say: Callable[[str], None],
    surveyor: Surveyor,
    woods: Names,
    given: Mapping[str, Sequence[str]],
) -> tuple[Answers, tuple[Wall, ...]]:
    """Ask for a whole room and its floor, and return the answers with the walls of the closed walk.

    Args:
        ask: shows a question and returns a line without its end; raises EOFError where there are no more.
        say: shows a remark.
        surveyor: closes walks and settles diagonals.
        woods: the names of woods there are.
        given: answers given up front, by the names in `QUESTIONS`.

    Raises:
        UsageError: an answer given up front can't be read; the lines ended before a question without a proposal.
    """
    if not set(QUESTIONS) <= set(given):
        say(f'Press Enter to accept the answer in [brackets]; type "{BACK[0]}" to go back one question.')
    return talked(lambda talk: _room(talk, surveyor, woods), ask, say, given)


def _room(talk: Talk, surveyor: Surveyor, woods: Names) -> tuple[Answers, tuple[Wall, ...]]:
    title = talk.one("title", "Name of the room", "Room", name)
    units = cast(Unit, talk.one("units", f"Unit of numbers without one ({', '.join(UNITS)})", "in", one_of(UNITS)))
    imperial = system(units) == "imperial"
    measured = ask_walls(talk, units, surveyor)
    count = len(measured.legs)
    height = talk.one("height", "Height of the ceiling", "8'" if imperial else "2.5 m", length(units, 1.0))
    baseboard = talk.one("baseboard", "Thickness of the baseboard, 0 for none", "0", length(units))
    openings = ask_openings(talk, units, [each.length for each in measured.legs])
    obstacles = ask_obstacles(talk, units, count)
    vents = ask_vents(talk, units, count)
    named = [each.name for each in openings]
    floor = ask_floor(talk, units, named, woods)
    paint = ask_paint(talk, woods, any(each.kind in ("cabinet", "island") for each in obstacles))
    variants = ask_variants(talk, units, named, woods, floor, paint)
    answers = Answers(
        title=title,
        units=units,
        walk=tuple(each.text for each in measured.legs),
        diagonals=measured.diagonals,
        height=height,
        baseboard=baseboard,
        openings=openings,
        obstacles=obstacles,
        vents=vents,
        floor=floor,
        paint=paint,
        variants=variants,
    )
    return answers, measured.walls
