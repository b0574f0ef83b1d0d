"""What is reckoned while the tape is still out: `preview.scene.ask_walls.Surveyor`, by the room's own rules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preview.scene.ask_walls import Taped, Walked
from preview.scene.job import Diagonal, Leg, Unit

if TYPE_CHECKING:
    from preview.room.room import TapeAdjustment


class RoomSurveyor:
    """Closes walks by the compass rule and settles diagonals by least squares."""

    def close(self, legs: Sequence[Leg], units: Unit) -> Walked:
        """Return a walk closed by the compass rule, with its misclosure and the walls likeliest wrong."""
        from preview.room.outline import taped_walls
        from preview.room.walk import compass_rule, limit, remark, suspects

        corners, misclosure = compass_rule(legs)
        allowed = limit(misclosure.perimeter)
        worst = suspects(legs, misclosure.vector) if misclosure.length > allowed else (1, 2)
        return Walked(taped_walls(corners), misclosure.length, allowed, worst, remark(legs, misclosure, units))

    def worth_taping(self, legs: Sequence[Leg]) -> list[tuple[int, int]]:
        """Return the diagonals inside the walked room, the most telling first."""
        from preview.room.tapes import worth_taping

        return worth_taping(legs)

    def settle(self, legs: Sequence[Leg], diagonals: Sequence[Diagonal], units: Unit) -> Taped:
        """Return the walls as walls and diagonals settle them, and how well these agree."""
        from preview.room.outline import taped_walls
        from preview.room.tape_words import allowed, disagreement, doubtful, refused, remedy, turned
        from preview.room.tapes import adjust_walk

        corners, adjustment = adjust_walk(legs, diagonals)
        if doubtful(adjustment):
            much = f"more than the {allowed(adjustment, units)} that may be spread"
            spread = much if refused(adjustment) else "which is spread over all"
            told = [f"{disagreement(adjustment, units)}, {spread}", remedy(adjustment, units)]
        else:
            told = [_agreement(adjustment, units), *turned(adjustment, [leg.text for leg in legs])]
        return Taped(
            walls=taped_walls(corners),
            remarks=tuple(told),
            wrong=refused(adjustment),
            doubtful=doubtful(adjustment),
            suspect=_suspect(adjustment),
        )


def _agreement(adjustment: TapeAdjustment, units: Unit) -> str:
    from preview.units import format_length

    if adjustment.bearings == "loose":
        wanted = " and ".join(f"{first} to {last}" for first, last in adjustment.wanted)
        more = f"; a tape from {wanted} too would fix it" if wanted else ""
        return f"walls and diagonals leave the room's shape open, so the directions walked are held loosely{more}"
    if not adjustment.spare:
        return "walls and diagonals fix the shape, with none to spare: a wrong one would not show"
    largest = adjustment.largest
    return (
        f"walls and diagonals agree, {adjustment.spare} to spare: the largest change is "
        f"{format_length(abs(largest.change), units)}, {largest.name}"
    )


def _suspect(adjustment: TapeAdjustment) -> str:
    one = adjustment.suspects[0] if adjustment.suspects else next(m for m in adjustment.tapes if m.kind == "diagonal")
    return str(one.first) if one.kind == "wall" else f"{one.first}-{one.last}"
