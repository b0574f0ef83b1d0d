"""The questions about paint: what the pictures show on walls, ceiling, trim and cabinets."""

from __future__ import annotations

from preview.scene.answers import PaintAnswers
from preview.scene.ask_readers import paint
from preview.scene.talk import Talk
from preview.scene.woods import Names


def ask_paint(talk: Talk, woods: Names, cabinets: bool) -> PaintAnswers:
    """Ask what the room is painted in; `cabinets` says whether there are any to be painted."""
    read = paint(woods["paint"])
    known = ", ".join(dict.fromkeys(woods["paint"].values()))
    question = f"Paint of the walls, a name ({known}) or a colour, #e8e2d6 (nothing: leave it to the program)"
    return PaintAnswers(
        walls=talk.one("paint-walls", question, "", read),
        ceiling=talk.one("paint-ceiling", "Paint of the ceiling", "", read),
        trim=talk.one("paint-trim", "Paint of baseboards, casings and doors", "", read),
        cabinets=talk.one("paint-cabinets", "Paint of the cabinets", "", read) if cabinets else "",
    )
