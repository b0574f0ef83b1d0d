"""An evaluated layout as a variant of its scene: what it is called, and what it sets."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from math import degrees

from preview.floor.patterns import pattern_of
from preview.letters import same
from preview.options.evaluate import Evaluated
from preview.scene.job import Center, Job, Unit
from preview.units import format_count, format_exact, format_length, parse_length


def name_of(each: Evaluated, base: Job, taken: Collection[str] = ()) -> str:
    """Return a name that says what sets the layout apart from the base scene; it is not among `taken`, in any case."""
    job = each.candidate.job
    units, choice = job.units, job.floor
    size = f"{format_length(choice.board_width, units)} × {long_words(each, units)}"
    words = f"On {center_words(choice.center)}, {format_count(each.count, 'course')} of {size}"
    if job.border.width != base.border.width:
        words += f", border {format_length(job.border.width, units)}"
    if choice.start != base.floor.start:
        words += {"both": ", same at both ends", "full": ", full at the near end"}.get(str(choice.start), "")
    known = {same(name) for name in taken}
    name, count = words, 1
    while same(name) in known:
        count += 1
        name = f"{words} ({count})"
    return name


def long_words(each: Evaluated, units: Unit) -> str:
    """Return how long a layout's boards are, from the shortest to the longest where lengths are mixed."""
    longest = format_length(each.length, units)
    return longest if each.shortest is None else f"{format_length(each.shortest, units)} to {longest}"


def changes(each: Evaluated, own: Evaluated) -> list[str]:
    """Return in words what a layout has otherwise than the scene's own choice; boards that were fitted anew are told
    too, since that is a second thing that changes."""
    job, base = each.candidate.job, own.candidate.job
    units = job.units

    def instead(here: float, there: float, none: str = "") -> str:
        words = [format_length(each, units) if each or not none else none for each in (here, there)]
        return f"{words[0]} instead of {words[1]}"

    found = []
    if job.floor.center != base.floor.center:
        found.append(f"on {center_words(job.floor.center)}")
    wide = job.floor.board_width != base.floor.board_width
    long = format_length(each.length, units) != format_length(own.length, units)
    if wide:
        found.append(f"boards {instead(job.floor.board_width, base.floor.board_width)} wide")
    if long:
        words = f"{instead(each.length, own.length)} long"
        found.append(words if wide else f"boards {words}")
    if each.count != own.count:
        found.append(f"{format_count(each.count, 'course')} instead of {own.count}")
    if job.border.width != base.border.width:
        found.append(f"border {instead(job.border.width, base.border.width, 'none')}")
    if job.floor.start != base.floor.start:
        found.append(
            {"both": "the same ends near and far", "full": f"{pattern_of(job).full_start} at the near end"}[
                str(job.floor.start)
            ]
        )
    return found


def center_words(center: Center) -> str:
    """Return what a floor is centred on, in words."""
    return {"room": "the room", "opening": f"the {center.opening}", "point": "a point"}[center.kind]


def as_job(each: Evaluated, name: str) -> Job:
    """Return the layout as a job of its own, as it is read again from a scene that has it as a variant."""
    job = each.candidate.job
    length = None if job.floor.board_length is None else _written(each)
    return replace(job, variant=name, floor=replace(job.floor, board_length=length))


def settings(each: Evaluated, base: Job) -> dict[str, object]:
    """Return the keys, such as ``floor.board_length``, that make the layout of the base scene, and their values as a
    scene file has them."""
    job = as_job(each, base.variant)
    units, choice, own = job.units, job.floor, base.floor
    found: dict[str, object] = {}
    if choice.board_width != own.board_width:
        found["floor.board_width"] = _exact(choice.board_width, units)
    if choice.board_length != own.board_length:
        found["floor.board_length"] = _exact(each.length, units)
    if choice.courses != own.courses:
        found["floor.courses"] = choice.courses
    if choice.center != own.center:
        found["floor.center"] = {"opening": choice.center.opening} if choice.center.kind == "opening" else "room"
    if choice.run is not None and choice.run != own.run:
        found["floor.run"] = round(degrees(choice.run), 9)
    if choice.start != own.start:
        found["floor.start"] = choice.start
    if job.border.width != base.border.width:
        found["border.width"] = _exact(job.border.width, units)
    return found


def _written(each: Evaluated) -> float:
    """Return the length of the boards as it is read back from the text that is written of it."""
    units = each.candidate.job.units
    return parse_length(_exact(each.length, units), units)


def _exact(metres: float, units: Unit) -> str:
    """Return a length as a scene file has it, without rounding: 350 mm stay 350 mm in a scene in inches."""
    return format_exact(metres, units).partition(" (")[0]
