"""A scene at one time, and what of its base differs from another time."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preview.errors import UsageError
from preview.letters import same
from preview.scene.document import MOST_BYTES
from preview.scene.edit import Edit, edited, value_at
from preview.scene.job import Job
from preview.scene.nodes import suggest
from preview.scene.read import read_scene
from preview.scene.schema import INNER, SECTIONS, VARYING

Json = dict[str, Any]


@dataclass(frozen=True)
class SceneVersion:
    """The scene at one time: its text, what the text says, its jobs, and in words what led to it."""

    text: str
    document: Mapping[str, Any]
    jobs: tuple[Job, ...]
    what: str = ""

    def number(self, variant: str | None) -> int:
        """Return the number of a variant, 0 for the base, which None means too; a name may be in any case.

        Raises:
            UsageError: none is called so.
        """
        if not variant:
            return 0
        for number, job in enumerate(self.jobs):
            if same(job.variant) == same(variant):
                return number
        raise UsageError(
            f'no variant is called "{variant[:200]}"; {suggest(variant[:200], [job.variant for job in self.jobs])}'
        )

    def own(self, number: int) -> Mapping[str, Any]:
        """Return what a variant itself sets, for the base all."""
        found: Mapping[str, Any] = value_at(self.document, f"variants[{number}]") if number else self.document
        return found


def read_version(text: str, file: Path, materials: Path | None, what: str = "") -> SceneVersion:
    """Read a scene's text; variants that have come to be the same as the base are read too.

    Raises:
        SceneError, UsageError: as `read_scene`.
    """
    if len(text.encode()) > MOST_BYTES:
        raise UsageError("the scene would be too large; a scene is a short text, of 1 MB at most")
    jobs = read_scene(text, str(file), materials=materials, equal=True)
    return SceneVersion(text, tomllib.loads(text.removeprefix("\ufeff")), jobs, what)


def base_changes(before: SceneVersion, now: SceneVersion) -> Json:
    """Return what of the base is otherwise than before, as a variant sets it: table by table."""
    found: Json = {}
    for key in _varying_paths(now.document):
        value = value_at(now.document, key)
        if value is not None and value != value_at(before.document, key):
            *tables, last = key.split(".")
            inner = found
            for each in tables:
                inner = inner.setdefault(each, {})
            inner[last] = value
    return found


def with_base_of(before: SceneVersion, now: SceneVersion, file: str) -> str:
    """Return the text of the scene with its base as it was before, its variants as they are now."""
    keys = dict.fromkeys((*_varying_paths(now.document), *_varying_paths(before.document)))
    there = {key: value_at(before.document, key) for key in keys}
    edits = [Edit(key, value) for key, value in there.items() if value != value_at(now.document, key)]
    return edited(now.text, edits, file)


MEASURED = ("room", "openings", "obstacles", "vents", "north")
"""What a room is, which no choice of a floor changes: a correction of it stays where a variant is made of choices."""


def _varying_paths(document: Mapping[str, Any]) -> list[str]:
    """Return the keys of the base that a variant may set, as a variant sets them; what was measured is the base's."""
    found = []

    def walk(table: Mapping[str, Any], within: str) -> None:
        for key, value in table.items():
            path = within + key
            if path in MEASURED:
                continue
            if path in (*SECTIONS, *INNER) and isinstance(value, Mapping):
                walk(value, f"{path}.")
            elif within or key in VARYING:
                found.append(path)

    walk(document, "")
    return found
