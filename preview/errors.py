"""What can go wrong, and the exit status each kind owns.

PreviewError                 anything the program says in plain words
├── SceneError      exit 2   the scene is wrong: file, line, key, what was found, what is accepted
├── UsageError      exit 2   the command was used wrongly: an unknown variant, a folder that can't be written
├── RenderError     exit 1   the scene is right, but no picture could be drawn
└── OutputError     exit 1   standard output can't be written
"""

from __future__ import annotations

from dataclasses import dataclass

from preview.letters import escaped, escaped_lines, shortened

LONGEST_KEY, LONGEST_PART = 200, 1500
"""Letters of a key and of what was found, or of a remedy, that a message has at most."""


@dataclass(frozen=True)
class Place:
    """Where in a scene file something stands.

    `file` is the path as the user gave it, `line` counts from 1 (None where the key is absent and a
    default was used), `key` is written as in the file, e.g. ``openings[1].offset`` (tables of an array
    counted from 1, as people count).
    """

    file: str
    key: str
    line: int | None = None

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}, line {self.line}"
        return f"{where}: {shortened(self.key, LONGEST_KEY)}" if self.key else where


class PreviewError(Exception):
    """Base of every error with a message meant for the user; never raised itself.

    A message may quote what a file or a command line has: control characters in it are written as escapes.
    """

    exit_code = 1

    def __init__(self, message: str) -> None:
        super().__init__(escaped(message))


class SceneError(PreviewError):
    """A scene that can't be used as it stands.

    Args:
        place: where the fault stands, or None if it has no place of its own.
        found: what was found, a short clause: ``a width of -3 in``.
        remedy: what is accepted, a short clause: ``give a width above zero, such as "4"``.
    """

    exit_code = 2

    def __init__(self, place: Place | None, found: str, remedy: str) -> None:
        self.place, self.found, self.remedy = place, found, remedy
        prefix = f"{place}: " if place else ""
        super().__init__(f"{prefix}{shortened(found, LONGEST_PART)}; {shortened(remedy, LONGEST_PART)}")


class UsageError(PreviewError):
    """A command or a call used wrongly."""

    exit_code = 2


class RenderError(PreviewError):
    """A picture that could not be drawn though the scene is right; its message may have several lines."""

    exit_code = 1

    def __init__(self, message: str) -> None:
        Exception.__init__(self, escaped_lines(message))


class OutputError(PreviewError):
    """A result that can't be printed, as where a disk is full; files are not meant."""

    exit_code = 1
