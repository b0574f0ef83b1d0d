"""What a customer is told of the pictures: what in them is a stand-in, and which colours were never measured."""

from __future__ import annotations

from preview.paper.numbers import and_list
from preview.room.room import Room
from preview.scene.job import Job, WoodChoice
from preview.wood.species import load_species, read_tables

VARIES = (
    "Real wood varies from board to board in colour, grain and figure, and changes with light and age. The pictures "
    "show boards of this kind, not these very boards; screens and paper vary too. Please choose wood and finish from "
    "samples."
)
STANDING_IN = {"hearth": "the fireplace", "cabinet": "the cabinets", "island": "the island"}
PAINTED = ("wall", "ceiling", "trim")


def picture_words(room: Room, job: Job) -> str:
    """Return what the pictures of a floor are, in a few sentences."""
    return " ".join(
        ["The pictures are computed from the measured room.", _stand_ins(room), _estimates(job), VARIES]
    ).replace("  ", " ")


def _stand_ins(room: Room) -> str:
    kinds = dict.fromkeys(each.kind for each in room.obstacles)
    things = [STANDING_IN[kind] for kind in kinds if kind in STANDING_IN]
    if any(not each.passable for each in room.openings):
        things.append("the garden")
    if any(each.passable for each in room.openings):
        things.append("the next room")
    things.append("the paint")
    said = and_list(things)
    return f"{said[:1].upper()}{said[1:]} in them {'are stand-ins' if len(things) > 1 else 'is a stand-in'}."


def _estimates(job: Job) -> str:
    """Name what has a colour that its material file gives as an estimate."""
    woods = [job.wood, *([job.border_wood] if job.border.width > 0 else [])]
    named = list(dict.fromkeys(name for wood in woods for name in _estimated(wood, job)))
    paints = read_tables("paints", job.materials)
    if any(_guessed(paints.get(name, {}).get("source")) for name in PAINTED):
        named.append("the paint")
    return f"The colours of {and_list(named)} are estimates and were not measured." if named else ""


def _estimated(wood: WoodChoice, job: Job) -> list[str]:
    species = load_species(wood.species, job.materials)
    found = [wood.species] if species.shows in species.estimates else []
    stain = read_tables("stains", job.materials).get(wood.stain, {})
    if wood.stain != "none" and _guessed(stain.get("source")):
        found.append(f"the {wood.stain} stain")
    if wood.age and "ageing" in species.estimates and species.ageing:
        found.append(f"{wood.species} as it ages")
    return found


def _guessed(source: object) -> bool:
    """Whether a source says that a value was read nowhere, or there is none."""
    return source is None or str(source).startswith("estimate")
