"""Files are written whole or not at all: a temporary file in the same folder, then a rename."""

from __future__ import annotations

import os
import re
import tempfile
import unicodedata
from pathlib import Path

from preview.errors import UsageError


def write_whole(path: Path, data: bytes) -> Path:
    """Write `data` to `path` so that a reader sees the old file or the new one, never a part.

    Raises:
        UsageError: the folder is missing or can't be written, or `path` is a folder.
    """
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(temporary).chmod(0o666 & ~_umask())
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(
            f"{path}: can't be written ({_reason(error)}); name a file in a folder that you may write to"
        ) from error
    return path


def writable_folder(path: Path) -> Path:
    """Make the folder `path` if it is missing and prove that a file can be made in it; return it.

    Called before any work is done for the files that will go there.

    Raises:
        UsageError: it is a file, or nothing can be written in it.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=path):
            pass
    except OSError as error:
        raise UsageError(
            f"{path}: can't be used as a folder for the results ({_reason(error)}); name one that you may write to"
        ) from error
    return path


def slug(text: str) -> str:
    """Return `text` as a plain part of a file name: lower case, accents off, letters of any script kept, hyphens.

    >>> slug("Dining room, Orchard House")
    'dining-room-orchard-house'
    """
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return re.sub(r"[\W_]+", "-", plain).strip("-")[:60].rstrip("-") or "untitled"


def picture_names(rows: list[tuple[str, ...]], suffix: str) -> list[str]:
    """Return one file name for each row of parts, joined by two hyphens, each different from the others.

    Names that would fall together get -2, -3 and so on, in order.
    """
    names: list[str] = []
    for row in rows:
        stem = "--".join(slug(part) for part in row)
        name, count = f"{stem}{suffix}", 1
        while name in names:
            count += 1
            name = f"{stem}-{count}{suffix}"
        names.append(name)
    return names


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
