"""A scene file to jobs: text, TOML, values, variants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from os import PathLike
from pathlib import Path
from types import MappingProxyType
from typing import Any

from preview.errors import Place, SceneError
from preview.letters import plain, same
from preview.scene.amounts import VARIANTS
from preview.scene.check import check, complete
from preview.scene.document import SCENE_FILE, file_bytes, parsed, plain_text
from preview.scene.fields import text
from preview.scene.job import Job
from preview.scene.nodes import Node, Source, listed, not_more, shown, suggest, table, upwards
from preview.scene.patterns import pattern_keys
from preview.scene.positions import key_lines
from preview.scene.schema import INNER, SCENE, SECTIONS, VARYING, unit
from preview.scene.woods import wood_names

STANDARD_INPUT = "standard input"


def load_scene(
    source: str | PathLike[str], text: str | None = None, *, materials: Path | None = None
) -> tuple[Job, ...]:
    """Return the jobs of a scene file, one for each variant, the base first.

    Args:
        source: the file; where `text` is given only its name, for messages.
        text: the scene itself.
        materials: a folder of material files that adds to the program's own.

    Raises:
        SceneError: for anything wrong with the file, with its place and what is accepted.
        UsageError: where `materials` can't be read.
    """
    return read_scene(file_bytes(Path(source), SCENE_FILE) if text is None else text, str(source), materials=materials)


def read_scene(scene: bytes | str, name: str, *, materials: Path | None = None, equal: bool = False) -> tuple[Job, ...]:
    """Return the jobs of a scene given as text or as the bytes of a file, called `name` in messages.

    equal: whether variants that change nothing are read too, as there may be while a scene is changed.

    Raises:
        SceneError, UsageError: as `load_scene`.
    """
    written = plain_text(scene, name, SCENE_FILE)
    document = parsed(written, name, SCENE_FILE)
    source = Source(name, MappingProxyType(key_lines(written)), woods=wood_names(materials))
    root = Node(document, "", source)
    variants = document.pop("variants", [])
    for key in document:
        if key not in SCENE:
            raise root.child(key, None).error(f"unknown key {shown(key)}", suggest(key, [*SCENE, "variants"]))
    if "units" not in document:
        raise SceneError(Place(name, "units"), 'no "units"', f"add {SCENE['units'].example}, before the first table")
    source = replace(source, unit=unit(root.child("units", document["units"])))
    base = _job(document, source, None)
    jobs = [base]
    if not isinstance(variants, list):
        raise source.error("variants", "a single table", "there may be several: write [[variants]] with two brackets")
    not_more(Node(variants, "variants", source), VARIANTS, "variants")
    for n, variant in enumerate(variants, 1):
        jobs.append(_variant(Node(variant, f"variants[{n}]", source), document, jobs, equal))
    return tuple(jobs if materials is None else (replace(job, materials=materials) for job in jobs))


def _job(document: dict[str, Any], source: Source, variant: str | None) -> Job:
    """Return one variant's job from its whole document."""
    wood = document.get("wood", {})
    border_wood = document.get("border_wood", {})
    if isinstance(wood, dict) and isinstance(border_wood, dict):
        document = {**document, "border_wood": {**wood, **border_wood}}
    build = partial(_assembled, variant=variant, source=source)
    job: Job = table(SCENE, build)(Node(document, "", source))
    check(job, source)
    return job


def _assembled(*, variant: str | None, source: Source, title: str | None, base_name: str, **values: Any) -> Job:  # noqa: ANN401
    lines = MappingProxyType(dict(source.lines))
    title = title or (plain(Path(source.file).stem) if source.file != STANDARD_INPUT else "") or "Floor"
    return complete(Job(file=source.file, title=title, variant=variant or base_name, lines=lines, **values))


def _variant(node: Node, document: dict[str, Any], before: list[Job], equal: bool) -> Job:
    """Return the job of one variant, its values laid over the base's."""
    if not isinstance(node.value, dict):
        raise node.error("a variant that is no table", "begin it with [[variants]]")
    if "name" not in node.value:
        raise node.error('no "name"', 'add name = "what to call it"')
    name = text(node.child("name", node.value["name"]))
    if same(name) in [same(job.variant) for job in before]:
        raise node.child("name", name).error(f'a second variant "{name}"', "give each variant a name of its own")
    changes = {key: value for key, value in node.value.items() if key != "name"}
    for key in changes:
        if key in SCENE and key not in VARYING:
            raise node.child(key, None).error(
                f'"{key}" in a variant', f"it goes for the whole scene; a variant may change {listed(VARYING, 'and')}"
            )
        if key not in VARYING:
            raise node.child(key, None).error(f"unknown key {shown(key)}", suggest(key, VARYING))
    merged, paths = _laid_over(_for_pattern(document, changes), changes)
    source = replace(
        node.source,
        lines=_lines_laid_over(node.source.lines, node.key, paths),
        owners=dict.fromkeys(paths, node.key),
    )
    job = _job(merged, source, name)
    if not equal and replace(job, variant=before[0].variant) == before[0]:
        raise node.error(
            f'"{name}" changes nothing', "set something that the scene itself has otherwise, such as floor.board_width"
        )
    return job


def _for_pattern(document: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """Return the base's document for a variant of another pattern: without the keys that go with the base's alone."""
    base, floor = document.get("floor"), changes.get("floor")
    if not isinstance(base, dict) or not isinstance(floor, dict) or "pattern" not in floor:
        return document
    known = pattern_keys()
    own = known.get(floor["pattern"], ()) if isinstance(floor["pattern"], str) else ()
    others = {key for keys in known.values() for key in keys} - set(own)
    return {**document, "floor": {key: value for key, value in base.items() if key not in others}}


def _laid_over(document: dict[str, Any], changes: dict[str, Any], within: str = "") -> tuple[dict[str, Any], list[str]]:
    """Return the table `document`, which stands at the key path `within`, with `changes` in it, and the key paths they
    set."""
    merged, paths = dict(document), []
    for key, value in changes.items():
        path, beneath = within + key, merged.get(key, {})
        if path in (*SECTIONS, *INNER) and isinstance(value, dict):
            merged[key], set_ = _laid_over(beneath if isinstance(beneath, dict) else {}, value, f"{path}.")
            paths += set_
        else:
            merged[key] = value
            paths.append(path)
    return merged, paths


def _lines_laid_over(lines: Mapping[str, int], prefix: str, paths: list[str]) -> dict[str, int]:
    """Return the lines of a variant's whole document: its own for the paths it sets and what lies under them."""
    set_here = set(paths)

    def under(key: str) -> bool:
        return any(each in set_here for each in upwards(key))

    own = {key.removeprefix(f"{prefix}."): line for key, line in lines.items() if key.startswith(f"{prefix}.")}
    kept = {key: line for key, line in lines.items() if not under(key)}
    return kept | {key: line for key, line in own.items() if under(key) or key not in kept}
