"""Which patterns a scene may name, and which keys of its floor go with each: those of the data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

FILE = Path(__file__).resolve().parents[1] / "floor" / "patterns" / "patterns.toml"
"""The list stands beside the patterns, so that a new one is all in one place."""


@cache
def pattern_keys() -> Mapping[str, tuple[str, ...]]:
    """Return the patterns by name, the usual one first, each with the keys that it takes besides those all take."""
    tables = tomllib.loads(FILE.read_text(encoding="utf-8"))
    return MappingProxyType({name: tuple(table["keys"]) for name, table in tables.items()})
