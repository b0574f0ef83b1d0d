"""The command that serves a scene to a browser on this machine."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from preview.errors import UsageError
from preview.scene.document import SCENE_FILE, file_bytes, plain_text

NEW_NAME = "room"


def serve_scene(
    scene: str | None,
    details: Path | None,
    materials: Path | None,
    port: int,
    browser: bool,
    lan: bool,
    say: Callable[[str], None],
    tell: Callable[[str], None],
) -> None:
    """Serve a scene file, or a new room where `scene` is None, until the program is told to stop.

    Raises:
        SceneError, UsageError: the scene or the firm's details can't be read, the port can't be had.
    """
    from preview.live.serve import serve
    from preview.paper.quote.firm_details import load_details

    if not 0 <= port < 65536:
        raise UsageError(f"--port: found {port}; give a number up to 65535")
    if scene == "-":
        raise UsageError("live changes a scene file, not standard input; give the file's name")
    said = load_details(details) if details is not None else None
    if scene is None:
        file, content, text = _new_file(), None, NEW_ROOM
    else:
        file = Path(scene)
        content = file_bytes(file, SCENE_FILE)
        plain_text(content, scene, SCENE_FILE)  # says what is wrong with it
        text = content.decode("utf-8-sig")
    serve(file, content, text, said, materials, port, browser, lan, say, tell)


def _new_file() -> Path:
    """Return a name for a new room in this folder, which none has."""
    number = 1
    while (path := Path(f"{NEW_NAME}.toml" if number == 1 else f"{NEW_NAME}-{number}.toml")).exists():
        number += 1
    return path


NEW_ROOM = """\
title = "New room"
units = "in"  # the unit of numbers without one

[room]
# The walls in order: the direction of each (letters, or degrees clockwise from N) and its length.
walk = [
    "E 13 ft",  # wall 1
    "N 16 ft",  # wall 2
    "W 13 ft",  # wall 3
    "S 16 ft",  # wall 4
]
height = "8 ft"
baseboard = "3/4"  # its thickness

[[openings]]
name = "door"
kind = "door"
wall = 1
offset = 62  # from the wall's first corner to the near jamb
width = 32

[[openings]]
name = "window"
kind = "window"
wall = 2
offset = "5 ft 6 in"
width = "5 ft"

[floor]
board_width = 4
board_length = "fit"  # or a length
center = "room"  # "room", { opening = "its name" } or { point = [x, y] }

[border]
width = 4  # 0 for none

[wood]
species = "white oak"
"""
"""A plain room to be corrected on the page."""
