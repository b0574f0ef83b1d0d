"""What a customer is told of the pictures: what in them is a stand-in, and which colours were never measured."""

from __future__ import annotations

from preview.light.sources.lamps import lamps_for
from preview.paper.words.numbers import and_list
from preview.paper.words.paint_words import estimated, from_screens, is_guess, unpainted
from preview.room.room import Room
from preview.scene.job import Job, WoodChoice
from preview.wood.species import load_species, read_tables

VARIES = (
    "Real wood varies from board to board in colour, grain and figure, and changes with light and age. The pictures "
    "show boards of this kind, not these very boards; screens and paper vary too. Please choose wood and finish from "
    "samples."
)
STANDING_IN = {"hearth": "the fireplace", "cabinet": "the cabinets", "island": "the island"}


def picture_words(room: Room, job: Job) -> str:
    """Return what the pictures of a floor are, in a few sentences."""
    said = [
        "The pictures are computed from the measured room.",
        _stand_ins(room, job),
        _shown(job),
        _estimates(room, job),
        _screens(room, job),
        VARIES,
    ]
    return " ".join(each for each in said if each)


def _shown(job: Job) -> str:
    """Say when the pictures show the floor, where that isn't on the day it is finished."""
    woods = job.woods if job.border.width > 0 else (job.wood,)
    years = max(each.age for each in woods)
    said = [f"after {years:g} {'year' if years == 1 else 'years'} of daylight"] if years else []
    if job.wood.season != "install" and job.wood.moisture is not None:
        said.append(f"with its joints as they are in {job.wood.season}")
    return f"They show the floor {and_list(said)}." if said else ""


def _stand_ins(room: Room, job: Job) -> str:
    kinds = dict.fromkeys(each.kind for each in room.obstacles)
    things = [STANDING_IN[kind] for kind in kinds if kind in STANDING_IN]
    if any(not each.passable for each in room.openings):
        things.append("the garden")
    if any(each.passable for each in room.openings):
        things.append("the next room")
    if lamps_for(room, job.light):
        things.append("the lamplight")
    if paint := unpainted(job, room):
        things.append(paint)
    if not things:
        return ""
    said = and_list(things)
    return f"{said[:1].upper()}{said[1:]} in them {'are stand-ins' if len(things) > 1 else 'is a stand-in'}."


def _estimates(room: Room, job: Job) -> str:
    """Name what has a colour that its material file gives as an estimate; the course of ageing always is one."""
    woods = job.woods if job.border.width > 0 else (job.wood,)
    named = list(dict.fromkeys(name for wood in woods for name in _estimated(wood, job)))
    if paint := estimated(job, room):
        named.append(paint)
    ages = any(wood.age and load_species(wood.species, job.materials).ageing for wood in woods)
    if not named:
        return "How the wood ages is an estimate and was not measured." if ages else ""
    said = f"The colours of {and_list(named)}{', and how the wood ages,' if ages else ''}"
    return f"{said} are estimates and were not measured."


def _screens(room: Room, job: Job) -> str:
    """Say where a paint's colour comes from that was given as a code."""
    if not (codes := from_screens(job, room)):
        return ""
    one = len(codes) == 1
    return f"{and_list(codes)} {'is' if one else 'are'} as a screen or a fan deck shows {'it' if one else 'them'}."


def _estimated(wood: WoodChoice, job: Job) -> list[str]:
    species = load_species(wood.species, job.materials)
    found = [wood.species] if species.shows in species.estimates else []
    stain = read_tables("stains", job.materials).get(wood.stain, {})
    if wood.stain != "none" and is_guess(stain.get("source")):
        found.append(f"the {wood.stain} stain")
    return found
