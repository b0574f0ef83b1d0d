"""A scene as it stands, as pages show it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from preview.live.controls import Control
from preview.live.scene_version import SceneVersion
from preview.live.values import values

Json = dict[str, Any]


def scene_state(version: SceneVersion, shown: Sequence[Control]) -> Json:
    """Return a version's variants, with what each changes in words, its controls, and their values in each variant."""
    base, jobs = version.jobs[0], version.jobs
    found = {job.variant: values(shown, version.document, number, jobs) for number, job in enumerate(jobs)}
    return {
        "title": base.title,
        "units": base.units,
        "variants": [
            {
                "name": job.variant,
                "base": number == 0,
                "changes": _changes(version, number, shown, found[job.variant]),
                "same": number > 0 and replace(job, variant=base.variant) == base,
            }
            for number, job in enumerate(jobs)
        ],
        "controls": [each.told() for each in shown],
        "values": found,
    }


def _changes(version: SceneVersion, number: int, shown: Sequence[Control], found: Mapping[str, Json]) -> list[str]:
    """Return in words what a variant has of its own."""
    if number == 0:
        return []
    told = [f"{each.label}: {found[each.key]['text']}" for each in shown if found[each.key]["own"]]
    measured = [key for key in ("room", "openings", "obstacles", "vents") if key in version.own(number)]
    return told + [f"{each.capitalize()} measured otherwise" for each in measured]
