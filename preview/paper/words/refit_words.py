"""Where a variant's boards were fitted anew: two things changed then, both are told, and what the other length costs.

A variant that moves the centre line keeps "fit" as its board length, so that it is laid in boards of a length of its
own. Whoever compares it with the base compares two things at once, and may want to know what the one alone would be.
"""

from __future__ import annotations

from dataclasses import replace

from preview.errors import SceneError
from preview.floor.facts import EndsAlong
from preview.floor.laid import LaidFloor
from preview.floor.lay import lay_floor
from preview.floor.layout import Layout
from preview.paper.words.numbers import and_list
from preview.scene.job import Job
from preview.units import format_count, format_exact


def refitted(floor: LaidFloor, base: LaidFloor) -> bool:
    """Return whether the program chose for `floor` boards of another length than `base` has in the same pattern, free
    to take any length."""
    job = floor.job
    if floor.layout.facts.name != base.layout.facts.name or floor.layout.board.mixed:
        return False
    free = job.floor.board_length is None and not job.floor.lengths
    return free and _length(job, floor.layout) != _length(job, base.layout)


def headline(floor: LaidFloor, base: LaidFloor) -> str:
    """Return a variant's name, with the length of its boards where they were fitted anew."""
    return ", ".join(filter(None, (floor.job.variant, refit_headline(floor, base))))


def refit_headline(floor: LaidFloor, base: LaidFloor) -> str:
    """Return what stands beside the name of a variant that was fitted anew; nothing where it wasn't."""
    if not refitted(floor, base):
        return ""
    return f"boards {_length(floor.job, floor.layout)} instead of {_length(floor.job, base.layout)} long"


def refit_words(floor: LaidFloor, base: LaidFloor) -> str:
    """Say of a variant that was fitted anew how long its boards are, and what boards as long as the base's would come
    to; of one that is laid of ready-cut blocks which of their lengths was taken; nothing of others."""
    job, layout = floor.job, floor.layout
    if len(job.floor.lengths) > 1 and job.floor.lengths != base.job.floor.lengths and not layout.board.mixed:
        among = and_list([format_exact(each, job.units) for each in job.floor.lengths])
        return f"Of the block lengths to choose from, {among}, {_length(job, layout)} ends best at the sides."
    if not refitted(floor, base):
        return ""
    length = base.layout.board.length
    same = replace(job, floor=replace(job.floor, board_length=length, lengths=()))
    own, other = _length(job, layout), _length(job, base.layout)
    start = f"Its boards are {own} long, not {other} as in \u201c{base.job.variant}\u201d."
    try:
        laid = lay_floor(floor.room, same)
    except SceneError:
        return f"{start} Boards of {other} can't be laid here."
    counts = [format_count(round(each.measures["blanks"]), "board") for each in (laid, layout)]
    takes = f"It takes {counts[1]} either way."
    if counts[0] != counts[1]:
        takes = f"It takes {counts[1]}; of {other} it would take {counts[0]}."
    return " ".join(filter(None, (start, _at_sides(laid, layout, other), takes)))


def _at_sides(laid: Layout, layout: Layout, other: str) -> str:
    """Say what boards come to at worst along the walls at the courses' sides, and what those of the `other` length
    would; nothing where no wall runs with the courses. Where another wall runs askew, those that don't are named."""
    worst = [_worst(each) for each in (laid, layout)]
    if worst[0] is None or worst[1] is None:
        return ""
    walls = [each for each in layout.ends.each if each.wall]
    where = "the side walls"
    if any(each.meets == "angled" for each in walls):
        where = and_list([each.name for each in walls if each.meets == "sides"])
    least = f"Their smallest pieces at {where} are {worst[1].text}"
    if worst[0].text == worst[1].text:
        return f"{least}, like those of boards of {other}."
    return f"{least}; of boards of {other} they would be {worst[0].text}."


def _worst(layout: Layout) -> EndsAlong | None:
    """Return the wall along the courses with the smallest pieces; None where there is none."""
    sides = [each for each in layout.ends.each if each.wall and each.meets == "sides"]
    return min(sides, key=lambda each: each.least, default=None)


def _length(job: Job, layout: Layout) -> str:
    return format_exact(layout.board.length, job.units)
