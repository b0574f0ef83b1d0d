"""Pictures drawn once and cached: the same floor from the same viewpoints is read back instead of drawn again."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from preview.cache import Arrays, cache_folder, cached, content_key, text_version
from preview.floor.laid import LaidFloor
from preview.picture.draw import gl_driver
from preview.session import draw_floors


def cached_pictures(
    floor: LaidFloor,
    views: Sequence[str],
    size: tuple[int, int],
    base: LaidFloor,
    drawn: Callable[[str], None] = lambda name: None,
) -> list[NDArray[np.uint8]]:
    """Return a floor's pictures (h, w, 3) from `views`, as `draw_floors` draws them.

    They are cached under a key of both jobs, the views, the size, the program, the firm's own material files and the
    graphics driver. `drawn` is called with the name of each viewpoint that had to be drawn.

    Raises:
        RenderError: no picture can be drawn on this machine.
    """
    own = "" if floor.job.materials is None else text_version(floor.job.materials)
    jobs = [(repr(each.job), "north" in each.job.lines) for each in (base, floor)]
    names = [f"view{number}" for number in range(len(views))]

    def make() -> Arrays:
        found = []
        for each in draw_floors([floor], views, size, base):
            drawn(each.picture.camera.name)
            found.append(each.picture.rgb)
        return dict(zip(names, found, strict=True))

    key = content_key(jobs, list(views), list(size), own, gl_driver())
    arrays = cached(key, names, make, cache_folder("pictures"))
    return [arrays[name] for name in names]
