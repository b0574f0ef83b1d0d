"""Which line each key of a TOML text stands on. The text is known to be valid: the parser has read it already."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from functools import cached_property

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})' r"|'''.*?'''(?:'{0,2})" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> dict[str, int]:
    """Return the line, from 1, of every key path in a valid TOML text.

    Paths are written as people read them: ``floor.center.opening``, ``openings[1].offset``, ``room.corners[3][2]``,
    arrays counted from 1. A table has the line of its header, or of the first key that made it.
    """
    scan = _Scan(text)
    scan.document()
    return scan.lines


class KeyLines(Mapping[str, int]):
    """The same, found when first asked for, which is for an error alone."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _lines(self) -> dict[str, int]:
        return key_lines(self._text)

    def __getitem__(self, path: str) -> int:
        return self._lines[path]

    def __iter__(self) -> Iterator[str]:
        return iter(self._lines)

    def __len__(self) -> int:
        return len(self._lines)


class _Scan:
    """A walk through the text: `at` is where it has got to, `lines` what it has met."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.breaks = [match.start() for match in re.finditer("\n", text)]
        self.lines: dict[str, int] = {}
        self.counts: dict[str, int] = {}  # how many tables each array of tables has so far

    def document(self) -> None:
        table = ""
        self.skip()
        while self.at < len(self.text):
            if self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table)
            self.skip()

    def header(self) -> str:
        """Pass ``[a.b]`` or ``[[a.b]]`` and return the path of the table it opens."""
        array = self.text.startswith("[[", self.at)
        line = self.line()
        self.at += 2 if array else 1
        path = ""
        names = self.names()
        for place, name in enumerate(names, 1):
            path = f"{path}.{name}" if path else name
            if array and place == len(names):
                self.lines.setdefault(path, line)
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path = f"{path}[{self.counts[path]}]"
            self.lines.setdefault(path, line)
        self.at = self.text.index("]]" if array else "]", self.at) + (2 if array else 1)
        return path

    def pair(self, table: str) -> None:
        """Pass ``key = value``, noting the key and whatever stands in the value."""
        line, path = self.line(), table
        for name in self.names():
            path = f"{path}.{name}" if path else name
            self.lines.setdefault(path, line)
        self.at = self.text.index("=", self.at) + 1
        self.value(path)

    def names(self) -> list[str]:
        """Pass a dotted key and return its parts."""
        parts = []
        while True:
            self.skip()
            match = _STRING.match(self.text, self.at) or _BARE.match(self.text, self.at)
            assert match is not None
            parts.append(match[0].strip("\"'"))
            self.at = match.end()
            self.skip()
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def value(self, path: str) -> None:
        self.skip()
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self.items(path, "]")
        elif opening == "{":
            self.items(path, "}")
        else:
            match = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
            assert match is not None
            self.at = match.end()

    def items(self, path: str, closing: str) -> None:
        """Pass an array or an inline table."""
        self.at += 1
        self.skip()
        count = 0
        while not self.text.startswith(closing, self.at):
            count += 1
            if closing == "}":
                self.pair(path)
            else:
                self.lines.setdefault(f"{path}[{count}]", self.line())
                self.value(f"{path}[{count}]")
            self.skip()
            if self.text.startswith(",", self.at):
                self.at += 1
                self.skip()
        self.at += 1

    def skip(self) -> None:
        match = _BLANK.match(self.text, self.at)
        assert match is not None
        self.at = match.end()

    def line(self) -> int:
        return bisect_left(self.breaks, self.at) + 1
