"""Every layout that was evaluated, as JSON: metres, shares and counts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict

from preview.options.evaluate import Evaluated
from preview.options.rank import Criterion, Ranked
from preview.options.search import Search
from preview.options.variant import changes, name_of, settings
from preview.paper.words.options_text import gives_up, why
from preview.scene.job import Job


def options_json(job: Job, found: Search, ranked: Sequence[Ranked], criteria: Sequence[Criterion]) -> str:
    """Return one JSON document: what was tried, the criteria in order, the ranked layouts and those thrown out."""
    document = {
        "unit": "m",
        "title": job.title,
        "tried": len(found.evaluated),
        "criteria": [{"name": each.name, "meaning": each.meaning, "tolerance": each.tolerance} for each in criteria],
        "options": [
            {
                "place": each.place,
                "equals": each.equals,
                **_choice(each.evaluated, found, job),
                "measures": asdict(each.score),
                "why": why(each, ranked, job.units),
                "gives_up": gives_up(each, ranked, criteria, job.units),
            }
            for each in ranked
        ],
        "thrown_out": [
            {**_choice(each, found, job), "reason": each.reason, "where": each.where}
            for each in found.evaluated
            if each.reason
        ],
    }
    parts = (f"{json.dumps(key)}: {_lines(value)}" for key, value in document.items())
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _choice(each: Evaluated, found: Search, job: Job) -> dict[str, object]:
    chosen = each.candidate.job
    return {
        "name": name_of(each, job),
        "own": each is found.own,
        "changes": changes(each, found.own),
        "settings": settings(each, job),
        "center": asdict(chosen.floor.center),
        "board_width": chosen.floor.board_width,
        "board_length": each.length,
        **({"board_shortest": each.shortest} if each.shortest is not None else {}),
        "courses": each.count,
        "border_width": chosen.border.width,
        "start": chosen.floor.start,
    }


def _lines(value: object) -> str:
    """Return a list of tables with a line for each, anything else on one line."""
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(f" {json.dumps(each, ensure_ascii=False)}" for each in value) + "\n]"
    return json.dumps(value, ensure_ascii=False)
