"""A cache of arrays on disk, keyed by content: atomic, bounded, safe to delete at any time, safe with two at once.

It lies in the user's cache folder (or where the environment variable PREVIEW_CACHE says; "off" for none). An entry
is one file (see `cache_entry`), written whole; its name is the key, which changes with the program, its data and the
libraries that compute and draw. What is not every byte as it was written counts as absent and is written anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import stat
import sys
import time
from collections.abc import Callable, Iterable
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Literal, get_args

import numpy as np

from preview.cache_entry import Arrays, entry_bytes, read_entry
from preview.data import data_folder
from preview.errors import UsageError
from preview.files import write_whole

CacheKind = Literal["light", "pictures", "wood"]

MOST_BYTES = 480 * 2**20  # of all kinds together
MOST_OF_SHADERS = "32M"  # beside them, what the graphics driver compiles, as Mesa reads it
ENDING = ".arrays"
OURS = re.compile(r"\.?[0-9a-f]{40}(-\w+)?(\.arrays|\.npz|\.[^.]+\.part)|.+\.arrays|\..+-preview-\w+\.part")
"""Names of entries, of those of earlier versions, and of what was not finished: nothing else is ever deleted."""
AHEAD = 3600.0  # seconds that clocks of machines with one folder may differ
PACKAGE = Path(__file__).parent
COMPUTED_WITH = (
    *("numpy", "scipy", "shapely", "trimesh", "embreex", "ephem"),
    *("pyrender", "PyOpenGL", "Pillow", "typst", "font-source-sans-pro"),
)
"""The distributions whose release may change what is cached: those that compute, and those that draw and set type."""


def cache_folder(kind: CacheKind | Literal["shaders"]) -> Path | None:
    """Return the folder where `kind` is cached, or None where the user wants none or has no place for one."""
    chosen = os.environ.get("PREVIEW_CACHE")
    if chosen:
        return None if chosen == "off" else Path(chosen) / kind
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("herringbone-preview") / kind
    except RuntimeError:  # nobody knows where the user's home is; earlier releases give "~" itself
        return None
    return folder if folder.is_absolute() else None


def content_key(*values: object) -> str:
    """Return a key made of the bytes of arrays, of the JSON of everything else (tuples, texts, numbers), and of the
    program itself (see `program_version`)."""
    digest = hashlib.blake2b(program_version().encode(), digest_size=20)
    for value in values:
        if isinstance(value, np.ndarray):
            digest.update(f"{value.dtype}{value.shape}".encode())
            digest.update(np.ascontiguousarray(value).data)
        else:
            digest.update(json.dumps(value, sort_keys=True).encode())
    return digest.hexdigest()


@cache
def program_version() -> str:
    """Return a digest of the text of the whole package, of its materials, of Python's release and of the releases of
    `COMPUTED_WITH`. It is found when first asked for, once a process: some 40 ms."""
    releases = [f"{name} {_release(name)}" for name in COMPUTED_WITH]
    known = (text_version(PACKAGE), text_version(data_folder("materials")), sys.version, *releases)
    return hashlib.blake2b("\n".join(known).encode(), digest_size=20).hexdigest()


def text_version(folder: Path) -> str:
    """Return a digest of the files in `folder` and below it, and of their names."""
    digest = hashlib.blake2b(digest_size=20)
    for path in sorted(each for each in folder.rglob("*.*") if each.suffix != ".pyc" and each.is_file()):
        content = path.read_bytes()
        digest.update(f"{path.relative_to(folder)}\n{len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()


def _release(distribution: str) -> str:
    try:
        return version(distribution)
    except PackageNotFoundError:  # vendored, or on the path without its metadata
        return "unknown"


def cached(
    key: str, names: Iterable[str], make: Callable[[], Arrays], folder: Path | None, most: int = MOST_BYTES
) -> Arrays:
    """Return the arrays `names` cached under `key`, or make and cache them.

    folder: where, None to keep nothing; most: bytes that the entries of all kinds may take, those longest unused going
    first. A folder that cannot be written is no error: the result is simply not cached.
    """
    if folder is None:
        return make()
    path = folder / f"{key}{ENDING}"
    wanted = set(names)
    found = read_entry(path, key, most)
    if found is not None and wanted <= found.keys():
        with contextlib.suppress(OSError):
            os.utime(path)
        return found
    made = make()
    with contextlib.suppress(OSError, UsageError):
        _write(path, entry_bytes(key, made), most)
    return made


def _write(path: Path, entry: bytes, most: int) -> None:
    """Write an entry; room is made for it before, so that a run that is killed meanwhile leaves no more than `most`
    bytes, and afterwards, for what others wrote meanwhile."""
    if len(entry) <= most:
        _trim(path.parent, most - len(entry))
        write_whole(path, memoryview(entry), durable=False)
        _trim(path.parent, most)


def _trim(folder: Path, most: int) -> None:
    """Delete entries until those in `folder` and in the folders of the other kinds take no more than `most` bytes.

    Those longest unused go first; before them all those used in times to come, as they are when a clock has been set
    back. Others may delete or write at the same time.
    """
    now = time.time() + AHEAD
    entries = []
    for place in {folder, *(folder.with_name(kind) for kind in get_args(CacheKind))}:
        with contextlib.suppress(OSError), os.scandir(place) as listed:
            for each in listed:
                if OURS.fullmatch(each.name):
                    with contextlib.suppress(OSError):
                        found = each.stat(follow_symlinks=False)
                        if stat.S_ISREG(found.st_mode):
                            used = found.st_mtime if found.st_mtime <= now else 0.0
                            entries.append((used, found.st_size, each.path))
    total = sum(size for _, size, _ in entries)
    for _, size, path in sorted(entries):
        if total <= most:
            break
        with contextlib.suppress(OSError):
            Path(path).unlink(missing_ok=True)
            total -= size
