"""The firm's details, read anew whenever their file has changed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Lock

from preview.errors import PreviewError
from preview.paper.quote.firm_details import Details, load_details


class FirmFile:
    """The details of a file, as it is now; safe in several threads."""

    def __init__(self, path: Path, load: Callable[[Path], Details] = load_details) -> None:
        """Read the file.

        Raises:
            SceneError: it can't be read.
        """
        self._path, self._load, self._lock = path, load, Lock()
        self._mark, self._found = self._seen(), load(path)

    def now(self) -> Details:
        """Return the details as the file has them.

        Raises:
            SceneError: the file was changed, and can't be read now.
        """
        with self._lock:
            if (mark := self._seen()) != self._mark:
                self._found = self._load(self._path)
                self._mark = mark
            return self._found

    def last(self) -> Details:
        """Return the details as they could last be read: while someone writes in the file, it may say nothing."""
        try:
            return self.now()
        except PreviewError:
            return self._found

    def _seen(self) -> tuple[int, int] | None:
        try:
            found = self._path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size
