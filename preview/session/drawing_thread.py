"""The thread that draws: a graphics context belongs to one, which takes one request after another."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from threading import Condition, Thread
from typing import TYPE_CHECKING, Any, TypeVar

from preview.session.heap import settle_heap, trim_heap

if TYPE_CHECKING:
    from preview.picture.draw import Engine

Drawing = TypeVar("Drawing")
Draw = Callable[["Engine", Callable[[], None]], Drawing]
"""Draws something on an engine, calling what it is given every now and then, which may raise."""


class Stale(Exception):
    """There is something newer than what was asked for, or nobody waits for it any more."""


class _GiveWay(Exception):
    """A coarse picture is waited for: the full one is begun anew after it."""


@dataclass(eq=False)
class _Request:
    draw: Draw[Any]
    coarse: bool
    check: Callable[[], None]
    done: Future[Any] = field(default_factory=Future)


class DrawingThread:
    """Draws what is asked for from any thread, coarse pictures first. It starts with the first request; its context
    stays open until `close`. Where a drawing fails otherwise than by an error of the program's own, the context is
    opened anew for the next."""

    def __init__(self) -> None:
        self._waiting = Condition()
        self._coarse: deque[_Request] = deque()
        self._full: deque[_Request] = deque()
        self._thread: Thread | None = None
        self._closed = False

    def drawn(self, draw: Draw[Drawing], coarse: bool, check: Callable[[], None]) -> Drawing:
        """Return what `draw` draws in this thread's context; wait for it. `check` is called before and every now and
        then meanwhile; what it raises is raised here."""
        request = _Request(draw, coarse, check)
        with self._waiting:
            if self._closed:
                raise Stale
            (self._coarse if coarse else self._full).append(request)
            if self._thread is None:
                self._thread = Thread(target=self._run, name="drawing", daemon=True)
                self._thread.start()
            self._waiting.notify()
        result: Drawing = request.done.result()
        return result

    def close(self) -> None:
        """Give up what is being drawn or waited for, and end the thread with its context."""
        with self._waiting:
            self._closed = True
            self._waiting.notify()
            thread = self._thread
        if thread is not None:
            thread.join()

    def _run(self) -> None:
        from preview.errors import PreviewError
        from preview.picture.draw import empty_engine

        while (request := self._next()) is not None:
            try:
                with empty_engine() as engine:
                    while request is not None:
                        self._serve(request, engine)
                        if not (request.coarse or self._coarse or self._full):  # nobody waits
                            settle_heap()
                            trim_heap()
                        request = self._next()
            except PreviewError as error:  # no context opens here
                if request is not None:
                    request.done.set_exception(error)
            except Exception as error:  # whatever it was, who waits is told, and the next begins afresh
                if request is not None:
                    request.done.set_exception(error)

    def _serve(self, request: _Request, engine: Engine) -> None:
        """Draw a request and tell who waits; raise what leaves the context in doubt."""
        from preview.errors import PreviewError

        def check() -> None:
            request.check()
            if self._closed:
                raise Stale
            if not request.coarse and self._coarse:
                raise _GiveWay

        try:
            check()
            request.done.set_result(request.draw(engine, check))
        except _GiveWay:
            with self._waiting:
                self._full.appendleft(request)
        except (Stale, PreviewError) as error:
            request.done.set_exception(error)

    def _next(self) -> _Request | None:
        """Wait for the next request, a coarse one if there is any; None at the end."""
        with self._waiting:
            while not (self._coarse or self._full or self._closed):
                self._waiting.wait()
            if self._closed:
                while self._coarse or self._full:
                    self._first().done.set_exception(Stale())
                return None
            return self._first()

    def _first(self) -> _Request:
        return self._coarse.popleft() if self._coarse else self._full.popleft()
