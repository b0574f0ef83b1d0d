"""What a command says: results on standard output, everything else on standard error, and questions."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import NoReturn

import typer

from preview.errors import PreviewError
from preview.letters import escaped, escaped_lines


def say(text: str | bytes, line: bool = True) -> None:
    """Print on standard output, as a line or as it is.

    Raises:
        PreviewError: it can't be written, as where a disk is full; a reader who has gone is left to typer.
    """
    try:
        typer.echo(text, nl=line)
    except BrokenPipeError:
        raise
    except OSError as error:
        sys.stdout = Path(os.devnull).open("w")  # noqa: SIM115 (or what is still in it would fail again at the end)
        raise PreviewError(f"standard output can't be written ({(error.strerror or str(error)).lower()})") from error


def tell(result: str | Path) -> None:
    """Print a result: words of some lines, or the path of a file, on one."""
    say(escaped(str(result)) if isinstance(result, Path) else escaped_lines(result.removesuffix("\n")))


def tell_each(results: Iterable[str | Path]) -> None:
    """Print results as they come; where the next fails, say that the files before it stay."""
    files = 0
    try:
        for result in results:
            tell(result)
            files += isinstance(result, Path)
    except PreviewError:
        if files:
            told = "1 file is finished and stays" if files == 1 else f"{files} files are finished and stay"
            warn(f"not all is done: {told}, as listed")
        raise


def tell_at_once(words: str) -> None:
    """Print a line of standard output at once, for whoever reads it through a pipe."""
    tell(words)
    sys.stdout.flush()


def remark(words: str) -> None:
    """Print words on standard error."""
    typer.echo(escaped_lines(words), err=True)


def warn(words: str) -> None:
    """Print a warning or an error on standard error."""
    remark(f"preview: {words}")


def complain(words: str, status: int) -> NoReturn:
    """Print an error and end with an exit status."""
    warn(words)
    raise SystemExit(status)


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
