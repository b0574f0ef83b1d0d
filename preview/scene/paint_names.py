"""What may be written for a paint: a name from the material files, or a colour in sRGB, "#rrggbb"."""

from __future__ import annotations

import re
from collections.abc import Mapping

from preview.scene.nodes import listed, shown, suggest
from preview.scene.woods import named


def paint_named(text: str, names: Mapping[str, str]) -> str | None:
    """Return the paint that a text stands for: a name as its file has it, or "#rrggbb" in small letters; None for
    none. `names` are those of paints, as `wood_names` gives them."""
    code = text.strip().casefold()
    return code if re.fullmatch("#[0-9a-f]{6}", code) else named(text, names)


def unknown_paint(value: object, names: Mapping[str, str]) -> tuple[str, str]:
    """Return what was found in place of a paint, and what is accepted."""
    known = listed(sorted(set(names.values())), "and")
    given = value.strip().casefold() if isinstance(value, str) else ""
    if given.startswith("#") or re.fullmatch("[0-9a-f]{6}", given):
        example = "#e8e2d6" if given.startswith("#") else f"#{given}"
        remedy = f'write # and six hexadecimal digits, such as "{example}", or the name of a paint: {known}'
        return f"{shown(value)} as a colour", remedy
    near = suggest(given, set(names.values())) if given else ""
    hint = f"{near} Known are" if near.startswith("did") else "known are"
    return f"unknown paint {shown(value)}", f'{hint} {known}; a colour is written "#e8e2d6"'
