"""Reflection proxies as shaders take them: what a ray that leaves the floor meets first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.model.model import Model, ReflectionProxy
from preview.picture.shared import MAX_PROXIES, PAST_PANES

Array = NDArray[np.float64]

LEAST_AREA = 0.3  # m2; smaller faces are found in the drawing
LEAST_RECESS = 0.02  # metres that panes are taken to lie behind their wall, at least
LEAST_FOOT = 0.001  # metres, so that a solid face is told from a wall
NEXT_ROOM = 10.0  # metres that one sees into it


@dataclass(frozen=True, eq=False)
class ProxyArrays:
    """Plan lines with the room on their left: `starts` (n, 3) of x, y and the height over the floor; `runs` (n, 3) of
    x, y and how far one sees in through it, metres: by a window's recess or into the next room, below 0 for what is
    solid, by how far its baseboard stands out; and the names of their panes."""

    starts: Array
    runs: Array
    panes: tuple[tuple[str, ...], ...]


def proxy_arrays(model: Model) -> ProxyArrays:
    """Return the proxies of a model, the largest first, as many as shaders take."""
    found = [each for part in model.parts for each in part.proxies if _area(each) > LEAST_AREA]
    found = sorted(found, key=lambda each: -_area(each))[:MAX_PROXIES]
    starts = np.array([[*each.start, each.height] for each in found], float).reshape(-1, 3)
    runs = np.array([[*(each.end - each.start), _depth(each)] for each in found], float).reshape(-1, 3)
    return ProxyArrays(starts, runs, tuple(each.panes for each in found))


def _area(proxy: ReflectionProxy) -> float:
    return float(np.linalg.norm(proxy.end - proxy.start)) * proxy.height


def _depth(proxy: ReflectionProxy) -> float:
    if proxy.solid:
        return -max(proxy.foot, LEAST_FOOT)
    if proxy.open:
        return NEXT_ROOM
    return max(proxy.recess, LEAST_RECESS) + PAST_PANES if proxy.panes else 0.0
