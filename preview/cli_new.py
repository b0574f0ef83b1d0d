"""The command line of a new scene: an option for each question."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from preview.cli_options import FILE, from_materials
from preview.interrupts import raise_when_told
from preview.terminal import ask, remark, tell

ANSWERS = {
    "title": "Name of the room.",
    "units": "Unit of numbers without one: in, ft, mm, cm or m.",
    "wall": "Direction and length of a wall: E 15 ft 6 in. Repeat for each.",
    "diagonal": "corner; corner; length: 1; 3; 21 ft 4 in. Repeat for each.",
    "height": "Height of the ceiling.",
    "baseboard": "Thickness of the baseboard, 0 for none.",
    "opening": "name; kind; wall; offset; width; (sill;) height. Repeat for each.",
    "obstacle": "name; kind; wall; offset; width; depth; distance from the wall. Repeat for each.",
    "vent": "wall; offset; distance from the wall; along; across. Repeat for each.",
    "board-width": "Face width of a board.",
    "board-length": "Length of a board, or fit.",
    "species": "Wood of the field.",
    "cut": "How it is sawn: plainsawn, riftsawn or quartersawn.",
    "stain": "Stain of the field, or none.",
    "finish": "Finish: matt, satin, ...",
    "run": "Direction of the courses: N, E, 45, ...",
    "center": "What the courses are centred on: room, or an opening.",
    "border": "Width of the border, 0 for none.",
    "border-species": "Wood of the border.",
    "strip": "Width of a feature strip between border and field, 0 for none.",
    "strip-species": "Wood of the feature strip.",
    "paint-walls": "Paint of the walls: a name, or #rrggbb.",
    "paint-ceiling": "Paint of the ceiling.",
    "paint-trim": "Paint of baseboards, casings and doors.",
    "paint-cabinets": "Paint of the cabinets.",
    "variant": "name; board width; centre; wood; stain; border; walls; strip: to compare. Repeat for each.",
}
"""The options, in the order of the questions that they answer."""


def answers(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of `ANSWERS`."""
    for name, words in reversed(ANSWERS.items()):  # the last decorator's option comes first
        option = click.option(f"--{name}", multiple=words.endswith("Repeat for each."), metavar="TEXT", help=words)
        command = option(command)
    return command


@click.command(epilog="Example:  preview new study.toml")
@click.argument("file", type=FILE, help="Scene file to write; it must not exist yet.")
@answers
@from_materials
def new(file: Path, materials: Path | None, **given: str | tuple[str, ...] | None) -> None:
    """Ask for a room's measurements, and write its scene. Options answer questions in advance."""
    from preview.commands.new import new_scene

    answered = {name.replace("_", "-"): answer for name, answer in given.items() if answer is not None and answer != ()}
    texts = {name: (answer,) if isinstance(answer, str) else answer for name, answer in answered.items()}
    typed = sys.stdin is not None and sys.stdin.isatty()
    raise_when_told()
    tell(new_scene(file, ask, remark, texts, materials, keep=typed))
