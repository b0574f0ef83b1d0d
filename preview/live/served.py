"""What is served, and how its slow parts are done: in threads, so that every other page is answered meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from threading import Event
from typing import Any, TypeVar

import anyio
from anyio.to_thread import run_sync
from starlette.requests import Request

from preview.live.events import Events
from preview.live.firm_file import FirmFile
from preview.live.guard import Mode
from preview.live.paper_queue import PaperQueue
from preview.live.swatches import SwatchPictures
from preview.live.workspace import Workspace
from preview.paper.quote.firm_details import Details
from preview.session import Session, Stale
from preview.steps import viewpoints

Json = dict[str, Any]
Result = TypeVar("Result")

THREADS = 40


@dataclass(frozen=True, eq=False)
class Served:
    """A workspace, the firm's details if there are any, the customer's address, what pages are told when they find the
    server again, and who listens."""

    workspace: Workspace
    firm: FirmFile | None = None
    customer: str = ""
    restarted: str = ""
    events: Events = field(default_factory=Events)
    papers: PaperQueue = field(init=False)
    swatches: SwatchPictures = field(init=False)
    _threads: anyio.CapacityLimiter = field(init=False, default_factory=lambda: anyio.CapacityLimiter(THREADS))

    def __post_init__(self) -> None:
        tell = partial(self.events.tell, modes=("firm",))
        object.__setattr__(self, "papers", PaperQueue(self.session, self.firm.now if self.firm else Details, tell))
        object.__setattr__(self, "swatches", SwatchPictures(self.session))
        self.workspace.listeners.append(partial(self.events.tell, {"kind": "state"}))

    @property
    def details(self) -> Details | None:
        """The firm's details as they could last be read."""
        return self.firm.last() if self.firm else None

    @property
    def session(self) -> Session:
        """What lays and draws the scene."""
        return self.workspace.session

    async def in_thread(self, work: Callable[[], Result]) -> Result:
        """Return what `work` returns, done in a thread; who waits for it may leave."""
        return await run_sync(work, abandon_on_cancel=True, limiter=self._threads)

    async def while_waited_for(self, request: Request, work: Callable[[Callable[[], bool]], Result]) -> Result:
        """Return what `work` returns, done in a thread; it is told, when it asks, whether the browser still waits.

        Raises:
            Stale: it waits no longer; and whatever `work` raises.
        """
        gone = Event()

        async def watch(scope: anyio.CancelScope) -> None:
            while (await request.receive())["type"] != "http.disconnect":
                pass
            gone.set()
            scope.cancel()

        async with anyio.create_task_group() as group:
            group.start_soon(watch, group.cancel_scope)
            try:
                return await self.in_thread(lambda: work(lambda: not gone.is_set()))
            finally:
                gone.set()
                group.cancel_scope.cancel()
        raise Stale  # the scope was cancelled: nobody waits for an answer

    def state_for(self, mode: Mode) -> Json:
        """Return the scene as it stands, for a customer no more than pictures need."""
        found = self.workspace.state()
        base = self.session.lay(self.workspace.now.jobs[0])
        found["mode"] = mode
        found["views"] = [{"name": each.name, "kind": each.kind} for each in viewpoints(base)]
        if mode == "firm":
            own = {
                "customer": self.customer,
                "prices": self.details is not None,
                "restarted": self.restarted,
                "new": self.workspace.new,
            }
            return {**found, **own}
        shown = ("revision", "told", "title", "units", "mode", "views", "wood_note")
        names = [{"name": each["name"], "base": each["base"]} for each in found["variants"]]
        return {**{key: found[key] for key in shown}, "variants": names}
