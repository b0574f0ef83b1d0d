"""Files are written whole or not at all: a temporary file in the same folder, then a rename.

Only what is a file may be replaced, and only by one who could have written into it; a link is followed. Folders are
made when there is something to put in them, so that a command that was refused leaves none behind.
"""

from __future__ import annotations

import os
import re
import stat
import tempfile
import unicodedata
from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import BinaryIO

from preview.errors import UsageError
from preview.unfinished import Unfinished

LONGEST = 60  # bytes of a name's part of a file name, of which there may be three in the 255 that file systems take


def write_whole(path: Path, data: bytes | memoryview, durable: bool = True) -> Path:
    """Write `data` to `path` so that a reader sees the old file or the new one, never a part; return `path`.

    Where `path` is a link, the file that it leads to is written and the link stays. A file that is replaced keeps its
    permissions. A missing folder is made. Not `durable` is quicker: a power cut may leave a file of wrong bytes.

    Raises:
        UsageError: as `check_file`; or the writing itself failed, and then all is as it was.
    """
    check_file(path)
    try:
        target = Path(os.path.realpath(path))
        with Unfinished() as work:
            file, part = _part(work, target)
            with file:
                file.write(data)
                file.flush()
                if durable:  # or a power cut after the rename may leave an empty file in the old one's place
                    os.fsync(file.fileno())
                _permit(part, target)
                if os.name == "nt":  # where an open file can't be renamed; elsewhere it stays locked until it is
                    file.close()
                work.finish(partial(part.replace, target))
    except OSError as error:
        raise _cannot_write(path, error) from error
    return path


def _part(work: Unfinished, target: Path) -> tuple[BinaryIO, Path]:
    """Return the temporary file of `target`, in folders that are made for it: again where another run that made them
    too was refused meanwhile, and took them away."""
    for _ in range(9):
        with suppress(FileNotFoundError):
            work.folders(target.parent)
            return work.part(target)
    work.folders(target.parent)
    return work.part(target)


def check_file(path: Path, example: str = "", read: Iterable[str | Path] = ()) -> None:
    """Raise UsageError unless `path` is a file that may be replaced, or a new name at which one could be written.

    Called before any work is done for the file; it makes nothing. What is no plain file (a folder, a device, a pipe, a
    socket), and a file that is read-only or can't be opened for writing, are refused. A superuser can open every file:
    so a file that nobody, or not its owner, may write is refused to them too.

    Args:
        example: a name for a file of this kind, for the message where `path` is a folder.
        read: files that the command reads, none of which may be replaced by its result.
    """
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        check_folder(Path(os.path.realpath(path)).parent)
        return
    except OSError as error:
        raise _cannot_write(path, error) from error
    if stat.S_ISDIR(found.st_mode):
        raise UsageError(f"{path}: this is a folder; name a file in it, such as {path / (example or 'file')}")
    if not stat.S_ISREG(found.st_mode):
        raise UsageError(f"{path}: this is {_kind(found.st_mode)}, not a file; name a file, or a new name")
    own = not hasattr(os, "geteuid") or found.st_uid == os.geteuid()
    if not found.st_mode & (stat.S_IWUSR if own else 0o222):
        raise UsageError(f"{path}: this file is read-only; name another, or allow writing to it first")
    target = Path(os.path.realpath(path))
    try:
        os.close(os.open(target, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0)))
    except OSError as error:
        raise _cannot_write(path, error) from error
    check_folder(target.parent)
    for each in read:
        with suppress(OSError):
            if target.samefile(each):
                raise UsageError(f"{path}: this is the file that is read; name another for the result")


def check_folder(path: Path) -> None:
    """Raise UsageError unless files can be made in the folder `path`, or it could be made; it makes nothing.

    Called before any work is done for the files that will go there.
    """
    nearest = Path(os.path.realpath(path))
    while not os.path.lexists(nearest) and nearest != nearest.parent:
        nearest = nearest.parent
    try:
        with tempfile.TemporaryFile(dir=nearest):
            pass
    except OSError as error:
        raise UsageError(
            f"{path}: can't be used as a folder for the results ({_reason(error)}); name one that you may write to"
        ) from error


def slug(text: str) -> str:
    """Return `text` as a plain part of a file name: lower case, accents off, letters of any script kept, hyphens.

    Names that a file system takes for one, whatever their case and however they are composed, give one slug.

    >>> slug("Dining room, Orchard House")
    'dining-room-orchard-house'
    """
    letters = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    bare = unicodedata.normalize("NFC", "".join(c for c in letters if not unicodedata.combining(c)))
    plain = re.sub(r"[\W_]+", "-", bare).strip("-")
    return plain.encode()[:LONGEST].decode(errors="ignore").rstrip("-") or "untitled"


def distinct_slugs(names: Sequence[str]) -> dict[str, str]:
    """Return a slug for each of a scene's names, no two alike: those that would fall together get -2, -3, in order.

    Given all names of a kind that a scene has, a name has the same slug whichever of them are drawn in a run.
    """
    slugs: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        stem = part = slug(name)
        count = 1
        while part.upper() in taken:  # as a file system that takes no notice of case compares
            count += 1
            part = f"{stem}-{count}"
        taken.add(part.upper())
        slugs[name] = part
    return slugs


def _permit(new: Path, old: Path) -> None:
    """Give a new file the permissions, and where that is allowed the owner, of the file it replaces; else the usual."""
    try:
        state = old.stat()
    except FileNotFoundError:
        new.chmod(0o666 & ~_umask())
        return
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(new, state.st_uid, state.st_gid)
    new.chmod(state.st_mode & 0o777)


def _kind(mode: int) -> str:
    if stat.S_ISFIFO(mode):
        return "a pipe"
    return "a socket" if stat.S_ISSOCK(mode) else "a device"


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _cannot_write(path: Path, error: OSError) -> UsageError:
    return UsageError(f"{path}: can't be written ({_reason(error)}); name a file in a folder that you may write to")


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
