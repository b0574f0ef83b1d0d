"""The command run as a user runs it, in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

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


def preview(*arguments: str | Path, given: bytes | None = None, folder: Path = ROOT, **environment: str):
    """Run the command in `folder` and return its result: returncode, stdout and stderr as bytes."""
    return subprocess.run(
        [sys.executable, "-m", "preview", *map(str, arguments)],
        input=given,
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100", **environment},
        timeout=300,
        check=False,
    )
