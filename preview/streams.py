"""Standard input, output and error, where whoever started the program has closed one of them, or its disk is full.

The number of a closed one would go to the next file that is opened, and what a library prints would be written into
that.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path


def open_closed_streams() -> None:
    """Give each standard stream that is closed something in its place: input that has ended, output that fails when it
    is written to, as results must not get lost unseen, and for errors nowhere."""
    for number, flags in ((0, os.O_RDONLY), (1, os.O_RDONLY), (2, os.O_WRONLY)):
        try:
            os.fstat(number)
        except OSError:
            os.set_inheritable(os.open(os.devnull, flags), True)  # it takes the lowest number that is free
    nowhere = Path(os.devnull)
    if sys.stdin is None:
        sys.stdin = nowhere.open()
    if sys.stdout is None:
        sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
    if sys.stderr is None:
        sys.stderr = nowhere.open("w")


def print_error(words: str) -> None:
    """Print words on standard error; where it can't be written, nobody can be told, and the work goes on.

    Raises:
        BrokenPipeError: whoever read it has gone.
    """
    try:
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
    except BrokenPipeError:
        raise
    except OSError:
        sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115 (or what is still in it would fail again at the end)
