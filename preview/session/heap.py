"""Memory that is free but held: glibc keeps what many threads have freed, some 200 MB after a few changes."""

from __future__ import annotations

import ctypes
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
