"""Other layouts of the room, ranked, each with what it would change of the scene: one press tries it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, get_args

from preview.options.candidates import Fixed
from preview.options.rank import CRITERIA, SLIVERS, order, rank
from preview.options.search import all_candidates, search
from preview.options.variant import name_of, settings
from preview.paper.words.options_text import gives_up, headline, why
from preview.scene.job import Job
from preview.units import format_count

Json = dict[str, Any]

SHOWN = 12


def ranked_options(
    jobs: Sequence[Job], preferred: Sequence[str], kept: Sequence[str], step: Callable[[int, int], None]
) -> list[Json]:
    """Return the best layouts of the base's room with the criterion `preferred` first, and what makes each of the base.

    kept: what stays as the base has it, as `Fixed` names it.
    step: called now and then with how many were looked at of how many; it may raise.

    Raises:
        SceneError: the base can't be laid.
    """
    base, units = jobs[0], jobs[0].units
    tried = all_candidates(jobs, [name for name in get_args(Fixed) if name in kept])
    count = 0

    def done(_: str) -> None:
        nonlocal count
        count += 1
        step(count, len(tried))

    found = search(tried, done)
    criteria = order([name for name in CRITERIA if name in preferred])
    if found.spared:
        criteria = [SLIVERS, *criteria]
    ranked = rank(found.evaluated, criteria)
    taken = [job.variant for job in jobs]
    told = []
    for each in ranked[:SHOWN]:
        boards, cut = format_count(each.score.blanks, "board"), format_count(each.score.cut, "cut piece")
        changed = settings(each.evaluated, base)
        told.append(
            {
                "rank": each.place,
                "name": name_of(each.evaluated, base, taken),
                "words": headline(each.evaluated, found.own),
                "why": _spoken(why(each, ranked, units)),
                "gives_up": [_spoken(said) for said in gives_up(each, ranked, criteria, units)],
                "boards": f"{boards}, {cut}",
                "own": not changed,
                "edits": [{"variant": None, "key": key, "value": value} for key, value in changed.items()],
            }
        )
    return told


def _spoken(text: str) -> str:
    """Return a text with the criteria as one says them, not as they are typed."""
    for name in CRITERIA:
        text = text.replace(name, "sight line" if name == "sightline" else name.replace("-", " "))
    return text
