"""A cache of arrays on disk, keyed by content: atomic, bounded, safe to delete at any time, safe with two at once.

It lies in the user's cache folder (or where the environment variable PREVIEW_CACHE says; "off" for none). An entry
is one .npz file, written whole; its name is the key, which changes with the program, its data and the libraries that
compute and draw. What cannot be read, for whatever reason, counts as absent and is written anew. No entry can do more
than hold arrays.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import sys
import zipfile
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.data import data_folder
from preview.errors import UsageError
from preview.files import write_whole

Arrays = Mapping[str, NDArray[Any]]

MOST_BYTES = 512 * 2**20
PACKAGE = Path(__file__).parent
COMPUTED_WITH = (
    *("numpy", "scipy", "shapely", "trimesh", "embreex", "pvlib"),
    *("pyrender", "PyOpenGL", "Pillow", "typst", "font-source-sans-pro"),
)
"""The distributions whose release may change what is cached: those that compute, and those that draw and set type."""


def cache_folder(kind: Literal["light", "pictures", "wood"]) -> Path | None:
    """Return the folder where `kind` is cached, or None where the user wants none; each kind is bounded by itself."""
    chosen = os.environ.get("PREVIEW_CACHE")
    if chosen:
        return None if chosen == "off" else Path(chosen) / kind
    from platformdirs import user_cache_path

    return user_cache_path("herringbone-preview") / kind


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

    folder: where, None to keep nothing; most: bytes the folder may hold, the entries longest unused going first.
    A folder that cannot be written is no error: the result is simply not cached.
    """
    if folder is None:
        return make()
    path = folder / f"{key}.npz"
    if (found := _read(path, names)) is not None:
        return found
    made = make()
    with contextlib.suppress(OSError, UsageError):
        _write(path, made)
        _trim(folder, most)
    return made


def _read(path: Path, names: Iterable[str]) -> Arrays | None:
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as entry:
            found = {name: entry[name] for name in names}  # the zip's own checksums are checked as each is read
        os.utime(path)
    # NotImplementedError is what zipfile raises for a damaged entry that names an unknown compression method.
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile, NotImplementedError):
        return None
    return found


def _write(path: Path, arrays: Arrays) -> None:
    file = io.BytesIO()
    np.savez(file, allow_pickle=False, **dict(arrays))
    write_whole(path, file.getbuffer())


def _trim(folder: Path, most: int) -> None:
    """Delete the entries longest unused until the folder holds no more than `most` bytes; and what a run that was
    cut off left half-written, once it is an hour old."""
    entries = []
    for path in folder.iterdir():
        with contextlib.suppress(FileNotFoundError):
            entries.append((path.stat().st_mtime, path.stat().st_size, path))
    newest = max((each[0] for each in entries), default=0.0)
    total = sum(size for _, size, path in entries if path.suffix == ".npz")
    for when, size, path in sorted(entries):
        half = path.suffix == ".part" and when < newest - 3600
        if half or (path.suffix == ".npz" and total > most):
            path.unlink(missing_ok=True)
            total -= size if path.suffix == ".npz" else 0
