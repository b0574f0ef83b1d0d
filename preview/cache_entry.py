"""A cached entry as a file: a checksum over all that follows it, a head that says what the entry is, and its arrays.

    the line b"preview arrays 1\\n", 15 zeros; CRC-32 of all that follows, 4 bytes; the head's length, 4 bytes
    the head: JSON, of the entry's key and of each array its name, type, shape, order of its items and where it begins
    the arrays' bytes, each array beginning at a multiple of 64

Numbers are little-endian. An entry is read only where every byte is as it was written and its key is the one that was
asked for; so a damaged entry, half of one, one of another version and another entry's bytes are no entry. Nothing in
one is ever run: it is numbers and texts of a fixed length. CRC-32 finds every error in up to 32 bits that follow one
another, and lets one in 2^32 of others pass (as in ISO 3309; zlib's). It is no guard against who may write here.
"""

from __future__ import annotations

import json
import os
import stat
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Arrays = Mapping[str, NDArray[Any]]

BEGINS = b"preview arrays 1\n".ljust(32, b"\0")
SUM, LENGTH = 4, 4  # bytes of the checksum and of the head's length
ALIGNED = 64
PLAIN = "biufcSU"  # kinds of numpy's types that are nothing but numbers or texts


def entry_bytes(key: str, arrays: Arrays) -> bytes:
    """Return the entry of `arrays` under `key`.

    Raises:
        ValueError: an array holds objects, or what else is not plain numbers or texts.
    """
    told: list[list[object]] = []
    parts: list[bytes | memoryview] = []
    at = 0
    for name, array in arrays.items():
        if array.dtype.kind not in PLAIN:
            raise ValueError(f"{name}: arrays of {array.dtype} can't be cached")
        order = "F" if array.flags.f_contiguous and not array.flags.c_contiguous else "C"
        body = np.asarray(array, order="C") if order == "C" else array.T
        told.append([name, array.dtype.str, list(array.shape), order, at])
        gap = -body.nbytes % ALIGNED
        parts += [body.reshape(-1).view(np.uint8).data, bytes(gap)]
        at += body.nbytes + gap
    head = json.dumps({"key": key, "arrays": told}).encode()
    head += b" " * (-(len(BEGINS) + SUM + LENGTH + len(head)) % ALIGNED)
    parts = [len(head).to_bytes(LENGTH, "little"), head, *parts]
    checksum = 0
    for part in parts:
        checksum = zlib.crc32(part, checksum)
    return b"".join([BEGINS, checksum.to_bytes(SUM, "little"), *parts])


def read_entry(path: Path, key: str, most: int) -> Arrays | None:
    """Return the arrays of the entry `key` in a file of at most `most` bytes; None where that is not what it holds."""
    try:
        content = _content(path, most)
        return None if content is None else _arrays(content, key)
    # Behind a checksum that is right stands what this program wrote: but whatever it is, it must not stop a run.
    except (OSError, ValueError, TypeError, KeyError, OverflowError, MemoryError, RecursionError):
        return None


def _content(path: Path, most: int) -> NDArray[np.uint8] | None:
    """Return the bytes of a regular file that begins as an entry does; None of anything else."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)  # a pipe would wait for a writer
    with os.fdopen(os.open(path, flags), "rb") as file:
        found = os.fstat(file.fileno())
        if not stat.S_ISREG(found.st_mode) or not len(BEGINS) + SUM + LENGTH <= found.st_size <= most:
            return None
        content = np.empty(found.st_size, dtype=np.uint8)
        whole = content.data
        whole[: len(BEGINS)] = file.read(len(BEGINS))
        if bytes(whole[: len(BEGINS)]) != BEGINS:
            return None
        rest = whole[len(BEGINS) :]
        return content if file.readinto(rest) == len(rest) else None


def _arrays(content: NDArray[np.uint8], key: str) -> Arrays | None:
    whole = content.data
    at = len(BEGINS)
    checksum = int.from_bytes(whole[at : at + SUM], "little")
    if zlib.crc32(whole[at + SUM :]) != checksum:
        return None
    at += SUM
    length = int.from_bytes(whole[at : at + LENGTH], "little")
    at += LENGTH
    head = json.loads(bytes(whole[at : at + length]))
    if head["key"] != key:
        return None
    first = at + length
    arrays = {}
    for name, kind, shape, order, begins in head["arrays"]:
        dtype = np.dtype(kind)
        if dtype.kind not in PLAIN:
            return None
        arrays[name] = np.ndarray(shape, dtype, content, first + begins, order=order)
    return arrays
