"""What a command says: results on standard output, everything else on standard error, and questions."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import NoReturn

import typer

from preview.errors import OutputError, PreviewError
from preview.letters import escaped, escaped_lines
from preview.streams import print_error


def say(text: str | bytes, line: bool = True) -> None:
    """Print on standard output, as a line or as it is.

    Raises:
        OutputError: it can't be written, as where a disk is full; a reader who has gone is left to typer.
    """
    try:
        typer.echo(text, nl=line)
    except BrokenPipeError:
        raise
    except OSError as error:
        sys.stdout = Path(os.devnull).open("w")  # noqa: SIM115 (or what is still in it would fail again at the end)
        raise OutputError(f"standard output can't be written ({(error.strerror or str(error)).lower()})") from error


def tell(result: str | Path) -> None:
    """Print a result: words of some lines, or the path of a file, on one.

    Raises:
        OutputError: it can't be printed; a file is finished all the same.
    """
    tell_each([result])


def tell_each(results: Iterable[str | Path]) -> None:
    """Print results as they come; where the next fails, say that the files before it stay. Where they can't be printed,
    the rest is made all the same: files are what was asked for, and their names only tell of them.

    Raises:
        OutputError: not all could be printed; every file is finished.
    """
    files, unsaid = 0, None
    try:
        for result in results:
            files += isinstance(result, Path)
            if unsaid is None:
                try:
                    say(escaped(str(result)) if isinstance(result, Path) else escaped_lines(result.removesuffix("\n")))
                except OutputError as error:
                    unsaid = error
    except PreviewError:
        if files:
            warn(f"not all is done: {_stay(files)}{', as listed' if unsaid is None else ''}")
        raise
    if unsaid is not None:
        raise OutputError(f"{unsaid}; {_stay(files)}") if files else unsaid


def _stay(files: int) -> str:
    return "1 file is finished and stays" if files == 1 else f"{files} files are finished and stay"


def tell_at_once(words: str) -> None:
    """Print a line of standard output at once, for whoever reads it through a pipe."""
    tell(words)
    sys.stdout.flush()


def remark(words: str) -> None:
    """Print words on standard error."""
    print_error(escaped_lines(words))


def warn(words: str) -> None:
    """Print a warning or an error on standard error."""
    remark(f"preview: {words}")


def complain(words: str, status: int) -> NoReturn:
    """Print an error and end with an exit status."""
    warn(words)
    raise SystemExit(status)


def folder_is_gone() -> bool:
    """Whether the folder that this runs in has been deleted, which no name without a root leads out of."""
    try:
        Path.cwd()
    except FileNotFoundError:
        return True
    return False


def ask(prompt: str) -> str:
    """Show a question on standard error and return the next line of standard input.

    Raises:
        EOFError: there is none.
    """
    typer.echo(escaped_lines(prompt), err=True, nl=False)
    line = sys.stdin.readline() if sys.stdin is not None else ""
    if not line:
        raise EOFError
    return line.rstrip("\r\n")
