"""Rays through the room's triangles, by Embree."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from threading import Lock
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]
T = TypeVar("T")

THREADS = min(4, os.cpu_count() or 1)
RAYS_AT_ONCE = 500_000


@dataclass(frozen=True, eq=False)
class Hits:
    """What rays met first: triangle (n,) int, -1 for none; u, v (n,) weights of its second and third corner;
    distance (n,) in lengths of the direction given, infinite for none."""

    triangle: NDArray[np.int32]
    u: Floats
    v: Floats
    distance: Floats


class Tracer:
    """Triangles (t, 3, 3), made ready for rays when the first is sent out. Seen from both sides."""

    def __init__(self, triangles: Floats) -> None:
        self._triangles = triangles
        self._lock = Lock()
        self._mesh: object = None

    def _ready(self) -> Any:  # noqa: ANN401, embreex has no types
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene

        with self._lock:
            if self._mesh is None:
                self._scene = EmbreeScene()
                self._mesh = TriangleMesh(self._scene, _single(self._triangles))
            return self._scene

    def first(self, origins: Floats, directions: Floats) -> Hits:
        """Return what each ray meets first; origins and directions (n, 3)."""
        found = self._ready().run(_single(origins), _single(directions), output=True)
        missed = found["primID"] < 0
        distance = np.where(missed, np.float32(np.inf), found["tfar"])
        return Hits(np.where(missed, -1, found["primID"]).astype(np.int32), found["u"], found["v"], distance)

    def clear(self, origins: Floats, targets: Floats) -> NDArray[np.bool_]:
        """Return whether each target (n, 3) is seen from its origin (n, 3); both ends stop 0.1 % short."""
        start = _single(origins)
        reach = np.full(len(start), 0.999, dtype=np.float32)
        blocked = self._ready().run(start, _single(targets) - start, reach, query="OCCLUDED")
        return np.asarray(blocked != 0)


def _single(values: Floats) -> NDArray[np.float32]:
    return np.ascontiguousarray(values, dtype=np.float32)


def in_threads(work: Callable[[slice], T], total: int, at_once: int) -> list[T]:
    """Run `work` on slices of `at_once` of `total` items, a few at a time, and return the results in order.

    numpy and Embree let go of the interpreter in their long loops, so that threads help.
    """
    slices = [slice(start, min(start + at_once, total)) for start in range(0, total, max(1, at_once))]
    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(work, slices))
