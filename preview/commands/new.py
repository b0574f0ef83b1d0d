"""The command that makes a scene: it asks as one walks the room, and writes what it heard."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from pathlib import Path

from preview.commands.saved_answers import SavedAnswers
from preview.errors import UsageError
from preview.room.survey import RoomSurveyor
from preview.scene import read_scene
from preview.scene.ask import ask_room
from preview.scene.woods import wood_names
from preview.scene.write import scene_text


def new_scene(
    file: Path,
    ask: Callable[[str], str],
    say: Callable[[str], None],
    given: Mapping[str, Sequence[str]],
    materials: Path | None = None,
    keep: bool = False,
) -> Path:
    """Ask for a room, write its scene to `file`, and build the room from it; return the path.

    The file is written before the room is built, so that an hour with the tape is never lost.

    Args:
        file: where to write; a file that is there already is left alone.
        ask, say, given: as in `preview.scene.ask.ask_room`.
        keep: whether what was answered before Ctrl-C is saved beside `file` and the next call goes on from there.

    Raises:
        UsageError: the file is there, can't be written, or the answers ended early.
        SceneError: something in the room does not fit; the scene is written, and the place in it named.
    """
    from preview.files import check_file, write_whole
    from preview.room.measured import build_room

    _must_be_new(file)
    check_file(file)
    with SavedAnswers(file, ask, say) if keep else nullcontext() as saved:
        answers, walls = ask_room(saved.ask if saved else ask, say, RoomSurveyor(), wood_names(materials), given)
        text = scene_text(answers, walls)
        _must_be_new(file)  # an hour with the tape later
        write_whole(file, text.encode("utf-8"))
    for job in read_scene(text, str(file), materials=materials):
        for warning in build_room(job).warnings:
            say(warning)
    return file


def _must_be_new(file: Path) -> None:
    if os.path.exists(file):  # noqa: PTH110 (which, unlike Path's, raises nothing)
        raise UsageError(f"{file}: this file exists already; name another, or move it away first")
