"""The addresses under which papers are made and layouts ranked: what takes its time, with progress."""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import segno
from starlette.requests import Request
from starlette.responses import Response

from preview.live import asked
from preview.live.ranking import ranked_options
from preview.live.replies import fault, json_reply
from preview.live.served import Served
from preview.session import Stale

Json = dict[str, Any]

ALONE = {
    "content-security-policy": "sandbox allow-scripts; frame-ancestors 'none'",
    "cross-origin-opener-policy": "unsafe-none",
}
"""Headers of the customer's page where it is opened: it runs its own scripts, as its own policy lets it, and reaches
nothing of this server's. A sandbox goes with no other opener policy (HTML Standard, "navigating")."""

TELL_EVERY = 0.25
"""Seconds between two words of progress."""


class PaperEndpoints:
    """Answers what takes its time."""

    def __init__(self, served: Served) -> None:
        self._served, self._work = served, served.workspace

    async def options(self, request: Request) -> Response:
        """Return other layouts of the room, ranked; given up where the scene changes or the browser goes."""
        revision, preferred = asked.revision(request), request.query_params.getlist("prefer")
        kept = request.query_params.getlist("keep")
        session, events = self._served.session, self._served.events

        def work(wanted: Callable[[], bool]) -> Json:
            last = 0.0

            def step(done: int, of: int) -> None:
                nonlocal last
                session.jobs(revision)
                if not wanted():
                    raise Stale(revision)
                if time.monotonic() - last > TELL_EVERY:
                    last = time.monotonic()
                    words = f"{done:,} of {of:,} layouts compared"
                    events.tell({"kind": "progress", "job": "options", "words": words, "done": False}, ("firm",))

            found = ranked_options(session.jobs(revision), preferred, kept, step)
            session.jobs(revision)
            return {"revision": revision, "options": found}

        return json_reply(await self._served.while_waited_for(request, work))

    async def order(self, request: Request) -> Response:
        """Ask for a paper of the scene as it stands."""
        sent = await asked.body(request)
        now = self._work.now
        number = now.number(asked.name(sent, "variant"))
        beside = asked.names(sent, "beside")
        others = None if beside is None else [now.number(each) for each in beside]
        what = asked.name(sent, "what") or ""
        return json_reply({"job": self._served.papers.order(what, now.jobs, number, others)})

    async def fetch(self, request: Request) -> Response:
        """Return a paper that was made: to be kept, or, a page that is asked for with `open`, to be looked at."""
        paper = self._served.papers.fetch(request.path_params["job"])
        if paper is None:
            return fault(404, "This paper is not there, or no longer. Make it again.")
        if "open" in request.query_params and paper.kind.startswith("text/html"):
            return Response(paper.content, media_type=paper.kind, headers=ALONE)
        name = paper.name.encode("ascii", "ignore").decode() or "paper"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        return Response(paper.content, media_type=paper.kind, headers=headers)

    async def code(self, request: Request) -> Response:
        """Return the customer's address as a QR code."""

        def drawn() -> bytes:
            data = io.BytesIO()
            segno.make(self._served.customer, micro=False).save(data, kind="svg", scale=8, border=4, light="#ffffff")
            return data.getvalue()

        return Response(await self._served.in_thread(partial(drawn)), media_type="image/svg+xml")
