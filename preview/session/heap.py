"""Memory between pictures: what is free but held, and what is looked through again and again.

glibc keeps what many threads have freed, some 200 MB after a few changes. Python's collector of garbage looks through
all objects now and then, those of every imported module among them, 0.13 s in which nothing else is done.
"""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Callable
from functools import cache


def trim_heap() -> None:
    """Give free memory back to the system, where its library for C can (malloc_trim of glibc); some milliseconds."""
    if trim := _trim():
        trim(0)


@cache
def _trim() -> Callable[[int], int] | None:
    return getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform.startswith("linux") else None


@cache
def settle_heap() -> None:
    """Take what there is by now, modules above all, out of what the collector of garbage looks through; once a
    process, when it has done its first work."""
    gc.collect()
    gc.freeze()
