"""Who makes what a batch asks for: the workers of a Dask scheduler (https://distributed.dask.org)."""

from __future__ import annotations

import logging
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from preview.batch.making import LAST_WORDS, MadeResult, make
from preview.batch.room_files import MakeKind, RoomFiles
from preview.batch.workers import RoomTask
from preview.cache import program_version
from preview.errors import RenderError, UsageError

if TYPE_CHECKING:
    from distributed import Client

PATIENCE = 20.0
"""Seconds for a scheduler to answer."""

LOOK_EVERY = 15.0
"""Seconds after which it is asked whether there is a worker still."""

REST = "what is finished stays: the same command makes the rest"

RETRIES = 3
"""How often something is made again, the worker of which was lost."""


class WorkersLostError(RenderError):
    """The scheduler, or each worker, is gone."""


def made_there(
    wanted: Sequence[RoomTask], version: str, scheduler: str
) -> Generator[tuple[RoomTask, MadeResult], None, None]:
    """Yield what was made, as it is finished, by the workers of a scheduler.

    Raises:
        UsageError: no scheduler answers there, it has no workers, or one of another version of the program.
        WorkersLostError: the scheduler went away.
    """
    try:
        from distributed import Client, wait
    except ImportError:
        raise UsageError("--scheduler needs a further package: pip install distributed") from None
    with _silence(), _connected(Client, scheduler) as client:
        with _answering(scheduler):
            _check_versions(client, version, scheduler)
            rooms: dict[str, list[RoomTask]] = {}
            for each in wanted:
                rooms.setdefault(each[0].folder, []).append(each)
            pending = {
                client.submit(_make, of[0][0], [what for _, what in of], version, pure=False, retries=RETRIES): of
                for of in rooms.values()
            }
        while pending:
            done: list[Any] = []
            with _answering(scheduler):
                try:
                    done += wait(list(pending), timeout=LOOK_EVERY, return_when="FIRST_COMPLETED").done
                except TimeoutError:
                    if not client.scheduler_info()["workers"]:
                        raise WorkersLostError(f"no worker of {scheduler} is left; {REST}") from None
            for future in done:
                of = pending.pop(future)
                with _answering(scheduler):
                    made = _result(future, len(of))
                yield from zip(of, made, strict=True)


@contextmanager
def _answering(scheduler: str) -> Iterator[None]:
    """Say that the scheduler is gone, whatever the library was asked for when it went: it then closes connections, or
    cancels what it was to do."""
    try:
        yield
    except (OSError, CancelledError):
        raise WorkersLostError(f"the scheduler at {scheduler} is gone; {REST}") from None


@contextmanager
def _silence() -> Iterator[None]:
    """Keep the library's log from the user: what goes wrong is told by the command."""
    logging.disable()
    try:
        yield
    finally:
        logging.disable(logging.NOTSET)


def _make(room: RoomFiles, kinds: Sequence[MakeKind], version: str) -> list[MadeResult]:
    """Make all that is wanted of a room, on one worker: its light is found once."""
    return [make(room, what, version) for what in kinds]


@contextmanager
def _connected(client: type[Client], scheduler: str) -> Iterator[Client]:
    try:
        found = client(scheduler, timeout=PATIENCE, name="preview-batch")
    except (OSError, TimeoutError, ValueError) as error:
        raise UsageError(f"--scheduler: nobody answers at {scheduler} ({type(error).__name__})") from error
    try:
        yield found
    finally:
        with suppress(OSError):  # of one that is gone
            found.close(timeout=2)


def _check_versions(client: Client, version: str, scheduler: str) -> None:
    """Raise UsageError unless there are workers, and each has this very version of the program and its libraries."""
    if not client.scheduler_info(n_workers=-1)["workers"]:
        raise UsageError(f"--scheduler: {scheduler} has no workers; start some, each in an environment as this one's")
    others = []
    for address, found in client.run(program_version, on_error="return").items():
        if found != version:
            said = "has another version" if isinstance(found, str) else f"can't run it ({type(found).__name__})"
            others.append(f"{address} {said}")
    if others:
        raise UsageError(
            f"--scheduler: every worker needs this version of the program and its libraries: {'; '.join(others)}"
        )


def _result(future: Any, count: int) -> list[MadeResult]:  # noqa: ANN401 (of an untyped library)
    if future.status == "finished":
        found: list[MadeResult] = future.result()
        return found
    if future.status == "error":
        error = future.exception()
        words = f"its workers were lost, or failed ({type(error).__name__}: {error})"[:LAST_WORDS]
        return [MadeResult({}, words, True, 0.0)] * count
    raise CancelledError
