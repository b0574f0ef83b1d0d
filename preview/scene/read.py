"""A scene file to jobs: text, TOML, values, variants."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from os import PathLike
from pathlib import Path
from types import MappingProxyType
from typing import Any

from preview.errors import Place, SceneError
from preview.scene.check import check, complete
from preview.scene.fields import text
from preview.scene.job import Job
from preview.scene.nodes import Node, Source, listed, suggest, table
from preview.scene.positions import key_lines
from preview.scene.schema import SCENE, SECTIONS, VARYING, unit
from preview.scene.woods import wood_names

MOST_BYTES = 1_000_000
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
        SceneError: for anything wrong with the file, with its place and what would do.
        UsageError: where `materials` can't be read.
    """
    return read_scene(_bytes(Path(source)) if text is None else text, str(source), materials=materials)


def read_scene(scene: bytes | str, name: str, *, materials: Path | None = None) -> tuple[Job, ...]:
    """Return the jobs of a scene given as text or as the bytes of a file, called `name` in messages.

    Raises:
        SceneError, UsageError: as `load_scene`.
    """
    plain = _decoded(scene, name)
    document = _parsed(plain, name)
    source = Source(name, MappingProxyType(key_lines(plain)), woods=wood_names(materials))
    root = Node(document, "", source)
    variants = document.pop("variants", [])
    for key in document:
        if key not in SCENE:
            raise root.child(key, None).error(f'unknown key "{key}"', suggest(key, [*SCENE, "variants"]))
    if "units" not in document:
        raise SceneError(Place(name, "units"), 'no "units"', f"add {SCENE['units'].example}, before the first table")
    source = replace(source, unit=unit(root.child("units", document["units"])))
    base = _job(document, source, None)
    jobs = [base]
    if not isinstance(variants, list):
        raise source.error("variants", "a single table", "there may be several: write [[variants]] with two brackets")
    for n, variant in enumerate(variants, 1):
        jobs.append(_variant(Node(variant, f"variants[{n}]", source), document, jobs))
    return tuple(jobs)


def _bytes(path: Path) -> bytes:
    """Return a file's bytes; a file too large to be a scene is not read at all."""
    place = Place(str(path), "")
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise SceneError(place, "this is a folder", "give a scene file in it, such as room.toml")
        if size > MOST_BYTES:
            raise _too_large(place, size)
        return path.read_bytes()
    except FileNotFoundError:
        near = [each.name for each in path.parent.glob("*.toml")] if path.parent.is_dir() else []
        hint = suggest(path.name, near) if near else "look at the path"
        raise SceneError(place, "there is no such file", hint) from None
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or str(fault)
        raise SceneError(place, f"the file can't be read: {reason}", "look at its path and permissions") from None


def _too_large(place: Place, size: int) -> SceneError:
    return SceneError(place, f"a file of {size / 1e6:.1f} MB", "a scene is a short text, of 1 MB at most")


def _decoded(scene: bytes | str, name: str) -> str:
    """Return the text without byte order mark and with plain line ends."""
    if len(scene) > MOST_BYTES:
        raise _too_large(Place(name, ""), len(scene))
    return (scene if isinstance(scene, str) else _utf8(scene, name)).removeprefix("\ufeff").replace("\r\n", "\n")


def _utf8(scene: bytes, name: str) -> str:
    try:
        return scene.decode("utf-8")
    except UnicodeDecodeError as fault:
        utf16 = scene[:2] in (b"\xff\xfe", b"\xfe\xff")
        line = None if utf16 else scene[: fault.start].count(b"\n") + 1
        found = "text in UTF-16" if utf16 else "bytes that are no text in UTF-8"
        raise SceneError(Place(name, "", line), found, "save the scene as plain text in UTF-8") from None


