"""What texts of lengths, areas, angles and walls look like, as regular expressions by which an editor checks them.

They are made from the tables that `preview.units` reads by, and take every text that is read there. They are short
rather than exact, since an editor shows them: ``1 ft + 1 m``, ``2 in 1 ft``, ``1/0`` and ``1,000`` (one, or a
thousand?) match though they are refused. They keep to what ECMA-262 and other engines have in common: no flags, no
named groups, no looking ahead.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from preview.units import BEARINGS, MARKS, NAMES, NUMBER, SQUARES


def spelled(name: str, between: str = "") -> str:
    """Return the pattern of `name` in capitals or not, with what `between` takes between its letters."""
    return between.join(
        f"[{each.upper()}{each.lower()}]" if each.upper() != each.lower() else re.sub(r"([.+*?()|/\\])", r"\\\1", each)
        for each in name
    )


def any_of(patterns: Iterable[str]) -> str:
    """Return the pattern of a text that one of `patterns` takes."""
    return f"(?:{'|'.join(patterns)})"


def whole_text(pattern: str) -> str:
    """Return the pattern of a text that is `pattern` from end to end, spaces aside."""
    return rf"^\s*{pattern}\s*$"


def _marks(*marks: str) -> str:
    """Return what is read as one of `marks`, for a class of characters."""
    found = "".join(marks) + "".join(chr(code) for code, read_as in MARKS.items() if read_as in marks)
    return found.replace("-", r"\-")


_VULGAR = "".join(
    chr(code) for code in range(0x80, 0x2200) if unicodedata.decomposition(chr(code)).startswith("<fraction>")
)
_DASH = f"[{_marks('-')}]"
_SIGN, _PLUS = rf"(?:(?:{_DASH}+|[+])\s*)?", r"(?:[+]\s*)?"
_FIGURES = rf"[0-9.,{_VULGAR}](?:[0-9.,{_VULGAR}{_marks('/', '-')}\s]*[0-9{_VULGAR}])?"  # 7 1/2
_TIMES = r"(?:\s+[xX]\s+|\s*×\s*)"
_INCH_OR_FOOT = _marks("'", '"')
_UNIT = any_of([f"[{_INCH_OR_FOOT}]+", *(rf"{spelled(name)}\.?" for name in sorted(NAMES) if name.isalpha())])
_FOOT = any_of(
    [
        f"[{_marks(chr(39))}]",
        *(rf"{spelled(name)}\.?" for name in sorted(NAMES) if NAMES[name] == "ft" and name.isalpha()),
    ]
)
_BARE = rf"{_FIGURES}\s*{_FOOT}\s*{_DASH}?\s*{_FIGURES.replace('.,', '')}\s*"  # 6 ft 10
_MEASURES = rf"(?:{_BARE}|(?:{_FIGURES}\s*{_UNIT}\s*{_DASH}?\s*)+)"  # 12'-7 1/2"
_SIZE = rf"(?:(?:{_FIGURES}{_TIMES})?{_FIGURES}|(?:(?:{_FIGURES}{_TIMES})?{_MEASURES}(?:[+]\s*|$))+)"
_SIDE = rf"[^×xX]*[0-9{_VULGAR}][^×xX]*"

LENGTH = whole_text(_SIGN + _SIZE)
"""A length, either sign."""
SIZE = whole_text(_PLUS + _SIZE)
"""A length that isn't negative."""
PAIR = rf"^{_SIDE}(?:×|\s[xX]\s){_SIDE}$"
"""Two lengths in one text: ``10 × 4 in``."""
AREA = whole_text(rf"{NUMBER}\s*(?:{any_of(spelled(name, '[.]*') for name in sorted(SQUARES))}[.]*)?").replace(
    " ", r"\s+"
)
ANGLE = whole_text(rf"(?:[+]|{_DASH})?\s*{NUMBER}\s*(?:°|deg|degrees?)?")
_BEARING = any_of(spelled(name, f"{_DASH}?") for name in BEARINGS)
LEG = whole_text(rf"(?:{_BEARING}\s+|{NUMBER}(?:°\s*|\s+)){_PLUS}{_SIZE}")
"""A wall of a walk: where it runs and how long it is."""
