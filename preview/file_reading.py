"""The one way in which the program reads what a user names: regular files alone, and none too large.

A pipe would be waited for, a device has no end, and a file of another kind may fill the memory.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path


class NoFile(Exception):
    """What is no regular file; its message says what it is, as a clause: ``this is a folder``."""


class TooLarge(Exception):
    """A file with more bytes than a file of its kind has; `size` is how many."""

    def __init__(self, size: int) -> None:
        self.size = size
        super().__init__(f"a file of {size / 1e6:.1f} MB")


def file_content(path: Path, most: int) -> bytes:
    """Return the bytes of a regular file of `most` bytes at most; a link is followed.

    Raises:
        NoFile: it is a folder, a pipe, a device or a socket.
        TooLarge: it has more bytes; none was read.
        OSError, ValueError: it can't be opened or read.
    """
    _check_kind(path.stat().st_mode)
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(handle)  # what was opened may be another than what was asked for
        _check_kind(found.st_mode)
        if found.st_size > most:
            raise TooLarge(found.st_size)
        content = file.read(most + 1)
    if len(content) > most:  # it grew meanwhile, or lies in a file system that knows no sizes
        raise TooLarge(len(content))
    return content


def is_folder(path: Path) -> bool:
    """Whether a path leads to a folder, as far as one may look: `Path.is_dir` raises an error where one may not."""
    try:
        return path.is_dir()
    except OSError:
        return False


def kind_word(mode: int) -> str:
    """Return what a thing of a file system is that is no regular file, with its article; `mode` as `os.stat` has it."""
    kinds = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a pipe"), (stat.S_ISSOCK, "a socket"))
    return next((word for is_kind, word in kinds if is_kind(mode)), "a device")


def _check_kind(mode: int) -> None:
    if not stat.S_ISREG(mode):
        raise NoFile(f"this is {kind_word(mode)}")
