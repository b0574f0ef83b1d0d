"""The addresses under which the scene is changed and saved."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from preview.errors import UsageError
from preview.live import asked
from preview.live.replies import json_reply
from preview.live.served import Served

Json = dict[str, Any]


class ChangeEndpoints:
    """Answers what changes something, with the state that comes of it."""

    def __init__(self, served: Served) -> None:
        self._served, self._work = served, served.workspace

    async def change(self, request: Request) -> Response:
        """Make changes."""
        sent = await asked.body(request)
        revision, client = sent.get("revision"), sent.get("client", "")
        if not isinstance(revision, int) or isinstance(revision, bool) or not isinstance(client, str):
            raise UsageError("send a revision, and a client's name")
        wanted = asked.changes(sent.get("edits"))
        return await self._changed(partial(self._work.change, revision, client[:100], wanted))

    async def undo(self, request: Request) -> Response:
        """Take the last change back."""
        await asked.body(request)
        return await self._changed(self._work.undo)

    async def redo(self, request: Request) -> Response:
        """Make it again."""
        await asked.body(request)
        return await self._changed(self._work.redo)

    async def save(self, request: Request) -> Response:
        """Write the scene file."""
        return await self._changed(partial(self._work.save, (await asked.body(request)).get("over") is True))

    async def reload(self, request: Request) -> Response:
        """Take the scene as the file has it."""
        await asked.body(request)
        return await self._changed(self._work.reload)

    async def offer(self, request: Request) -> Response:
        """Take or drop what a killed server left unsaved."""
        wanted = (await asked.body(request)).get("do")
        if wanted not in ("take", "drop"):
            raise UsageError('do is "take" or "drop"')
        return await self._changed(partial(self._work.offer, wanted == "take"))

    async def variant(self, request: Request) -> Response:
        """Keep a variant, rename or delete it."""
        sent = await asked.body(request)
        variant, name, to = (asked.name(sent, each) for each in ("variant", "name", "to"))
        match sent.get("do"):
            case "keep":
                work = partial(self._work.keep, name or "", variant, asked.changes(sent.get("edits", [])))
            case "rename":
                work = partial(self._work.rename, variant or name, to or "")
            case "delete":
                work = partial(self._work.delete, variant or name)
            case _:
                raise UsageError('do is "keep", "rename" or "delete"')
        return await self._changed(work)

    async def _changed(self, work: Callable[[], None]) -> Response:
        def done() -> Json:
            work()
            return self._served.state_for("firm")

        return json_reply(await self._served.in_thread(done))
