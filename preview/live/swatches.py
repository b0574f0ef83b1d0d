"""Little pictures of what can be chosen: boards in each wood, cut, grade, stain and finish; the colour of a paint."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Collection
from dataclasses import replace
from threading import Lock
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.cache import cache_folder, cached, content_key, text_version
from preview.errors import UsageError
from preview.model.paints import paint_code
from preview.png import encode_jpeg
from preview.scene.job import Cut, Job, WoodChoice
from preview.scene.paint_names import paint_named
from preview.scene.woods import wood_names
from preview.session import Session
from preview.swatches.panels import draw_panels

WIDE = 192
"""Pixels across a panel."""

PAINT = (48, 48)
MOST_HELD = 400


class SwatchPictures:
    """Little pictures, each drawn once; panels in the session's own thread, between its pictures."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._lock = Lock()
        self._held: OrderedDict[object, bytes] = OrderedDict()

    def of_wood(self, job: Job, table: str, kind: str, name: str, wanted: Callable[[], bool]) -> bytes:
        """Return a JPEG of a job's wood as it would be with another species, cut, grade, stain or finish.

        table: ``wood``, ``border_wood`` or ``border.strip``; kind: which of its keys.

        Raises:
            UsageError: there is nothing of this name. Stale: it is wanted no longer.
        """
        strip = job.border.strip
        woods = {"wood": job.wood, "border_wood": job.border_wood, "border.strip": strip.wood if strip else job.wood}
        if table not in woods or name not in _names(kind, job):
            raise UsageError("no such swatch")
        changes: dict[str, Any] = {kind: name}
        wood = replace(woods[table], **changes, moisture=None, season="install", seed=1, age=0.0)
        key = (wood, job.materials)
        return self._of(key, lambda: _panel(self._session, wood, job, wanted))

    def of_paint(self, job: Job, name: str) -> bytes:
        """Return a JPEG of a paint.

        Raises:
            UsageError: no paint is called so.
        """

        known = paint_named(name, wood_names(job.materials)["paint"])
        if known is None:
            raise UsageError("no such paint")
        code = known if known.startswith("#") else paint_code(known, job.materials)
        return encode_jpeg(Image.new("RGB", PAINT, code))

    def _of(self, key: object, draw: Callable[[], bytes]) -> bytes:
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return self._held[key]
        content = draw()
        with self._lock:
            self._held[key] = content
            while len(self._held) > MOST_HELD:
                self._held.popitem(last=False)
        return content


def _names(kind: str, job: Job) -> Collection[str]:
    """Return what there is of a kind: nothing else is looked for in the folders of materials."""
    return get_args(Cut) if kind == "cut" else set(wood_names(job.materials).get(kind, {}).values())


def _panel(session: Session, wood: WoodChoice, job: Job, wanted: Callable[[], bool]) -> bytes:
    own = "" if job.materials is None else text_version(job.materials)

    def draw() -> dict[str, NDArray[np.uint8]]:
        return {"panel": session.aside(lambda: draw_panels([wood], WIDE, job.materials)[0], wanted)}

    found = cached(content_key("swatch", repr(wood), WIDE, own), ["panel"], draw, cache_folder("pictures"))
    return encode_jpeg(Image.fromarray(found["panel"]))
