"""What became of each taped wall and diagonal, in words."""

from __future__ import annotations

import math

from preview.paper.words.layer_notes import Row
from preview.room.room import Measure, Misclosure, Room, TapeAdjustment
from preview.room.tapes import BEARING
from preview.scene.job import Unit
from preview.units import format_count, format_length, system


def wall_note(room: Room, wall: int, units: Unit) -> str:
    """Return what the adjustment changed of a taped wall (from 1) in brackets; nothing where nothing shows."""
    if room.adjustment is None or room.adjustment.bearings == "none":
        return ""
    changed = _changed(room.adjustment.measures[wall - 1], units)
    return f" ({changed})" if changed else ""


def tape_rows(room: Room, units: Unit) -> list[Row]:
    """Return how well the walk closed, or how well the tapes agree and what became of the directions walked."""
    if room.misclosure is not None:
        return [("Closing gap", _closed(room.misclosure, units))]
    if room.adjustment is None:
        return []
    adjustment = room.adjustment
    rows = [
        (f"Diagonal {each.first}-{each.last}", _diagonal(each, units))
        for each in adjustment.measures
        if each.kind == "diagonal"
    ]
    if adjustment.bearings == "none":
        return [*rows, ("Corners", "held as given; the diagonals only check them")]
    return [*rows, ("Tapes", _agreement(adjustment, units)), ("Directions", _directions(adjustment))]


def _closed(misclosure: Misclosure, units: Unit) -> str:
    share = 100 * misclosure.length / misclosure.perimeter
    closed = format_length(misclosure.length, units)
    return f"{closed}, {share:.2f} % of the way round: spread over the lengths of the walls; their directions stay"


def _diagonal(measure: Measure, units: Unit) -> str:
    words = format_length(measure.adjusted, units)
    changed = _changed(measure, units)
    return f"{words} ({changed})" if changed else words


def _changed(measure: Measure, units: Unit) -> str:
    """Return ``taped 13' 2", 1/8" less``, or nothing where the two print alike."""
    taped, adjusted = format_length(measure.measured, units), format_length(measure.adjusted, units)
    if taped == adjusted:
        return ""
    return f"taped {taped}, {format_length(abs(measure.change), units)} {'less' if measure.change > 0 else 'more'}"


def _agreement(adjustment: TapeAdjustment, units: Unit) -> str:
    walls = sum(each.kind == "wall" for each in adjustment.measures)
    count = f"{walls} walls and {format_count(len(adjustment.tapes) - walls, 'diagonal')}"
    if adjustment.bearings == "free" and not adjustment.spare:
        return f"{count}, none to spare: a wrong one would not show"
    largest = adjustment.largest
    change = format_length(abs(largest.change), units)
    if change == format_length(0.0, units):
        told = "none is changed by as much as can be read off a tape"
    else:
        told = f"changed by up to {change}, {largest.name}"
    if adjustment.bearings == "loose":
        return f"{count}; {told}"
    spread, expected = (_fine(share * largest.spread, units) for share in (adjustment.reference, 1.0))
    return (
        f"{count}, {adjustment.spare} to spare; {told}; a tape is {spread} off as a rule (standard deviation), where "
        f"{expected} is usual"
    )


def _fine(metres: float, units: Unit) -> str:
    return f'{metres / 0.0254:.2f}"' if system(units) == "imperial" else f"{1000 * metres:.1f} mm"


def _directions(adjustment: TapeAdjustment) -> str:
    most = max(range(len(adjustment.turns)), key=lambda wall: abs(adjustment.turns[wall]))
    off = f"wall {most + 1} comes out {abs(math.degrees(adjustment.turns[most])):.1f}° from the direction walked"
    if adjustment.bearings == "free":
        return f"only that of wall 1 counts: walls and diagonals fix the shape; {off}"
    wanted = ", ".join(f"{first}-{last}" for first, last in adjustment.wanted)
    more = f"; {'diagonal' if len(adjustment.wanted) == 1 else 'diagonals'} {wanted} would fix it" if wanted else ""
    loose = f"taken as right to {math.degrees(BEARING):.0f}°, as walls and diagonals leave the shape open{more}"
    return f"{loose}; {off}"
