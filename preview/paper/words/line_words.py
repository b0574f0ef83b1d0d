"""Where the floor's centre line lies, in words that anyone can check who stands in the room."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.floor.features import NEAR, Feature, Meeting, features, meetings
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.floor.sight_lines import sight_offsets
from preview.paper.words.numbers import and_list
from preview.room.places import side_name, side_towards, the
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import format_length, round_length
from preview.vectors import right_of, unit

TURNED = 1e-6
"""Courses that are turned against each other by more than this (radians) run another way."""

SEEN = 0.006
"""A line that leaves a sight line by less than this over the room, metres, about 1/4", keeps to it for who looks (by
choice)."""

NAMED = 2
"""How many features are named at one end of the line, the nearest first."""


def line_words(room: Room, layout: Layout, units: Unit) -> tuple[str, ...]:
    """Say from what to what the centre line runs, where it meets the far wall, and how it leaves a sight line."""
    near = [each for each in features(room, layout) if each.near]
    first, last = meetings(room, layout)
    start = _end([each for each in near if each.end == "near"], first, room, layout, units)
    stop = _end([each for each in near if each.end == "far"], last, room, layout, units)
    said = [f"The centre line starts {start}{',' * (',' in start)} and ends {stop}."]
    for each in (each for each in near if each.end == "between"):
        place = aside_text(each, room, layout, units)
        said.append(f"On its way it passes {the(each.name)} {place}.")
    if any(each.end == "far" for each in near):
        said.append(f"It meets {meeting_text(room, last, units)}.")
    return (*said, *_drifts(room, layout, units))


def choice_words(floors: Sequence[LaidFloor]) -> tuple[str, ...]:
    """Say what the variants choose between where two features that face each other are not in line, and which of
    them each variant meets; nothing where no variant's line lies otherwise than another's, or where the courses are
    turned in one of them, for then what faces what is another matter."""
    first = floors[0]
    units = first.job.units
    if any(abs(np.sin(each.layout.run - first.layout.run)) > TURNED for each in floors):
        return ()
    common = shared_features(floors)
    places = [[round_length(each[name].aside, units) for each in common] for name in (common[0] if common else ())]
    if not any(len(set(row)) > 1 for row in places):
        return ()
    known = [each for each in features(first.room, first.layout) if each.name in common[0]]
    before, beyond = ([each for each in known if each.end == end] for end in ("near", "far"))
    if not before or not beyond:
        return ()
    one, other = (min(each, key=lambda feature: abs(feature.aside)) for each in (before, beyond))
    apart = round_length(abs(one.aside - other.aside), units)
    if not apart:
        return ()
    pair = f"{the(one.name)} and {the(other.name)}"
    how = ", measured square to the centre line" if one.askew or other.askew else ""
    said = [
        f"{pair[:1].upper()}{pair[1:]} are not in line: their middles lie {format_length(apart, units)} apart{how}. "
        "The pattern can run to the middle of one of them, not of both."
    ]
    groups: dict[str, list[str]] = {}
    for floor, offsets in zip(floors, common, strict=True):
        groups.setdefault(_meets([offsets[one.name], offsets[other.name]], units), []).append(floor.job.variant)
    return (*said, *(f"{_quoted(names)}: {words}." for words, names in groups.items()))


def shared_features(floors: Sequence[LaidFloor]) -> list[dict[str, Feature]]:
    """Return for each floor, by name, every feature that all floors have and that lies near the line of at least one of
    them."""
    found = [{each.name: each for each in features(floor.room, floor.layout)} for floor in floors]
    near = [name for name in found[0] if all(name in each for each in found) and any(each[name].near for each in found)]
    return [{name: each[name] for name in near} for each in found]


def aside_text(each: Feature, room: Room, layout: Layout, units: Unit) -> str:
    """Return how far the line lies from a feature's middle: ``in its middle``, or so far off and towards which wall,
    with how that is measured where its face is not square to the line."""
    words = format_length(abs(each.taped), units)
    if words == format_length(0.0, units):
        return "in its middle"
    return f"{words} from its middle,{_how(each)} towards {_side(each, room, layout)}"


def aside_row(each: Feature, room: Room, layout: Layout, units: Unit) -> str:
    """Return the same in few words, for a table: ``in its middle``, or ``8" off, towards wall 4``."""
    words = format_length(abs(each.taped), units)
    if words == format_length(0.0, units):
        return "in its middle"
    return f"{words} off,{_how(each)} towards {_side(each, room, layout)}"


def _how(each: Feature) -> str:
    """Return how the distance from a feature is measured, between blanks, where that makes a difference."""
    if not each.askew:
        return ""
    ways = {"wall": "along its wall", "front": "along its front", "line": "square to the centre line"}
    return f" measured {ways[each.by]}{',' if each.by == 'line' else ''}"


def _side(each: Feature, room: Room, layout: Layout) -> str:
    return side_name(room, each.towards) if each.towards else towards(room, layout, each.aside)


def towards(room: Room, layout: Layout, aside: float) -> str:
    """Return the wall on the right (`aside` above zero) or the left of who looks along the run, by its name."""
    right = right_of(unit(layout.run))
    return side_towards(room, right if aside > 0 else -right)


def meeting_text(room: Room, each: Meeting, units: Unit) -> str:
    """Return the wall that the line meets, and where on it: in its middle, or how far from the nearer corner."""
    count = len(room.corners)
    wall = side_name(room, each.wall)
    if format_length(each.start, units) == format_length(each.stop, units):
        return f"{wall}, in its middle"
    before = each.start < each.stop
    other = (each.wall - 2) % count + 1 if before else each.wall % count + 1
    return f"{wall}, {format_length(min(each.start, each.stop), units)} from its corner with {side_name(room, other)}"


def _end(there: list[Feature], met: Meeting, room: Room, layout: Layout, units: Unit) -> str:
    """Say where an end of the line lies: by the features there, or by the wall."""
    if not there:
        return f"at {meeting_text(room, met, units)}"
    nearest = sorted(there, key=lambda each: abs(each.aside))[:NAMED]
    return " and ".join(
        aside_text(each, room, layout, units).replace("its middle", f"the middle of {the(each.name)}")
        for each in nearest
    )


def _drifts(room: Room, layout: Layout, units: Unit) -> list[str]:
    """Say of each doorway near the line, whose wall isn't quite square to the run, how the line leaves its sight."""
    near = {each.name for each in features(room, layout) if each.near}
    forward = unit(layout.run)
    said = []
    for each in sight_offsets(room, layout):
        drift = each.at_far_wall - each.at_opening
        if each.passable and each.opening in near and SEEN <= abs(drift) <= NEAR:
            looks_along = room.opening(each.opening).inward @ forward > 0
            side = towards(room, layout, drift if looks_along else -drift)
            said.append(
                f"Seen straight in through {the(each.opening)}, the line has moved {format_length(abs(drift), units)} "
                f"towards {side} by the far wall."
            )
    return said


def _meets(met: Sequence[Feature], units: Unit) -> str:
    """Say which of two features the line meets in the middle, and how far off the middle of the other it lies."""
    on = [the(each.name) for each in met if not round_length(abs(each.taped), units)]
    off = [
        f"{format_length(abs(each.taped), units)} off the middle of {the(each.name)}"
        + (f" ({_how(each).strip(' ,')})" if each.askew else "")
        for each in met
        if round_length(abs(each.taped), units)
    ]
    return ", ".join([*([f"in the middle of {' and '.join(on)}"] if on else []), *([" and ".join(off)] if off else [])])


def _quoted(names: Sequence[str]) -> str:
    return and_list([f"“{name}”" for name in names])
