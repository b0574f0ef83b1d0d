"""What a batch has made so far, in a file beside the results: so that what is finished and whole is not made again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from preview.batch.making import MadeResult
from preview.batch.room_files import MakeKind, RoomFiles
from preview.errors import UsageError
from preview.files import write_whole

NAME = "batch.json"
Json = dict[str, Any]


class BatchRecord:
    """The record of a folder of results, written anew whenever something is finished."""

    def __init__(self, folder: Path, version: str) -> None:
        self._folder, self._version = folder, version
        self.path = folder / NAME
        self._rooms: dict[str, Json] = _read(self.path)

    def is_whole(self, room: RoomFiles, what: MakeKind) -> bool:
        """Whether something was made of these very files by this version, and every file of it is as it was made."""
        known = self._known(room, what)
        files = known.get("files")
        if known.get("key") != room.key(what, self._version) or known.get("failed") is not False:
            return False
        if not isinstance(files, dict) or not files:
            return False
        return all(_digest(self._folder / room.folder / name) == digest for name, digest in files.items())

    def take(self, room: RoomFiles, what: MakeKind, made: MadeResult) -> None:
        """Write the files that were made, then the record.

        Raises:
            UsageError: they can't be written, or a name would lead out of the room's folder.
        """
        for name, content in made.files.items():
            if Path(name).name != name or name in ("", ".", ".."):
                raise UsageError(f"{room.scene}: a file called {name} was sent back; names are plain ones")
            write_whole(self._folder / room.folder / name, content)
        entry = self._rooms.setdefault(room.folder, {})
        entry["scene"] = room.scene
        entry.setdefault("made", {})[what] = {
            "driver": made.driver,
            "failed": made.failed,
            "files": {name: hashlib.sha256(content).hexdigest() for name, content in made.files.items()},
            "key": room.key(what, self._version),
            "seconds": round(made.seconds, 2),
            "words": made.words,
        }
        told = {"version": self._version, "rooms": self._rooms}
        write_whole(self.path, (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode())

    def _known(self, room: RoomFiles, what: MakeKind) -> Mapping[str, Any]:
        made = self._rooms.get(room.folder, {}).get("made")
        known = made.get(what) if isinstance(made, dict) else None
        return known if isinstance(known, dict) else {}


def _read(path: Path) -> dict[str, Json]:
    """Return the rooms of a record, none where it is missing or was not written by a batch."""
    try:
        found = json.loads(path.read_bytes())["rooms"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}
    return {key: value for key, value in found.items() if isinstance(value, dict)} if isinstance(found, dict) else {}


def _digest(path: Path) -> str | None:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None
