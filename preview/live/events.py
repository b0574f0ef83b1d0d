"""What pages are told of while it happens, from whichever thread."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from threading import Lock
from typing import Any

Event = Mapping[str, Any]
MOST_WAITING = 200
"""Events that wait for a page; one that takes none of them for so long is let go, and asks anew."""


class Listener:
    """What waits for one page; everything here runs in its own loop, but for `tell`."""

    def __init__(self, mode: str) -> None:
        self.mode = mode
        self._loop = asyncio.get_running_loop()
        self._waiting: deque[Event | None] = deque()
        self._some = asyncio.Event()

    def tell(self, event: Event | None) -> None:
        """Put an event in the queue, from any thread; None ends it."""
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._put, event)

    async def next(self) -> Event | None:
        """Return the next event, None at the end."""
        while not self._waiting:
            self._some.clear()
            await self._some.wait()
        return self._waiting.popleft()

    def _put(self, event: Event | None) -> None:
        if event is not None and event.get("kind") == "state" and event in self._waiting:
            return  # the state is made when it is sent: one that waits will be the newest
        self._waiting.append(None if len(self._waiting) >= MOST_WAITING else event)
        self._some.set()


class Events:
    """The pages that listen."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._listening: list[Listener] = []

    @contextmanager
    def listening(self, mode: str) -> Iterator[Callable[[], Awaitable[Event | None]]]:
        """Give a page's handler what to await for its next event; None is the last."""
        one = Listener(mode)
        with self._lock:
            self._listening.append(one)
        try:
            yield one.next
        finally:
            with self._lock:
                self._listening.remove(one)

    def tell(self, event: Event, modes: Sequence[str] = ("firm", "customer")) -> None:
        """Tell every page of some kinds."""
        for each in self._all():
            if each.mode in modes:
                each.tell(event)

    def end(self) -> None:
        """Let every page go."""
        for each in self._all():
            each.tell(None)

    def _all(self) -> list[Listener]:
        with self._lock:
            return list(self._listening)
