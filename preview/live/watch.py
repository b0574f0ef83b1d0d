"""A server that is started again where it dies, as when a graphics driver takes its process with it.

`preview live` runs its server in a process of its own, and watches it. What the server needs to go on as it was is in
its record: tokens, port, what was not saved.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

STARTED = "PREVIEW_LIVE_STARTED"
"""Of the server's environment: what it is to serve, and whether it was started again."""

MOST, WITHIN = 3, 60.0
"""How often a server is started again within how many seconds: more often is no accident any more."""

FAULT = 0xC0000000
"""Exit statuses on Windows from here on are those of processes that were ended by a fault."""


@dataclass(frozen=True)
class Started:
    """How this process was started by the one that watches it: which file it serves, whether it was started `again`."""

    file: Path
    again: bool


def started() -> Started | None:
    """Return how this process was started; None where no other watches it."""
    told = os.environ.get(STARTED)
    if told is None:
        return None
    found = json.loads(told)
    return Started(Path(found["file"]), found["again"])


def watch_server(file: Path, tell: Callable[[str], None]) -> int:
    """Serve `file` by this command in a process of its own until it ends; return its exit status. `tell` prints a line
    of standard error."""
    code = f"import sys; sys.path[:] = {sys.path!r}; from preview.cli import main; main()"

    def environment(again: bool) -> dict[str, str]:
        return {**os.environ, STARTED: json.dumps({"file": str(file), "again": again})}

    return watch([sys.executable, "-c", code, *sys.argv[1:]], environment, tell)


def watch(command: Sequence[str], environment: Callable[[bool], dict[str, str]], tell: Callable[[str], None]) -> int:
    """Run a command, again where a fault ends it; return its exit status, 1 where it is given up. A signal to stop goes
    on to it. Its standard input ends with this process."""
    child: subprocess.Popen[bytes] | None = None
    stopping = threading.Event()

    def stop(number: int, frame: FrameType | None) -> None:
        stopping.set()
        if child is not None and (os.name != "nt" or number == signal.SIGTERM):  # a console tells both of Ctrl-C
            with suppress(OSError):
                child.send_signal(number)

    for each in (signal.SIGINT, signal.SIGTERM):
        signal.signal(each, stop)
    faults: deque[float] = deque(maxlen=MOST)
    again = False
    while True:
        child = subprocess.Popen(command, env=environment(again), stdin=subprocess.PIPE)
        if stopping.is_set():
            child.terminate()
        status = child.wait()
        if stopping.is_set() or not _is_fault(status):
            return status if status >= 0 else 0
        if len(faults) == MOST and time.monotonic() - faults[0] < WITHIN:
            tell(f"The server failed {MOST + 1} times in a row ({_cause(status)}), and is not started again.")
            tell("What was not saved is kept; the same command offers it again.")
            return 1
        faults.append(time.monotonic())
        again = True
        tell(f"The server failed ({_cause(status)}), as when a graphics driver does. It is started again; go on.")


def end_with_watcher() -> None:
    """End this process as soon as the one that watches it is gone, however that ended."""

    def wait() -> None:
        with suppress(OSError):
            while os.read(0, 1):
                pass
        os._exit(1)

    threading.Thread(target=wait, name="watcher", daemon=True).start()


def _is_fault(status: int) -> bool:
    return status < 0 or status >= FAULT


def _cause(status: int) -> str:
    try:
        return signal.Signals(-status).name
    except ValueError:
        return f"{status:#x}"
