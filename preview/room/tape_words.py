"""What is said of tapes that disagree: by how much, which is likeliest to be wrong, and the remedy."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon

from preview.room.adjust import UNCONTROLLED
from preview.room.room import Measure, TapeAdjustment
from preview.room.tapes import DOUBTFUL, REFUSED
from preview.scene.job import Diagonal, Unit
from preview.units import format_length

Array = NDArray[np.float64]

SURPRISING = math.radians(12)
"""A wall that comes out further from the direction walked is told: a little over half a point of 22.5° (by choice)."""

LEAST_OUTSIDE = 0.02
"""A diagonal that leaves the room by less than this (metres) may be taped round a corner's bead (by choice)."""

NAMED = 4
"""So many suspects are named; where there are more, they are only counted."""


def refused(adjustment: TapeAdjustment) -> bool:
    """Return whether the measures disagree by more than may be spread over them."""
    return abs(adjustment.worst.normalized) > REFUSED


def doubtful(adjustment: TapeAdjustment) -> bool:
    """Return whether the measures disagree by more than chance explains."""
    return abs(adjustment.worst.normalized) > DOUBTFUL


def disagreement(adjustment: TapeAdjustment, units: Unit) -> str:
    """Return by how much the measures disagree, told at the one that shows it most."""
    worst = adjustment.worst
    if adjustment.bearings == "none":
        return (
            f"{worst.name} is {_say(worst.measured, units)} by the tape and {_say(worst.adjusted, units)} between the "
            "corners as given"
        )
    if worst.kind == "bearing":
        off = abs(math.degrees(worst.change))
        return f"wall {worst.first} comes out {off:.1f}° from the direction walked"
    off = abs(worst.by_others - worst.measured)
    return (
        f"the tapes disagree: {worst.name}, {_say(worst.measured, units)}, comes out {_say(off, units)} "
        f"{'longer' if worst.by_others > worst.measured else 'shorter'} by the others"
    )


def allowed(adjustment: TapeAdjustment, units: Unit) -> str:
    """Return how much of a disagreement at the same place may be spread, as a text."""
    worst = adjustment.worst
    most = REFUSED * worst.spread / math.sqrt(max(worst.redundancy, UNCONTROLLED))
    return f"{math.degrees(most):.1f}°" if worst.kind == "bearing" else _say(most, units)


def remedy(adjustment: TapeAdjustment, units: Unit) -> str:
    """Return what to measure again, naming what is likeliest to be wrong where something is."""
    suspects = adjustment.suspects
    if adjustment.bearings == "none":
        return "measure again, or give the walls as a walk, so that sides and diagonals settle the corners together"
    if len(suspects) == 1 and adjustment.cleared:
        return (
            f"{suspects[0].name} stands clear of the others, which agree without it and make it "
            f"{_say(suspects[0].by_others, units)}: tape it again"
        )
    if adjustment.bearings == "loose":
        return f"walls and diagonals leave the shape open, so check the directions walked{_pairs(adjustment.wanted)}"
    if adjustment.spare == 1:
        return "with one measure to spare none can be told from the others: tape walls and diagonals again"
    return _again(suspects, adjustment)


def turned(adjustment: TapeAdjustment, texts: Sequence[str]) -> list[str]:
    """Return a warning for each wall that comes out far from its direction; `texts` are the walls as typed."""
    said = []
    for wall, turn in enumerate(adjustment.turns):
        if abs(turn) > SURPRISING:
            said.append(
                f'wall {wall + 1}, walked as "{texts[wall]}", comes out {abs(math.degrees(turn)):.0f}° '
                f"{'anticlockwise' if turn > 0 else 'clockwise'} of that: check the diagonals and their corners' "
                "numbers, or correct its direction"
            )
    return said


def outside(diagonals: Sequence[Diagonal], corners: Array) -> list[str]:
    """Return a warning for each diagonal along which no tape can be drawn inside a room of `corners` (n, 2)."""
    grown = Polygon(corners).buffer(LEAST_OUTSIDE, join_style="mitre")
    return [
        f"diagonal {each.first} to {each.last} does not lie inside the room: check its corners' numbers"
        for each in diagonals
        if not grown.covers(LineString(corners[[each.first - 1, each.last - 1]]))
    ]


def _again(suspects: Sequence[Measure], adjustment: TapeAdjustment) -> str:
    named = [each.name for each in suspects]
    if not named:
        return "tape walls and diagonals again"
    if len(named) > NAMED:
        return f"{len(named)} of them may be wrong: tape walls and diagonals again"
    listed = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} or {named[-1]}"
    more = "" if adjustment.cleared else ", and more than one may be"
    return f"the likeliest to be wrong is {listed}{more}: tape again, beginning there"


def _pairs(wanted: Sequence[tuple[int, int]]) -> str:
    if not wanted:
        return ""
    pairs = [f"corner {first} to corner {last}" for first, last in wanted]
    listed = pairs[0] if len(pairs) == 1 else f"{', '.join(pairs[:-1])} and {pairs[-1]}"
    return f"; a tape from {listed} too would fix it"


def _say(metres: float, units: Unit) -> str:
    return format_length(metres, units)
