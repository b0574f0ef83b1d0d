"""Which names a scene may give for its woods and paints: those of the material files."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from preview.data import data_folder
from preview.errors import UsageError
from preview.file_reading import is_folder
from preview.scene.document import FileKind, file_bytes, parsed, plain_text
from preview.scene.nodes import Names, Node, Source
from preview.scene.positions import KeyLines

MATERIAL_FILE = FileKind("material", "white-oak.toml")

SHARED = {"grade": "grades", "stain": "stains", "finish": "finishes", "paint": "paints"}
"""Kinds whose members are the tables of one file; every other file of the folder but the surfaces is a species."""

OF_A_SPECIES = frozenset({"heartwood", "sapwood", "spread", "look", "rings", "pores", "rays", "shrinkage"})
"""Tables of a species' file; one that has none of them is something else."""

KIND_WORDS = ("stain", "stained", "finish", "paint")
"""What may stand behind a name and says no more than of what kind it is."""


def wood_names(materials: Path | None = None) -> Names:
    """Return the names in the program's own materials and in the folder `materials`, which adds to them.

    Raises:
        UsageError: where the folder isn't there, or holds something else than materials or nothing.
        SceneError: a file in it can't be read.
    """
    folders = [data_folder("materials"), *([] if materials is None else [materials])]
    names: dict[str, dict[str, str]] = {kind: {} for kind in ("species", *SHARED)}
    for folder in folders:
        if not is_folder(folder):
            raise UsageError(f"{folder}: no such folder of materials")
        if not (paths := sorted(folder.glob("*.toml"))):
            raise UsageError(f"{folder}: there are no materials in this folder; {_EXAMPLE}")
        for kind, stem in SHARED.items():
            if (path := folder / f"{stem}.toml") in paths:
                tables = material_node(path).value
                aliases = {_plain(each): name for name in tables for each in _aliases(tables[name])}
                own = {_plain(name): name for name in tables}
                names[kind].update(own | aliases | own)
        for path in paths:
            if path.stem not in {*SHARED.values(), "surfaces"}:
                species = material_node(path).value
                if not OF_A_SPECIES & set(species):
                    raise UsageError(f"{folder}: {path.name} in this folder of materials is none; {_EXAMPLE}")
                name = str(species.get("name", _spaced(path.stem)))
                names["species"].update({_plain(each): name for each in (path.stem, name, *_aliases(species))})
    return MappingProxyType(names)


def named(text: str, names: Mapping[str, str]) -> str | None:
    """Return the name that a text stands for among those of one kind, None for none.

    Capitals, hyphens and underscores don't count, nor does a last word that says what kind it is: "Grey stain" is grey.
    """
    plain = _plain(text)
    shorter = re.sub(rf" ({'|'.join(KIND_WORDS)})$", "", plain)
    return names.get(plain, names.get(shorter))


def spellings(names: Mapping[str, str]) -> str:
    """Return the pattern of every text that stands for one of `names`."""
    from preview.unit_patterns import any_of, spelled  # for editors alone

    gap = r"[\s_\-]"
    words = any_of(f"{gap}+".join(spelled(word) for word in name.split()) for name in sorted(names))
    return rf"^{gap}*{words}(?:{gap}+{any_of(spelled(word) for word in KIND_WORDS)})?{gap}*$"


_EXAMPLE = (
    "name a folder that holds nothing but materials: a copy of the program's white-oak.toml under another name for a "
    "wood, or a stains.toml, finishes.toml, grades.toml, paints.toml or surfaces.toml"
)


def _spaced(stem: str) -> str:
    return stem.replace("-", " ").replace("_", " ").casefold()


def _plain(text: str) -> str:
    return " ".join(_spaced(text).split())


def _aliases(table: Any) -> list[str]:  # noqa: ANN401 (what a file holds)
    found = table.get("aliases") if isinstance(table, dict) else None
    return [str(each) for each in found] if isinstance(found, list) else []  # what else it is, its reader refuses


def material_node(path: Path) -> Node:
    """Return the tables of a file of materials, which know where they stand.

    Raises:
        SceneError: it can't be read, or a text in it has a control character.
    """
    try:
        seen = path.stat()
    except OSError:
        return _read_material(path, 0, 0)
    return _read_material(path, seen.st_mtime_ns, seen.st_size)


@lru_cache(maxsize=200)
def _read_material(path: Path, _when: int, _size: int) -> Node:
    """Return the tables of a file as it is; while a scene is changed they are asked for at every change."""
    written = plain_text(file_bytes(path, MATERIAL_FILE), str(path), MATERIAL_FILE)
    document = parsed(written, str(path), MATERIAL_FILE)
    return Node(document, "", Source(str(path), KeyLines(written)))
