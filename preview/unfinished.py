"""What a run has begun and not finished: nothing of it stays, however the run ends.

Whatever is begun is taken back where it fails, and by `take_back` where the run is stopped. A run that is killed can
take nothing back: so each file and folder that is not finished has a name of its own kind and is locked while its
process lives, and a later run that comes by deletes those which nobody holds any more. The lock is the operating
system's (flock), which ends with the process, whatever ended it. Where there is none (Windows), what is in use can't be
deleted, and only what is old is tried.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from types import ModuleType, TracebackType
from typing import BinaryIO, TypeVar

from preview.errors import UsageError

fcntl: ModuleType | None
try:
    import fcntl
except ImportError:
    fcntl = None

Made = TypeVar("Made")
MARK = "herringbone-preview-"
PART = re.compile(rf"\..*\.{MARK}\w{{8}}\.part", re.DOTALL)
SCRATCH = re.compile(rf"{MARK}scratch-\w{{8}}")
OLD = 3600.0  # seconds after which what can't be locked is taken for left over
PATIENCE = 0.5  # seconds that a run which is stopped waits for what is just being begun or finished

_guard = threading.RLock()
"""Held while something is begun or finished; by a run that is stopped, to its end."""
_open: list[Unfinished] = []


class Unfinished:
    """What is being made; used as a context, which takes it back unless it was finished, the last begun first."""

    def __init__(self) -> None:
        self._undo: list[Callable[[], object]] = []

    def __enter__(self) -> Unfinished:
        with _guard:
            _open.append(self)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        with _guard:
            self.take_back()
            _open.remove(self)

    def begin(self, make: Callable[[], Made], undo: Callable[[Made], object]) -> Made:
        """Return what `make` makes, which `undo` takes back."""
        with _guard:
            made = make()
            self._undo.append(partial(undo, made))
        return made

    def finish(self, last: Callable[[], object]) -> None:
        """Take the last step, after which all stays."""
        with _guard:
            last()
            self._undo.clear()

    def take_back(self) -> None:
        """Take back what was begun."""
        while self._undo:
            with suppress(OSError):
                self._undo.pop()()

    def folders(self, path: Path) -> None:
        """Make the folder `path` and those above it that are missing."""
        missing = []
        while not path.exists():
            missing.append(path)
            path = path.parent
        for folder in reversed(missing):
            with suppress(FileExistsError):  # another run was quicker
                self.begin(partial(_made, folder), Path.rmdir)

    def part(self, target: Path) -> tuple[BinaryIO, Path]:
        """Return an empty file beside `target`, open and locked, and its path; delete those that dead runs left there.

        Raises:
            OSError: it can't be made.
        """
        sweep(target.parent, PART)
        while True:
            make = partial(tempfile.mkstemp, prefix=f".{target.name[:40]}.{MARK}", suffix=".part", dir=target.parent)
            handle, name = self.begin(make, lambda made: Path(made[1]).unlink(missing_ok=True))
            if _lock(handle, wait=True) and not _is_at(handle, name):  # swept between the two
                os.close(handle)
                continue
            return os.fdopen(handle, "wb"), Path(name)


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """Yield an empty folder for libraries that read and write files only; it is gone afterwards.

    Raises:
        UsageError: it can't be made, or writing into it fails.
    """
    place: str | None = None
    try:
        place = tempfile.gettempdir()
        sweep(Path(place), SCRATCH)
        with Unfinished() as work:
            make = partial(tempfile.mkdtemp, prefix=f"{MARK}scratch-", dir=place)
            folder = work.begin(make, partial(shutil.rmtree, ignore_errors=True))
            handle = None
            if fcntl is not None:
                handle = os.open(folder, os.O_RDONLY)
                _lock(handle, wait=True)
            try:
                yield Path(folder)
            finally:
                if handle is not None:
                    os.close(handle)
    except OSError as error:
        why = error.strerror or str(error)
        raise UsageError(
            f"{place or 'temporary files'}: can't be written ({why.lower()}); make space there, or name another folder "
            "for temporary files in the environment variable TMPDIR"
        ) from error


def sweep(folder: Path, names: re.Pattern[str]) -> None:
    """Delete what dead runs left in a folder under `names`; what can't be deleted stays."""
    try:
        with os.scandir(folder) as listed:
            found = [each.path for each in listed if names.fullmatch(each.name)]
    except OSError:
        return
    for path in found:
        with suppress(OSError):
            if fcntl is not None:
                _delete_if_free(path)
            elif time.time() - Path(path).lstat().st_mtime > OLD:
                _delete(path)


def take_back() -> None:
    """Take back all that is begun and not finished, in every thread; nothing more is begun or finished after that."""
    _guard.acquire(timeout=PATIENCE)
    for each in reversed(_open):
        each.take_back()


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _lock(handle: int, wait: bool) -> bool:
    """Lock an open file; return whether that is possible."""
    if fcntl is None:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:  # another holds it, or the file system has no locks
        return False
    return True


def _delete_if_free(path: str) -> None:
    handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        own = os.fstat(handle).st_uid == os.geteuid()
        if own and _lock(handle, wait=False) and _is_at(handle, path):
            _delete(path)
    finally:
        os.close(handle)


def _delete(path: str) -> None:
    if Path(path).is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        Path(path).unlink()


def _is_at(handle: int, path: str) -> bool:
    """Return whether the open file is the one at `path`, a file or a folder."""
    own = os.fstat(handle)
    if not (stat.S_ISREG(own.st_mode) or stat.S_ISDIR(own.st_mode)):
        return False
    try:
        return os.path.samestat(own, Path(path).lstat())
    except FileNotFoundError:
        return False
