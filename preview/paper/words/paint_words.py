"""The room's paint in words: what the scene gives, what the pictures make up, and which colours were measured."""

from __future__ import annotations

from collections.abc import Sequence

from preview.floor.laid import LaidFloor
from preview.model.paints import is_whiter_than_paint, paint_code
from preview.paper.words.layer_notes import Row
from preview.paper.words.numbers import and_list
from preview.room.room import Room
from preview.scene.job import Job, PaintChoice
from preview.wood.species import read_tables

OWN = {"walls": "wall", "ceiling": "ceiling", "trim": "trim", "cabinets": "cabinet"}
"""The program's own paint of each surface that a scene may paint."""

STAND_IN = "a stand-in"
"""What stands for the paint of a surface for which a scene has none."""


def chosen_paints(paint: PaintChoice) -> dict[str, str]:
    """Return the paints that a scene gives, by surface."""
    return {surface: name for surface, name in vars(paint).items() if name is not None}


def paint_rows(job: Job) -> list[Row]:
    """Return a line for each surface that the scene paints: with what, how it looks on a screen, who measured it."""
    return [(surface.capitalize(), _told(name, job)) for surface, name in chosen_paints(job.paint).items()]


def paint_remarks(job: Job, room: Room) -> tuple[str, ...]:
    """Return warnings about a paint that can't be shown as it is given, or not at all."""
    found = chosen_paints(job.paint)
    said = [
        f"no paint is as white as the {name} of paint.{surface}: it is drawn as {paint_code(name)}, about the whitest"
        for surface, name in found.items()
        if is_whiter_than_paint(name)
    ]
    if "cabinets" in found and not _has_cabinets(room):
        said.append("paint.cabinets paints nothing: the room has no cabinet and no island")
    return tuple(said)


def paint_lines(floors: Sequence[LaidFloor]) -> list[tuple[str, tuple[str, ...]]]:
    """Return a line for each surface that one of the floors' scenes paints: its label, and the paint of each."""
    shown = [chosen_paints(floor.job.paint) for floor in floors]
    return [
        (f"Paint of the {surface}", tuple(each.get(surface, STAND_IN) for each in shown))
        for surface in OWN
        if any(surface in each for each in shown)
    ]


def painted_words(job: Job, room: Room) -> str:
    """Return in which paint the pictures show a room, a clause; nothing where the scene gives none."""
    clauses = [f"the {surface} in {name}" for surface, name in _seen(job, room).items()]
    return and_list(clauses) if clauses else ""


def unpainted(job: Job, room: Room) -> str:
    """Return of what the paint is made up, "the paint" where it is all of it; nothing where the scene gives all."""
    missing = [surface for surface in _shown_surfaces(room) if surface not in chosen_paints(job.paint)]
    if len(missing) == len(_shown_surfaces(room)):
        return "the paint"
    return f"the paint of {and_list([f'the {surface}' for surface in missing])}" if missing else ""


def estimated(job: Job, room: Room) -> str:
    """Return which paints have a colour that was never measured, "the paint" where all have; nothing where none."""
    paints = _seen(job, room, defaults=True)
    guessed = [surface for surface, name in paints.items() if _is_estimate(name, job)]
    if len(guessed) == len(paints):
        return "the paint"
    return f"the paint of {and_list([f'the {surface}' for surface in guessed])}" if guessed else ""


def from_screens(job: Job, room: Room) -> list[str]:
    """Return the colours among a room's paints that were given as a screen or a fan deck shows them."""
    return list(dict.fromkeys(name for name in _seen(job, room).values() if name.startswith("#")))


def _seen(job: Job, room: Room, defaults: bool = False) -> dict[str, str]:
    """Return the paints, by surface, that a room shows: those that the scene gives, or with `defaults` all."""
    found = chosen_paints(job.paint)
    names = {surface: found.get(surface, OWN[surface]) for surface in _shown_surfaces(room)}
    return names if defaults else {surface: name for surface, name in names.items() if surface in found}


def _shown_surfaces(room: Room) -> list[str]:
    return [surface for surface in OWN if surface != "cabinets" or _has_cabinets(room)]


def _has_cabinets(room: Room) -> bool:
    return any(each.kind in ("cabinet", "island") for each in room.obstacles)


def _told(name: str, job: Job) -> str:
    if name.startswith("#"):
        return f"{name}, as a screen or a fan deck shows it, an estimate"
    source = str(read_tables("paints", job.materials)[name].get("source", "estimate"))
    return f"{name}, {paint_code(name, job.materials)}, {'an estimate' if is_guess(source) else source}"


def _is_estimate(name: str, job: Job) -> bool:
    return name.startswith("#") or is_guess(read_tables("paints", job.materials).get(name, {}).get("source"))


def is_guess(source: object) -> bool:
    """Whether a source says that a value was read nowhere, or there is none."""
    return source is None or str(source).startswith("estimate")
