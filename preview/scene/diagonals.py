"""Diagonals as far as the file alone can tell: between which corners they run, and whether walls can span them."""

from __future__ import annotations

from collections.abc import Sequence

from preview.scene.job import Diagonal, Job, Unit
from preview.scene.nodes import Source
from preview.units import format_length

TAPE_ENDS = 0.0127
"""So much too long (metres, half an inch) a tape may read along walls that run in one line (by choice)."""


def check_diagonals(job: Job, source: Source) -> None:
    """Raise SceneError for a diagonal between corners that are not there, are neighbours, or have one already.

    Also for one that is longer than the walls it bridges, or too short for them.
    """
    count = len(job.room.corners or job.room.walk)
    taped: dict[tuple[int, int], int] = {}
    for n, each in enumerate(job.room.diagonals, 1):
        key = f"room.diagonals[{n}]"
        for end, corner in (("from", each.first), ("to", each.last)):
            if corner > count:
                raise source.error(f"{key}.{end}", f"corner {corner}", f"the room has corners 1 to {count}")
        if each.first == each.last:
            raise source.error(f"{key}.to", f"a diagonal from corner {each.first} to itself", "name another corner")
        if (apart := abs(each.last - each.first)) in (1, count - 1):
            wall = min(each.first, each.last) if apart == 1 else count
            found = f"a diagonal from corner {each.first} to {each.last}, which is wall {wall}"
            raise source.error(key, found, "give it between corners that are no neighbours")
        first = taped.setdefault((min(each.first, each.last), max(each.first, each.last)), n)
        if first != n:
            found = f"a second diagonal between corners {each.first} and {each.last}"
            raise source.error(key, found, f"keep this one or room.diagonals[{first}]")
        found = unspanned(each, [leg.length for leg in job.room.walk], job.units) if job.room.walk else ""
        if found:
            raise source.error(f"{key}.length", found, "tape it again, and check the numbers of its corners")


def unspanned(diagonal: Diagonal, lengths: Sequence[float], units: Unit) -> str:
    """Return why a diagonal and the walls on one side of it are no polygon, one being longer than all the rest.

    Args:
        diagonal: its corners and length, metres.
        lengths: of all walls in order, metres.
        units: of what is said.

    Returns:
        a clause, or nothing where both sides can be spanned.
    """
    low, high = sorted((diagonal.first - 1, diagonal.last - 1))
    ends = f"from corner {diagonal.first} to corner {diagonal.last}"
    taped = format_length(diagonal.length, units)
    for walls in ([*range(low, high)], [*range(high, len(lengths)), *range(low)]):
        sides = [lengths[wall] for wall in walls]
        listed = f"{', '.join(str(wall + 1) for wall in walls[:-1])} and {walls[-1] + 1}"
        longest = max(sides)
        rest = sum(sides) - longest + diagonal.length
        if diagonal.length > sum(sides) + TAPE_ENDS:
            return f"{taped} {ends}, but walls {listed} reach only {format_length(sum(sides), units)}"
        if longest > rest + TAPE_ENDS:
            wall = walls[sides.index(longest)] + 1
            return (
                f"{taped} {ends}: of walls {listed}, wall {wall} is {format_length(longest, units)} long, and the "
                f"diagonal and the others reach only {format_length(rest, units)}"
            )
    return ""
