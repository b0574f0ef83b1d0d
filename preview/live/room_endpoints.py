"""The addresses under which the room is measured and corrected."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from preview.errors import UsageError
from preview.live import asked
from preview.live.new_room import new_room
from preview.live.replies import json_reply
from preview.live.room_form import room_form
from preview.live.room_trial import try_room, walls_of
from preview.live.served import Served
from preview.units import UNITS

Json = dict[str, Any]


class RoomEndpoints:
    """Answers what is measured."""

    def __init__(self, served: Served) -> None:
        self._served, self._work = served, served.workspace

    async def form(self, request: Request) -> Response:
        """Return what was measured, field by field, with its plan."""

        def work() -> Json:
            now = self._work.now
            form = room_form(now, walls_of(now))
            tried = try_room({}, now, self._work.with_edits).told
            return {"revision": self._work.revision, "new": self._work.new, **form, **tried}

        return json_reply(await self._served.in_thread(work))

    async def measured(self, request: Request) -> Response:
        """Try what was typed, or take it for the room."""
        sent = await asked.body(request)
        trial, units = sent.pop("try", False) is True, sent.pop("units", None)

        def work() -> tuple[Json, int]:
            if units is not None and units != self._work.now.jobs[0].units:
                if not self._work.new or units not in UNITS:
                    raise UsageError(f"units are {', '.join(UNITS)}, and are chosen before a room is measured")
                self._work.begin_again(new_room(units))
                return self._served.state_for("firm"), 200
            with self._work.at_rest():
                tried = try_room(sent, self._work.now, self._work.with_edits)
                if trial:
                    return tried.told, 200
                if tried.edits is None:
                    return tried.told, 422
                self._work.edit(tried.edits, "the room")
            return self._served.state_for("firm"), 200

        found, status = await self._served.in_thread(work)
        return json_reply(found, status)
