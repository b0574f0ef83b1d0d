"""A memo: what a step made of its arguments, held for the next time; the last few results, within so many bytes."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import fields, is_dataclass
from functools import cache
from threading import RLock
from typing import Any, Generic, TypeVar

import numpy as np
import shapely

Result = TypeVar("Result")

OBJECT = 200
"""Bytes that a geometry, or another small object, takes besides its coordinates; an estimate."""


SMALL = frozenset((float, str, int, bool, type(None)))
"""Kinds of values that come in thousands and count for nothing: they are told apart first."""


class Memo(Generic[Result]):
    """Results by key, those used last; safe in several threads, which do nothing twice.

    A key holds all that a result depends on. Frozen values of a scene count by what they say, what steps made of them
    (a room, a layout) by which object it is; the memo holds those too, so that no other takes their place.
    """

    def __init__(self, most: int, most_bytes: int = 2**62) -> None:
        """`most` results are held, of at most `most_bytes` together; the last one is held in any case."""
        self._most, self._most_bytes = most, most_bytes
        self._found: dict[Hashable, tuple[Result, int]] = {}
        self._lock = RLock()

    def of(self, key: Hashable, make: Callable[[], Result]) -> Result:
        """Return the result under a key, made now where there is none. What `make` raises is not held."""
        with self._lock:
            known = self.known(key)
            return self.put(key, make()) if known is None else known

    def known(self, key: Hashable) -> Result | None:
        """Return the result under a key, None where there is none."""
        with self._lock:
            if key not in self._found:
                return None
            self._found[key] = found = self._found.pop(key)  # the last used stands last
            return found[0]

    def put(self, key: Hashable, result: Result) -> Result:
        """Hold a result under a key, and return it."""
        with self._lock:
            self._found.pop(key, None)
            self._found[key] = result, held_bytes(result)
            while len(self._found) > 1 and (
                len(self._found) > self._most or sum(size for _, size in self._found.values()) > self._most_bytes
            ):
                del self._found[next(iter(self._found))]
            return result


@cache
def _names(kind: Any) -> tuple[str, ...]:  # noqa: ANN401
    return tuple(each.name for each in fields(kind))


def held_bytes(value: Any) -> int:  # noqa: ANN401 (of whatever a step makes)
    """Return about how many bytes a value takes: its arrays and geometries, and those of its parts."""
    if type(value) in SMALL:
        return 0
    if isinstance(value, np.ndarray):
        if value.dtype != object:
            return value.nbytes
        return int(16 * shapely.get_num_coordinates(value).sum()) + OBJECT * value.size
    if isinstance(value, bytes):
        return len(value)
    if isinstance(value, shapely.Geometry):
        return 16 * int(shapely.get_num_coordinates(value)) + OBJECT
    if hasattr(value, "indptr"):  # a sparse matrix
        return int(value.data.nbytes + value.indices.nbytes + value.indptr.nbytes)
    if is_dataclass(value):
        return sum(held_bytes(getattr(value, name)) for name in _names(value.__class__))
    if isinstance(value, dict):
        return sum(map(held_bytes, value.values()))
    return sum(map(held_bytes, value)) if isinstance(value, tuple | list) else 0
