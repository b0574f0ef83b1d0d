"""One thing of one room, made as its own command makes it: by that command, in a process and a folder of its own."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from threading import Lock

import preview
from preview.batch.room_files import MakeKind, RoomFiles
from preview.cache import program_version
from preview.unfinished import scratch_folder

COMMANDS: Mapping[MakeKind, str] = {"pictures": "render", "quote": "quote", "card": "card", "page": "page"}
WITH_DETAILS = ("quote", "page")
DRAWN = ("pictures", "quote", "page")
RESULTS = "previews"
"""The folder to which commands write that are told no other."""

LAST_WORDS = 600
"""Letters of what a command said, where it failed."""


@dataclass(frozen=True)
class MadeResult:
    """What came of it: the bytes of each file by its name, or, where `failed`, none; what the command said; seconds;
    what drew its pictures, if it has some."""

    files: Mapping[str, bytes] = field(repr=False)
    words: str
    failed: bool
    seconds: float
    driver: str | None = None


class Children:
    """The processes that run now, to be ended together."""

    def __init__(self) -> None:
        self._lock, self._running, self._ended = Lock(), set[subprocess.Popen[bytes]](), False

    def run(self, command: list[str], folder: Path, environment: Mapping[str, str]) -> tuple[int, bytes]:
        """Run a command and return its exit status and what it wrote to standard error."""
        with self._lock:
            if self._ended:
                return -signal.SIGTERM, b""
            child = subprocess.Popen(
                command,
                cwd=folder,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                start_new_session=True,
            )
            self._running.add(child)
        try:
            _, said = child.communicate()
        finally:
            with self._lock:
                self._running.discard(child)
        return child.returncode, said

    def end(self) -> None:
        """End them all, and start no more."""
        with self._lock:
            self._ended, running = True, list(self._running)
        for each in running:
            with suppress(OSError):
                each.terminate()


def make(room: RoomFiles, what: MakeKind, version: str, children: Children | None = None) -> MadeResult:
    """Make one thing of a room; what is wrong with the room is told in the result.

    version: of the program that asks (`cache.program_version`): another one makes nothing. children: where the process
    is to be counted.
    """
    started = time.monotonic()
    if program_version() != version:
        return MadeResult({}, "the program or a library of it is of another version here", True, 0.0)
    with scratch_folder() as folder:
        for path, content in room.files.items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        command = [sys.executable, "-P", "-m", "preview", COMMANDS[what], room.scene_file]
        if room.details_file is not None and what in WITH_DETAILS:
            command += ["--details", room.details_file]
        if room.materials is not None:
            command += ["--materials", room.materials]
        status, said = (children or Children()).run(command, folder, _environment())
        words = said.decode(errors="replace").replace(room.scene_file, room.scene).strip()
        if status != 0:
            words = words or (f"the command was ended by signal {-status}" if status < 0 else f"exit status {status}")
            return MadeResult({}, words[-LAST_WORDS:], True, time.monotonic() - started)
        files = {each.name: each.read_bytes() for each in sorted((folder / RESULTS).iterdir()) if each.is_file()}
        driver = driver_here() if what in DRAWN else None
        return MadeResult(files, words[-LAST_WORDS:], False, time.monotonic() - started, driver)


@cache
def driver_here() -> str | None:
    """Return what draws pictures on this machine (`picture.draw.gl_driver`), None where nothing does.

    It is asked in a process of its own, as pictures are drawn in one: a driver that fails takes nobody with it.
    """
    asking = "import sys; from preview.picture.draw import gl_driver; sys.stdout.write(gl_driver())"
    command = [sys.executable, "-P", "-c", asking]
    asked = subprocess.run(command, env=_environment(), stdin=subprocess.DEVNULL, capture_output=True, check=False)
    return asked.stdout.decode(errors="replace") if asked.returncode == 0 else None


def _environment() -> dict[str, str]:
    """Return the environment of a command: this one's, with this very program."""
    package = str(Path(preview.__file__).resolve().parents[1])
    known = os.environ.get("PYTHONPATH")
    return {**os.environ, "PYTHONPATH": os.pathsep.join([package, known] if known else [package])}
