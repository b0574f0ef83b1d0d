"""The server itself: its socket and its addresses, the browser, how it starts and how it stops."""

from __future__ import annotations

import os
import socket
import sys
import threading
import time
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import uvicorn

from preview.errors import SceneError, UsageError
from preview.live.app import live_app
from preview.live.firm_file import FirmFile
from preview.live.guard import Keys, own_hosts
from preview.live.record import Record, forget, new_record, read_record, record_file, write_record
from preview.live.served import Served
from preview.live.workspace import Workspace

LOOPBACK = "127.0.0.1"
LOOK_EVERY = 1.0
"""Seconds between two looks at whether the scene's file was changed elsewhere."""

FAREWELL = 0.05
"""Seconds in which pages are told that the server goes."""

RESTARTED = (
    "The program failed while it drew, and was started again. Everything is as you left it; only Undo is shorter."
)
"""What a page is told of a server that goes on for one that failed."""

Say = Callable[[str], None]


def serve(
    file: Path,
    content: bytes | None,
    text: str,
    firm: FirmFile | None,
    materials: Path | None,
    port: int,
    browser: bool,
    lan: bool,
    say: Say,
    tell: Say,
    again: bool = False,
) -> None:
    """Serve a scene until the program is told to stop.

    Args:
        file, content, text: as for `Workspace`.
        firm: the firm's prices.
        materials: a folder of material files that adds to the program's own.
        port: 0 for a free one, the same as before where that is free.
        browser: whether one is opened.
        lan: whether other devices in the house get in too, with the token.
        say: prints a line of standard output; the first is the address.
        tell: prints a line of standard error.
        again: whether a server before failed and this one goes on for it: where it was, and with what was not saved.

    Raises:
        UsageError: the port is taken.
        SceneError: the scene can't be read.
    """
    record_path, record, listening = _opened(file, port, "0.0.0.0" if lan else LOOPBACK, again)
    try:
        number = listening.getsockname()[1]
        record = replace(record, port=number)
        write_record(record_path, record)
        name = _lan_address() if lan else LOOPBACK
        other = name if lan else "localhost"  # another name than the firm's, whose cookie it would take
        hosts = own_hosts({LOOPBACK, "localhost", name}, number)
        keys = Keys(record.token, record.customer, hosts, number)
        work = Workspace(file, content, text, materials, (record_path, record), _first_revision())
        customer = f"http://{other}:{number}/?token={record.customer}"
        served = Served(work, firm, customer, RESTARTED if again else "")
        server = _Server(live_app(served, keys), served, lambda: _left(work, record_path, tell))
        address = f"http://{name}:{number}/?token={record.token}"
        listening.listen(128)
        if again:
            with suppress(SceneError, UsageError):  # what can't be read stays offered
                work.offer(True)
        else:
            say(address)
            opened = browser and _open(f"http://{LOOPBACK}:{number}/?token={record.token}")
            _say_more(say, tell, file, customer, lan, opened)
        server.run_until_stopped(listening)
    finally:
        listening.close()


def _left(work: Workspace, path: Path, tell: Say) -> None:
    """Leave nothing behind but what is unsaved, of which it says so."""
    if work.unsaved:
        tell("Unsaved changes are kept; the same command offers them again.")
    else:
        forget(path)


class _Server(uvicorn.Server):
    """Uvicorn, that ends the process at once when it is to stop: pages are let go, drawings are not waited for. Only a
    change or a saving that has begun is."""

    def __init__(self, app: object, served: Served, leave: Callable[[], None]) -> None:
        config = uvicorn.Config(
            app,  # type: ignore[arg-type]
            log_level="critical",
            access_log=False,
            ws="wsproto",
            http="h11",
            loop="asyncio",
            lifespan="off",
            ws_max_size=1024,
            h11_max_incomplete_event_size=16384,
            limit_concurrency=200,
            timeout_keep_alive=30,
            server_header=False,
            proxy_headers=False,
        )
        super().__init__(config)
        self._served, self._leave = served, leave
        self._stopped = threading.Event()

    def run_until_stopped(self, listening: socket.socket) -> None:
        """Serve until a signal comes."""
        threading.Thread(target=self._look, name="file", daemon=True).start()
        self.run([listening])

    def handle_exit(self, sig: int, frame: object) -> None:
        """Stop, once."""
        if not self._stopped.is_set():
            self._stopped.set()
            threading.Thread(target=self._end, name="end").start()

    def _end(self) -> None:
        self._served.events.end()
        time.sleep(FAREWELL)
        with self._served.workspace.at_rest():
            self._leave()
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(0)

    def _look(self) -> None:
        while not self._stopped.wait(LOOK_EVERY):
            with suppress(UsageError):
                self._served.workspace.look_at_file()


def _opened(file: Path, port: int, host: str, again: bool) -> tuple[Path, Record, socket.socket]:
    """Return the scene's record with where it is, and a socket; a second server of a scene has a record of its own.
    That of a server which goes on for another is the one last written of those that nobody has."""
    numbers = [*range(1, 20)]
    if again:
        left = [each for each in numbers if record_file(file, each).exists()]
        numbers = sorted(left, key=lambda each: -record_file(file, each).stat().st_mtime) + numbers
    for number in numbers:
        path = record_file(file, number)
        record = read_record(path)
        if record is None:
            return path, new_record(), bound_socket(host, port)
        if _answers(record.port):
            continue  # another server of this scene has it
        wanted = port or record.port
        try:
            return path, record, bound_socket(host, wanted)
        except UsageError:
            if port:
                raise
            return path, record, bound_socket(host, 0)
    raise UsageError(f"{file.name}: this scene is served twenty times already; stop some of them")


def _answers(port: int) -> bool:
    """Whether something listens on a port of this machine."""
    if not port:
        return False
    try:
        with socket.create_connection((LOOPBACK, port), timeout=0.3):
            return True
    except OSError:
        return False


def bound_socket(host: str, port: int) -> socket.socket:
    """Return a socket bound to a port. It says that it is TCP's: only of such ones asyncio sends what is written at
    once, where a reply of head and body else waits 0.04 s for the browser to acknowledge the head."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows, where the other option would share a port
            found.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((host, port))
    except OSError as error:
        found.close()
        raise UsageError(f"port {port} can't be used ({error.strerror}); leave --port out to take a free one") from None
    return found


def _lan_address() -> str:
    """Return this machine's address in its network: that from which a packet would leave. None is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # kept for documentation by RFC 5737: nobody has it
            return str(probe.getsockname()[0])
        except OSError:
            raise UsageError("--lan: this computer is in no network; connect it first, or leave --lan out") from None


def _first_revision() -> int:
    """Return a number over that of any revision of a server before, so that none is taken for another."""
    return int(time.time())


def _say_more(say: Say, tell: Say, file: Path, customer: str, lan: bool, opened: bool) -> None:
    how = "is open in the browser" if opened else "can be opened in a browser at the address above"
    tell(f"{file.name} {how}. Stop with Ctrl-C.")
    if not lan:
        return
    from io import StringIO

    import segno

    tell("Every device in this network that has an address with its token gets in: give them to nobody else.")
    tell("What is sent is not encrypted: use this in a network that you trust, not in a public one.")
    tell("The customer's page, which shows pictures and names, and no prices:")
    say(customer)
    drawn = StringIO()
    segno.make(customer, micro=False).terminal(drawn, compact=True)
    tell(drawn.getvalue())


def _open(address: str) -> bool:
    """Open a browser where there is a screen, and return whether there is: one that works in the terminal would take it
    over."""
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return False
    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    return True
