"""What people wrote, told apart and shown safely: letters, and the characters that are none.

A control character moves the cursor of a terminal, rings it or changes its title; a bidirectional control (Unicode
Standard Annex 9) makes a line read otherwise than it is stored. No name of a room needs either.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

_CONTROLS = r"\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069"
"""C0 but tabs and line ends, C1, line and paragraph separators, embeddings, overrides and isolates."""
_NO_TEXT = r"\ud800-\udfff"
"""What stands for bytes that are no text in a file's name."""

_ANY = re.compile(rf"[{_CONTROLS}{_NO_TEXT}\t\n\r]")
_BUT_SPACE = re.compile(f"[{_CONTROLS}{_NO_TEXT}]")
TEXT = rf"^[^{_CONTROLS}]*[^{_CONTROLS}\s][^{_CONTROLS}]*$"
"""What a text looks like that isn't blank and has no control character, as an expression for other engines too."""


def escaped(text: str) -> str:
    """Return `text` with every control character written as an escape, fit for one line of a message.

    >>> escaped("a\\x1b[31mb")
    'a\\\\x1b[31mb'
    """
    return _ANY.sub(lambda found: found[0].encode("unicode_escape").decode(), text)


def escaped_lines(text: str) -> str:
    """Return `text` as `escaped` does, its line ends kept."""
    return "\n".join(escaped(line) for line in text.split("\n"))


def shortened(text: str, most: int) -> str:
    """Return `text`, cut in the middle where it has more than `most` letters.

    >>> shortened("abcdefghijklm", 9)
    'abc...klm'
    """
    if len(text) <= most:
        return text
    part = (most - 3) // 2
    return f"{text[:part]}...{text[-part:]}"


def plain(text: str) -> str:
    """Return a name composed (Unicode NFC), control characters taken for spaces, each run of spaces one."""
    return " ".join(_ANY.sub(" ", unicodedata.normalize("NFC", text)).split())


def same(text: str) -> str:
    """Return what two names have in common that differ in case, or in being composed or not."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).casefold())


def control_in(text: str) -> str:
    """Return the first control character of `text` as an escape, tabs and line ends aside; "" for none."""
    found = _BUT_SPACE.search(text)
    return escaped(found[0]) if found else ""


Nesting = tuple["Nesting", object] | None
"""Where a value stands in a document: the place of what it stands in, and its key or its number from 1."""


def control_path(document: object) -> tuple[str, str] | None:
    """Return the key path (``openings[1].name``) of the first key or text of a document of TOML that has a control
    character, and that character as an escape; None where there is none."""
    texts = ((place, text) for place, text in leaves(document) if isinstance(text, str))
    return next(((path_of(place), found) for place, text in texts if (found := control_in(text))), None)


def leaves(document: object) -> Iterator[tuple[Nesting, object]]:
    """Yield every key of a document and every value that holds no others, in order, each with its place; a document may
    be nested deeper than Python may call."""
    waiting: list[tuple[Nesting, object]] = [(None, document)]
    while waiting:
        place, value = waiting.pop()
        if isinstance(value, dict):
            yield from (((place, key), key) for key in value)
            waiting += [((place, key), each) for key, each in reversed(value.items())]
        elif isinstance(value, list):
            waiting += [((place, n), each) for n, each in reversed(list(enumerate(value, 1)))]
        else:
            yield place, value


def path_of(place: Nesting) -> str:
    """Return the key path of a place: ``openings[1].name``."""
    parts = []
    while place is not None:
        place, key = place
        parts.append(f"[{key}]" if isinstance(key, int) else f".{key}")
    return "".join(reversed(parts)).removeprefix(".")
