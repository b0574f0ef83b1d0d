"""Rows of a label and a value as lines of text, and how wide these are."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest
from textwrap import wrap

from preview.paper.typesetting import WITHIN
from preview.paper.words.layer_notes import Row

WIDE, LEAST_WIDE = 118, 40
"""Columns of a line of text, and what of them a value has at least."""


def table(rows: Iterable[Row], wide: int = WIDE) -> list[str]:
    """Return rows of a label and a value as indented lines, the values under one another, wrapped to `wide` columns."""
    rows = list(rows)
    width = max(len(label) for label, _ in rows) + 2
    lines = []
    for label, value in rows:
        kept = WITHIN.sub("\u00a0", value)  # no line ends within a length
        parts = wrap(kept, max(wide - width - 2, LEAST_WIDE), break_long_words=False, break_on_hyphens=False) or [""]
        parts = [part.replace("\u00a0", " ") for part in parts]
        lines += [f"  {name:<{width}}{part}".rstrip() for name, part in zip_longest([label], parts, fillvalue="")]
    return lines
