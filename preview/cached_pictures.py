"""Pictures drawn once and cached: the same floor from the same viewpoints is read back instead of drawn again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.cache import Arrays, cache_folder, cached, content_key, text_version
from preview.data import data_folder
from preview.floor.laid import LaidFloor
from preview.steps import draw_floors

DRAWN_BY = ("scene", "room", "floor", "wood", "model", "light", "picture")


def cached_pictures(
    floor: LaidFloor,
    views: Sequence[str],
    size: tuple[int, int],
    base: LaidFloor,
    drawn: Callable[[str], None] = lambda name: None,
) -> list[NDArray[np.uint8]]:
    """Return a floor's pictures (h, w, 3) from `views`, as `draw_floors` draws them.

    They are cached under a key of both jobs, the views, the size, the program's text and the material files. `drawn` is
    called with the name of each viewpoint that had to be drawn.
    """
    package = Path(__file__).parent
    own = [data_folder("materials"), *([] if floor.job.materials is None else [floor.job.materials])]
    text = text_version(*(package / name for name in DRAWN_BY), *own)
    jobs = [(repr(each.job), "north" in each.job.lines) for each in (base, floor)]
    names = [f"view{number}" for number in range(len(views))]

    def make() -> Arrays:
        found = []
        for each in draw_floors([floor], views, size, base):
            drawn(each.picture.camera.name)
            found.append(each.picture.rgb)
        return dict(zip(names, found, strict=True))

    arrays = cached(content_key(text, jobs, list(views), list(size)), names, make, cache_folder("pictures"))
    return [arrays[name] for name in names]