def _parsed(plain: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(plain)
    except RecursionError:
        raise SceneError(
            Place(name, ""), "brackets nested hundreds deep", "write a scene's tables and arrays"
        ) from None
    except tomllib.TOMLDecodeError as fault:
        reason, at = str(fault), re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", str(fault))
        line = None
        if at:
            reason = reason[: at.start()]
            line = int(at[1]) if at[1] else plain.rstrip("\n").count("\n") + 1
        raise SceneError(Place(name, "", line), f"not valid TOML: {reason}", _toml_hint(reason, plain, line)) from None
    except ValueError:  # a whole number of thousands of figures
        raise SceneError(Place(name, ""), "a number too long to be read", "look for a very long number") from None


def _toml_hint(reason: str, plain: str, line: int | None) -> str:
    """Return advice on the usual slips in a line that the TOML parser can't read for `reason`."""
    written = plain.split("\n")[line - 1] if line else ""
    if reason == "Illegal character '\\n'":
        return "close the quotes before the line ends"
    if reason == "Cannot overwrite a value":
        return "this key stands there a second time: keep one"
    if reason == "Invalid statement" or reason.startswith("Expected '=' after a key"):
        return "write key = value, or begin a table: [room]"
    if re.search(r"[0-9]\"\"|[0-9]\"[^\s\],}#]", written):
        return 'inside quotes write an inch mark as \\" or as ″'
    if re.search(r"=\s*[0-9./ ]+['\"a-z]", written) or re.search(r"=\s*[0-9]+\s*/", written):
        return "put a length with its unit, or with a fraction, in quotes"
    return "mend that line"


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
    title = title or (Path(source.file).stem if source.file != STANDARD_INPUT else "Floor")
    return complete(Job(file=source.file, title=title, variant=variant or base_name, lines=lines, **values))


def _variant(node: Node, document: dict[str, Any], before: list[Job]) -> Job:
    """Return the job of one variant, its values laid over the base's."""
    if not isinstance(node.value, dict):
        raise node.error("a variant that is no table", "begin it with [[variants]]")
    if "name" not in node.value:
        raise node.error('no "name"', 'add name = "what to call it"')
    name = text(node.child("name", node.value["name"]))
    if name.casefold() in [job.variant.casefold() for job in before]:
        raise node.child("name", name).error(f'a second variant "{name}"', "give each variant a name of its own")
    changes = {key: value for key, value in node.value.items() if key != "name"}
    for key in changes:
        if key in SCENE and key not in VARYING:
            raise node.child(key, None).error(
                f'"{key}" in a variant', f"it goes for the whole scene; a variant may change {listed(VARYING, 'and')}"
            )
        if key not in VARYING:
            raise node.child(key, None).error(f'unknown key "{key}"', suggest(key, VARYING))
    merged, paths = _laid_over(document, changes)
    source = replace(
        node.source,
        lines=_lines_laid_over(node.source.lines, node.key, paths),
        owners=dict.fromkeys(paths, node.key),
    )
    job = _job(merged, source, name)
    if replace(job, variant=before[0].variant) == before[0]:
        raise node.error(
            f'"{name}" changes nothing', "set something that the scene itself has otherwise, such as floor.board_width"
        )
    return job


def _laid_over(document: dict[str, Any], changes: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Return `document` with `changes` in it, and the key paths they set."""
    merged, paths = dict(document), []
    for key, value in changes.items():
        if key in SECTIONS and isinstance(value, dict):
            beneath = merged.get(key, {})
            merged[key] = {**beneath, **value} if isinstance(beneath, dict) else value
            paths += [f"{key}.{name}" for name in value]
        else:
            merged[key] = value
            paths.append(key)
    return merged, paths


def _lines_laid_over(lines: Mapping[str, int], prefix: str, paths: list[str]) -> dict[str, int]:
    """Return the lines of a variant's whole document: its own for the paths it sets and what lies under them."""

    def under(key: str) -> bool:
        return any(key == path or key.startswith((f"{path}.", f"{path}[")) for path in paths)

    own = {key.removeprefix(f"{prefix}."): line for key, line in lines.items() if key.startswith(f"{prefix}.")}
    kept = {key: line for key, line in lines.items() if not under(key)}
    return kept | {key: line for key, line in own.items() if under(key) or key not in kept}
