"""The addresses under which the scene is looked at: its state, its numbers, its pictures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from PIL import Image
from starlette.requests import Request
from starlette.responses import Response

from preview.errors import RenderError, SceneError, UsageError
from preview.floor.laid import LaidFloor
from preview.live import asked
from preview.live.floor_numbers import cost, numbers, price
from preview.live.picture_lines import lines_of, with_lines
from preview.live.replies import error_words, json_reply
from preview.live.served import Served
from preview.live.workspace import Change
from preview.png import encode_jpeg
from preview.session import Stale
from preview.session.memo import Memo
from preview.steps import SIZE, cameras

Json = dict[str, Any]
COARSE_QUALITY = 82
MOST_DRAWN, DRAWN_BYTES = 60, 60_000_000  # full pictures held, for who goes back, flips, or has a second browser


@dataclass(frozen=True)
class DrawnPicture:
    """A full picture as it was sent, of so many pixels."""

    size: tuple[int, int]
    png: bytes


class ViewEndpoints:
    """Answers what only looks."""

    def __init__(self, served: Served) -> None:
        self._served, self._work, self._session = served, served.workspace, served.session
        self._drawn: Memo[DrawnPicture] = Memo(MOST_DRAWN, DRAWN_BYTES)

    async def state(self, request: Request) -> Response:
        """Return the scene as it stands."""
        return json_reply(await self._served.in_thread(partial(self._served.state_for, request.scope["mode"])))

    async def numbers(self, request: Request) -> Response:
        """Return a variant's numbers, warnings and plan."""
        revision, variant = asked.revision(request), request.query_params.get("variant")
        wide = asked.plan_width(request.query_params)

        def work() -> Json:
            floor = self._session.floor(revision, self._work.name_of(variant))
            found = {"revision": revision, "variant": floor.job.variant, **numbers(floor, wide)}
            found |= price(floor, self._work.priced, self._served.details)
            self._session.jobs(revision)
            return found

        return json_reply(await self._served.in_thread(work))

    async def costs(self, request: Request) -> Response:
        """Return what each option of a control comes to."""
        revision, variant = asked.revision(request), request.query_params.get("variant")
        key = request.query_params.get("key", "")

        def one(value: object, wanted: Callable[[], bool]) -> Json:
            number = len(self._session.jobs(revision)) and self._work.now.number(variant)
            if not wanted():
                raise Stale(revision)
            try:
                job = self._work.with_changes([Change(variant, key, value)])[number]
                return {"value": value, **cost(self._session.lay(job), self._work.priced, self._served.details)}
            except (SceneError, UsageError) as error:
                return {"value": value, "error": error_words(error)}

        def work(wanted: Callable[[], bool]) -> Json:
            self._session.jobs(revision)
            options = next((each.options for each in self._work.controls() if each.key == key), ())
            found = {"revision": revision, "key": key, "costs": [one(each.value, wanted) for each in options]}
            self._session.jobs(revision)
            return found

        return json_reply(await self._served.while_waited_for(request, work))

    async def eye(self, request: Request) -> Response:
        """Return where a named viewpoint stands and looks, metres and degrees."""
        revision, view = asked.revision(request), request.query_params.get("view", "")

        def work() -> Json:
            if not view:
                raise UsageError("name a viewpoint")
            camera = cameras(self._session.floor(revision), [view], SIZE)[0]
            return {
                "eye": [round(float(each), 4) for each in camera.position],
                "look": [round(float(each), 4) for each in camera.target],
                "fov": None if camera.fov is None else round(math.degrees(camera.fov), 2),
            }

        return json_reply(await self._served.in_thread(work))

    async def picture(self, request: Request) -> Response:
        """Return a picture; it is given up where the browser waits no longer. A full one that was drawn before of the
        same scene is sent again, also to who asks for a coarse one."""
        revision, query = asked.revision(request), request.query_params
        variant, size = query.get("variant"), asked.size(query.get("size", "1600x1000"))
        coarse, view = query.get("coarse", "0") == "1", asked.view(query)
        lined = query.get("lines", "0") == "1"

        def work(wanted: Callable[[], bool]) -> tuple[bytes, str]:
            name, lines = self._work.name_of(variant), (query.get("against"), query.get("seams")) if lined else None
            key = (self._session.jobs(revision), name, view, lines)
            known = self._drawn.known(key)
            if known is not None and (coarse or known.size == size):
                return known.png, "image/png"
            try:
                found = self._session.picture(revision, name, view, size, coarse, wanted)
                if lined:
                    found = with_lines(found, self._compared(request), query.get("seams", "0") == "1")
            except (Stale, SceneError, UsageError):
                raise
            except Exception as error:
                words = str(error) if isinstance(error, RenderError) else f"({type(error).__name__})"
                told = f"The picture could not be drawn: {words}"
                self._served.events.tell({"kind": "drawing-failed", "words": told}, ("firm",))
                raise RenderError(told) from error
            if coarse:
                return encode_jpeg(Image.fromarray(found.rgb), COARSE_QUALITY), "image/jpeg"
            return self._drawn.put(key, DrawnPicture(size, found.png())).png, "image/png"

        content, kind = await self._served.while_waited_for(request, work)
        return Response(content, media_type=kind, headers={"x-revision": str(revision)})

    async def lines(self, request: Request) -> Response:
        """Return in words what the lines are that pictures of the compared floors can have."""

        def work() -> Json:
            found = lines_of(self._compared(request))
            return {"lines": [{"kind": kind, "words": words} for kind, words in found.items()]}

        return json_reply(await self._served.in_thread(work))

    def _compared(self, request: Request) -> list[LaidFloor]:
        """Return the floor that is looked at, and the one that it is compared with if there is one."""
        revision, query = asked.revision(request), request.query_params
        names = [query.get("variant"), *([query["against"]] if query.get("against") else [])]
        return [self._session.floor(revision, self._work.name_of(each)) for each in names]

    async def swatch(self, request: Request) -> Response:
        """Return a little picture of a wood as it would be with something else chosen."""
        table, kind = request.path_params["table"], request.path_params["kind"]
        name, variant = request.path_params["name"], request.query_params.get("variant")

        def work(wanted: Callable[[], bool]) -> bytes:
            now = self._work.now
            return self._served.swatches.of_wood(now.jobs[now.number(variant)], table, kind, name, wanted)

        return _pictured(await self._served.while_waited_for(request, work))

    async def paint(self, request: Request) -> Response:
        """Return a little picture of a paint."""
        base, name = self._work.now.jobs[0], request.path_params["name"]
        return _pictured(await self._served.in_thread(partial(self._served.swatches.of_paint, base, name)))


def _pictured(content: bytes) -> Response:
    return Response(content, media_type="image/jpeg", headers={"cache-control": "private, max-age=60"})
