"""The questions about the floor: boards, wood, which way it runs, border and feature strip, what else to compare."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from preview.letters import same
from preview.scene.answers import FloorAnswers, PaintAnswers, VariantAnswer
from preview.scene.ask_readers import bearing, length, material, name, one_of, paint
from preview.scene.job import Unit
from preview.scene.nodes import listed
from preview.scene.schema import STRIP_WIDTHS
from preview.scene.talk import Talk
from preview.scene.woods import Names
from preview.units import MeasureError, format_length, parse_length, system

FIT = "fit"
NO_STRIP = "0"


def ask_floor(talk: Talk, units: Unit, openings: Sequence[str], woods: Names) -> FloorAnswers:
    """Ask for the floor of a room with openings of these names."""
    imperial = system(units) == "imperial"
    width = talk.one("board-width", "Face width of a board", "4 in" if imperial else "90 mm", length(units, 0.01))
    question = f"Length of a board, or {FIT}: the one that suits the room"
    long = talk.one("board-length", question, FIT, _board_length(units, width))
    names = _known(woods, "species")
    wood = talk.one("species", f"Wood of the field ({names})", "white oak", material(woods["species"]))
    cut = talk.one("cut", "How it is sawn", "plainsawn", one_of(("plainsawn", "riftsawn", "quartersawn")))
    stain = talk.one("stain", f"Stain ({_known(woods, 'stain')})", "none", material(woods["stain"]))
    finish = talk.one("finish", f"Finish ({_known(woods, 'finish')})", "satin", material(woods["finish"]))
    run = talk.one(
        "run", "Direction of the courses (N, E, 45, ...; leave blank to let the program choose)", "", bearing
    )
    centers = ("room", *openings)
    center = talk.one("center", f"What the courses are centred on: {listed(centers, 'or')}", "room", one_of(centers))
    border = talk.one("border", "Width of the border, 0 for none", "0", length(units))
    other = strip = inlaid = ""
    if parse_length(border, units) > 0:
        other = talk.one("border-species", "Wood of the border", wood, material(woods["species"]))
        question = "Width of a feature strip between border and field, 0 for none"
        strip = talk.one("strip", question, NO_STRIP, _strip(units))
        if strip:
            inlaid = talk.one("strip-species", "Wood of the feature strip", other, material(woods["species"]))
    return FloorAnswers(
        board_width=width,
        board_length="" if long == FIT else long,
        species=wood,
        cut=cut,
        stain=stain,
        finish=finish,
        run=run,
        center=center,
        border=border,
        border_species="" if other == wood else other,
        strip=strip,
        strip_species="" if inlaid == other else inlaid,
    )


def _known(woods: Names, kind: str) -> str:
    """Return the names of a kind: species by the alphabet, the others as their file has them."""
    names = dict.fromkeys(woods[kind].values())
    return ", ".join(sorted(names) if kind == "species" else names)


def _board_length(units: Unit, width: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text.strip().casefold() == FIT:
            return FIT
        typed = length(units, 0.05)(text)
        if parse_length(typed, units) < parse_length(width, units):
            raise MeasureError(f"a length of {typed} under the width of {width}", "give the longer side as the length")
        return typed

    return read


def _strip(units: Unit) -> Callable[[str], str]:
    """Return the reader of a feature strip's width; nothing for a width of 0."""
    least, most = STRIP_WIDTHS

    def read(text: str) -> str:
        width = parse_length(text, units)
        if width and not least <= width <= most:
            low, high = (format_length(each, units) for each in STRIP_WIDTHS)
            raise MeasureError(f"a feature strip of {text}", f"give 0, or a width between {low} and {high}")
        return " ".join(text.split()) if width else ""

    return read


def ask_variants(
    talk: Talk, units: Unit, openings: Sequence[str], woods: Names, base: FloorAnswers, painted: PaintAnswers
) -> tuple[VariantAnswer, ...]:
    """Ask what else to compare, each by its name and what it has otherwise than the floor itself."""
    names, centers = ["as drawn"], ("room", *openings)

    def read(first: str) -> VariantAnswer:
        called = name(first)
        if same(called) in names:
            raise MeasureError(f'a second "{called}"', "give each a name of its own")
        questions: tuple[tuple[str, str, str, Callable[[str], Any]], ...] = (
            ("board_width", "face width of a board", base.board_width, length(units, 0.01)),
            ("center", "centred on", base.center, one_of(centers)),
            ("species", "wood of the field", base.species, material(woods["species"])),
            ("stain", "stain", base.stain, material(woods["stain"])),
            ("border", "width of the border", base.border, length(units)),
            ("walls", "paint of the walls", painted.walls, paint(woods["paint"])),
        )
        changes = {}
        for key, question, before, reader in questions:
            answer = talk.one("variant", f"  {question}", before, reader)
            if answer != before:
                changes[key] = answer
        if parse_length(changes.get("border", base.border), units) > 0:
            question = "  width of the feature strip, 0 for none"
            answer = talk.one("variant", question, base.strip or NO_STRIP, _strip(units))
        else:
            answer = ""
        if answer != base.strip:
            changes["strip"] = answer
        if not changes:
            raise MeasureError(f'"{called}" changes nothing', "give it something that the floor itself has otherwise")
        names.append(same(called))
        return VariantAnswer(called, changes)

    return talk.things("variant", "Another layout to compare: its name", read)
