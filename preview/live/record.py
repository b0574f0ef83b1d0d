"""What outlives a server that is killed: its tokens and port, so that pages find it again, and what was not saved.

One small file for each scene, in the user's own folder for such things, readable to nobody else: a line with a digest
of all that follows it, then JSON. A damaged one is none: half a text is not offered as what was not saved.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from preview.errors import UsageError
from preview.file_reading import NoFile, TooLarge, file_content
from preview.files import write_whole
from preview.scene.document import MOST_BYTES

REMEDY = "name a folder for it in the environment variable PREVIEW_CACHE"


@dataclass(frozen=True)
class Record:
    """`token` lets the firm in, `customer` the customer; `port` is where pages look for the server, 0 for anywhere.

    `unsaved` is the scene's text as it stood, None where all was saved, and `since` when it was last changed.
    """

    token: str
    customer: str
    port: int = 0
    unsaved: str | None = None
    since: str = ""


def new_record() -> Record:
    """Return a record with tokens that nobody can guess: 256 bits each."""
    return Record(secrets.token_urlsafe(32), secrets.token_urlsafe(32))


def record_file(scene: Path, number: int = 1) -> Path:
    """Return where the record of the scene file `scene` is; several servers of one scene have one each.

    Raises:
        UsageError: nobody knows where the user's home is.
    """
    name = hashlib.blake2b(os.fsencode(os.path.realpath(scene)), digest_size=16).hexdigest()
    return _folder() / f"{name}{'' if number == 1 else f'-{number}'}.json"


def read_record(path: Path) -> Record | None:
    """Return the record in a file, None where there is none that is whole."""
    try:
        begins, _, body = file_content(path, 8 * MOST_BYTES).partition(b"\n")
        if begins != _begins(body):
            return None
        found = json.loads(body)
        record = Record(**{each.name: found[each.name] for each in fields(Record)})
    except (OSError, ValueError, TypeError, KeyError, RecursionError, NoFile, TooLarge):
        return None
    texts = (record.token, record.customer, record.since)
    whole = all(isinstance(each, str) for each in texts) and isinstance(record.unsaved, str | None)
    safe = min(len(record.token), len(record.customer)) >= 40 and record.token != record.customer
    return record if whole and safe and isinstance(record.port, int) and 0 <= record.port < 65536 else None


def write_record(path: Path, record: Record) -> None:
    """Write a record whole, for its owner's eyes.

    Raises:
        UsageError: it can't be written.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.touch(mode=0o600)  # what is written in its place keeps this
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise UsageError(f"{path}: can't be written ({why}), so what is not saved can't be kept; {REMEDY}") from error
    body = json.dumps(asdict(record)).encode()
    write_whole(path, _begins(body) + b"\n" + body)


def _begins(body: bytes) -> bytes:
    """Return the line before a record: what it is, and a digest of what follows."""
    return f"preview record 1 {hashlib.blake2b(body, digest_size=16).hexdigest()}".encode()


def forget(path: Path) -> None:
    """Delete a record, if it is there."""
    with suppress(OSError):
        path.unlink()


def _folder(environment: Mapping[str, str] = os.environ) -> Path:
    chosen = environment.get("PREVIEW_CACHE")
    if chosen and chosen != "off":
        return Path(chosen) / "live"
    from platformdirs import user_state_path

    with suppress(RuntimeError):  # earlier releases give "~" itself
        if (folder := user_state_path("herringbone-preview")).is_absolute():
            return folder / "live"
    raise UsageError(f"the user has no home folder, so what is not saved can't be kept; {REMEDY}")
