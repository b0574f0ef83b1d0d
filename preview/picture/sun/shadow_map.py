"""The shadow map: the parallel view from the sun that it is drawn in, so that walls and furniture get shadows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Along the longer side; 4 mm in a room of 6 m. FLIP beside twice as many: 0.0001 (tests/benchmarks/convergence.py).
PIXELS = 1536
MARGIN = 0.5  # metres round the room: fireboxes and window recesses lie outside it
AWAY = 10.0  # metres that the view's plane lies before the room


@dataclass(frozen=True, eq=False)
class ShadowMapView:
    """A parallel view along the sun's rays: `pose` (4, 4) from its axes to the room's, `window` left, right, bottom,
    top in metres, `size` in pixels, `far` how far it reaches; `uniforms` are what part.frag looks it up by."""

    pose: Array
    window: tuple[float, float, float, float]
    size: tuple[int, int]
    far: float
    uniforms: dict[str, Array]


def shadow_map_view(direction: Array, bounds: Array) -> ShadowMapView:
    """Return the view from `direction` (3,), towards the sun, of a room within `bounds` (2, 3)."""
    back = direction / np.linalg.norm(direction)
    across = np.cross([0.0, 1.0, 0.0] if abs(back[2]) > 0.99 else [0.0, 0.0, 1.0], back)
    right = across / np.linalg.norm(across)
    up = np.cross(back, right)
    low, high = np.asarray(bounds, float)[0] - MARGIN, np.asarray(bounds, float)[1] + MARGIN
    corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
    x, y, depth = corners @ right, corners @ up, corners @ back
    pixel = max(np.ptp(x), np.ptp(y)) / PIXELS
    size = max(1, int(np.ceil(np.ptp(x) / pixel))), max(1, int(np.ceil(np.ptp(y) / pixel)))
    plane = float(depth.max()) + AWAY
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([right, up, back])
    pose[:3, 3] = plane * back
    window = (float(x.min()), float(x.min() + size[0] * pixel), float(y.min()), float(y.min() + size[1] * pixel))
    uniforms = {"sun_right": right, "sun_up": up, "sun_window": np.array([window[0], window[2], 1 / pixel, plane])}
    return ShadowMapView(pose, window, size, plane - float(depth.min()), uniforms)
