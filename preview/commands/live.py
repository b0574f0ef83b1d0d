"""The command that serves a scene to a browser on this machine."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from preview.errors import UsageError
from preview.files import check_folder
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
    """Serve a scene file, or a new room where `scene` is None, until the program is told to stop: in a process of its
    own, which this one watches.

    Raises:
        SceneError, UsageError: the scene or the firm's details can't be read, a new room can't be saved here, the port
            can't be had.
    """
    from preview.live.watch import end_with_watcher, started, watch_server

    how = started()
    if how is None:
        raise SystemExit(watch_server(_new_file() if scene is None else Path(scene), tell))
    end_with_watcher()
    from preview.live.firm_file import FirmFile
    from preview.live.new_room import new_room, usual_units
    from preview.live.serve import serve

    if not 0 <= port < 65536:
        raise UsageError(f"--port: found {port}; give a number up to 65535")
    if scene == "-":
        raise UsageError("live changes a scene file, not standard input; give the file's name")
    firm = FirmFile(details) if details is not None else None
    file = how.file
    if scene is None and not file.exists():
        content, text = None, new_room(usual_units())
    else:
        content = file_bytes(file, SCENE_FILE)
        plain_text(content, str(file), SCENE_FILE)  # says what is wrong with it
        text = content.decode("utf-8-sig")
    serve(file, content, text, firm, materials, port, browser, lan, say, tell, how.again)


def _new_file() -> Path:
    """Return a name for a new room in this folder, which none has.

    Raises:
        UsageError: nothing can be written here.
    """
    try:
        check_folder(Path())
    except (UsageError, OSError) as fault:
        raise UsageError("a new room can't be saved in this folder; go to one that you may write to") from fault
    number = 1
    while (path := Path(f"{NEW_NAME}.toml" if number == 1 else f"{NEW_NAME}-{number}.toml")).exists():
        number += 1
    return path
