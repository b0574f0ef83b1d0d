"""Materials by name: species, grades, stains, finishes and paints of the program's own files and of a firm's.

A species has a file of its own, ``white-oak.toml`` for "white oak"; the rest share a file per kind. Every table carries
a `source`; one that starts with ``estimate`` was not read anywhere. A firm's own folder adds to the program's and wins.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal

from preview.data import data_folder
from preview.errors import UsageError
from preview.scene.nodes import Node, suggest
from preview.scene.woods import material_node
from preview.wood.material_keys import read_finish, read_grade, read_paint, read_species, read_stain
from preview.wood.material_types import Finish, Grade, Paint, Species, Stain

SHARED = ("finishes", "stains", "grades", "paints", "surfaces")


def _folders(materials: Path | None) -> tuple[Path, ...]:
    return (data_folder("materials"),) if materials is None else (data_folder("materials"), Path(materials))


@cache
def _all_species(folders: tuple[Path, ...]) -> dict[str, Species]:
    found: dict[str, Species] = {}
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            if path.stem not in SHARED:
                species = read_species(material_node(path))
                found[species.name] = species
    return found


def _choose(kind: str, name: str, known: Mapping[str, Any]) -> Any:  # noqa: ANN401 (what the names stand for)
    if name not in known:
        raise UsageError(f'no {kind} is called "{name}"; {suggest(name, known)}')
    return known[name]


def list_species(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all species, sorted; `materials` is a folder that adds to the program's own.

    Raises:
        SceneError: a file in it can't be read, or a value in it can't be, with file, line and key.
    """
    return tuple(sorted(_all_species(_folders(materials))))


def load_species(name: str, materials: Path | None = None) -> Species:
    """Return a species by its name or one of its aliases.

    Raises:
        UsageError: for an unknown name, with the known ones.
        SceneError: as `list_species`.
    """
    known = _all_species(_folders(materials))
    by_alias = {alias: species for species in known.values() for alias in species.aliases}
    species: Species = by_alias[name] if name in by_alias and name not in known else _choose("species", name, known)
    return species


@cache
def _tables(kind: str, folders: tuple[Path, ...]) -> dict[str, Node]:
    merged: dict[str, Node] = {}
    for folder in folders:
        path = folder / f"{kind}.toml"
        if path.exists():
            file = material_node(path)
            merged |= {name: file.child(name, table) for name, table in file.value.items()}
    return merged


def read_tables(
    kind: Literal["stains", "finishes", "grades", "paints", "surfaces"], materials: Path | None = None
) -> dict[str, Any]:
    """Return the tables of one kind by name as they are written."""
    return {name: node.value for name, node in _tables(kind, _folders(materials)).items()}


def _node(kind: str, word: str, name: str, materials: Path | None) -> Node:
    node: Node = _choose(word, name, _tables(kind, _folders(materials)))
    return node


def list_stains(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all stains, as they stand in stains.toml."""
    return tuple(_tables("stains", _folders(materials)))


def list_finishes(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all finishes, as they stand in finishes.toml."""
    return tuple(_tables("finishes", _folders(materials)))


def list_grades(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all grades, best first."""
    return tuple(_tables("grades", _folders(materials)))


def load_grade(name: str, materials: Path | None = None) -> Grade:
    """Return a grade by name.

    Raises:
        UsageError: for an unknown name, with the known ones.
        SceneError: for a file that can't be read, or a value in it that can't be.
    """
    return read_grade(_node("grades", "grade", name, materials))


def load_stain(name: str, materials: Path | None = None) -> Stain:
    """Return a stain by name; errors as `load_grade`."""
    return read_stain(_node("stains", "stain", name, materials))


def load_finish(name: str, materials: Path | None = None) -> Finish:
    """Return a finish by name; errors as `load_grade`."""
    return read_finish(_node("finishes", "finish", name, materials))


def load_paint(name: str, materials: Path | None = None) -> Paint:
    """Return a paint by name; errors as `load_grade`."""
    return read_paint(_node("paints", "paint", name, materials))


def load_surface(name: str, materials: Path | None = None) -> Paint:
    """Return what in a room is neither wood nor paint, "stone" say, by name; errors as `load_grade`."""
    return read_paint(_node("surfaces", "surface", name, materials))
