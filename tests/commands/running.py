"""The command line run: in this process, or as a user runs it, in a process of its own."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCENES = ROOT / "scenes"

SMALL = """
title = "Box room"
units = "in"
[room]
corners = [[0, 0], [100, 0], [100, 90], [0, 90]]
height = 96
baseboard = 1
[[openings]]
name = "archway"
kind = "cased opening"
wall = 1
offset = 20
width = 36
height = 82
[[openings]]
name = "window"
kind = "window"
wall = 3
offset = 30
width = 40
sill = 30
height = 40
[floor]
board_width = 4
run = 90
[border]
width = 4
[wood]
species = "white oak"
[[variants]]
name = "On the archway"
floor.center = { opening = "archway" }
"""

WALKED = (
    *("--title", "Study", "--units", "mm", "--board-width", "90"),
    *("--wall", "E 4000", "--wall", "N 3000", "--wall", "W 4000", "--wall", "S 3000"),
)
"""What `new` needs to be told."""


def listing():
    """Return every path below the working folder."""
    return sorted(str(each) for each in Path().rglob("*"))


def preview(*arguments: str | Path, given: bytes = b"", folder: Path = ROOT, **environment: str):
    """Run the command line in this process, as though in `folder`, and return what `in_a_process` does: what it says
    and writes is the same, and no program is started and loaded for it."""
    from preview import cli

    streams = {name: io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for name in ("stdout", "stderr")}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setattr(sys, "argv", ["preview", *map(str, arguments)])
        patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given), encoding="utf-8"))
        for name, stream in streams.items():
            patch.setattr(sys, name, stream)
        for name, value in {"COLUMNS": "100", **environment}.items():
            patch.setenv(name, value)
        try:
            cli.main()
            status = 0
        except SystemExit as stop:
            status = stop.code or 0
    for stream in streams.values():
        stream.flush()
    said, error = (stream.buffer.getvalue() for stream in streams.values())
    return subprocess.CompletedProcess(["preview", *arguments], status, said, error)


def in_a_process(*arguments: str | Path, given: bytes | None = None, folder: Path = ROOT, **environment: str):
    """Run the command as a user does, in a process of its own in `folder`, and return its result: returncode, stdout
    and stderr as bytes."""
    return subprocess.run(
        [sys.executable, "-m", "preview", *map(str, arguments)],
        input=given,
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100", **environment},
        timeout=300,
        check=False,
    )
