"""Python started without docstrings (PYTHONOPTIMIZE=2, -OO).

The command line takes its help from them, and the graphics library does not start without its own: so the program
starts itself anew, with them.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence


def start_with_docstrings() -> None:
    """Start the program anew where Python left its docstrings out; else do nothing."""
    if sys.flags.optimize < 2:
        return
    command, environment = with_docstrings(sys.orig_argv, os.environ)
    if command == sys.orig_argv and environment == dict(os.environ):
        return  # left out in another way: it would be so again
    if sys.platform == "win32":  # which can't replace a process by another
        import subprocess

        raise SystemExit(subprocess.call(command, env=environment))
    os.execve(sys.executable, command, environment)


def with_docstrings(command: Sequence[str], environment: Mapping[str, str]) -> tuple[list[str], dict[str, str]]:
    """Return a command line of Python and its environment without what leaves docstrings out."""
    first = next((at for at, each in enumerate(command[1:], 1) if not each.startswith("-") or each in ("-m", "-c")), 1)
    kept = [each for each in command[1:first] if each not in ("-O", "-OO")]
    return (
        [sys.executable, *kept, *command[first:]],
        {name: value for name, value in environment.items() if name != "PYTHONOPTIMIZE"},
    )
