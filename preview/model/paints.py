"""Colours of the room shell, from materials/paints.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

from preview.data import data_folder

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Paints:
    """Linear-light reflectances (red, green, blue), 0 to 1; the names are those of the data file's tables."""

    wall: Colour
    ceiling: Colour
    trim: Colour
    stone: Colour
    soot: Colour
    cabinet: Colour
    worktop: Colour
    kick: Colour
    metal: Colour
    subfloor: Colour
    duct: Colour


def read_paints(path: Path | None = None) -> Paints:
    """Return the paints of a file, by default the program's own; every table of `Paints` must be there."""
    tables = tomllib.loads((path or data_folder("materials") / "paints.toml").read_text(encoding="utf-8"))
    return Paints(**{each.name: _colour(tables[each.name]["albedo"]) for each in fields(Paints)})


def _colour(numbers: list[float]) -> Colour:
    red, green, blue = map(float, numbers)
    return red, green, blue
