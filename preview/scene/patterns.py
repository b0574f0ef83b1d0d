"""Which patterns a scene may name, and which keys of its floor go with each: those of the data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

FILE = Path(__file__).resolve().parents[1] / "floor" / "patterns" / "patterns.toml"
"""The list stands beside the patterns, so that a new one is all in one place."""


@dataclass(frozen=True)
class PatternKey:
    """A key of the floor that a pattern takes: what it is read as, between `least` and `most` (degrees of an angle,
    metres of a length), `what` an error calls it, and what an editor `says` of it."""

    read: Literal["whole", "angle", "length"]
    least: float
    most: float
    what: str
    says: str


@cache
def pattern_keys() -> Mapping[str, Mapping[str, PatternKey]]:
    """Return the patterns by name, the usual one first, each with the keys that it takes besides those all take."""
    tables = tomllib.loads(FILE.read_text(encoding="utf-8"))
    keys = {
        name: MappingProxyType({key: PatternKey(**told) for key, told in table["keys"].items()})
        for name, table in tables.items()
    }
    return MappingProxyType(keys)


def own_keys() -> Mapping[str, PatternKey]:
    """Return all such keys by name, whichever pattern takes them."""
    return {key: told for keys in pattern_keys().values() for key, told in keys.items()}
