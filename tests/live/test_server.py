"""The program as it is started: its address, what it listens on, how it stops, and what outlives it."""

import asyncio
import base64
import os
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import urlsplit

import httpx2 as httpx
import pytest

from preview.live.serve import bound_socket

ROOT = Path(__file__).resolve().parents[2]
AT_ONCE = 3.0
"""Seconds; a machine that does something else besides needs most of them."""


class Program:
    """`preview live`, running."""

    def __init__(self, folder, *arguments):
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_STATE_HOME": str(folder / "state"), "DISPLAY": ""}
        environment.pop("WAYLAND_DISPLAY", None)
        command = [sys.executable, "-m", "preview", "live", *arguments]
        self.process = subprocess.Popen(
            command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        self.address = self.process.stdout.readline().strip()
        parts = urlsplit(self.address)
        self.home, self.port = f"http://{parts.netloc}", parts.port
        self.browsers = []

    def browser(self, address=""):
        browser = httpx.Client(base_url=self.home, headers={"origin": self.home}, timeout=60, follow_redirects=True)
        self.browsers.append(browser)
        assert browser.get(address or self.address).status_code == 200
        return browser

    def close(self):
        for each in self.browsers:
            each.close()
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.process.stdout.close()
        self.process.stderr.close()

    def stop(self, how=signal.SIGTERM):
        begun = time.monotonic()
        self.process.send_signal(how)
        self.rest, told = self.process.communicate(timeout=30)
        return self.process.returncode, time.monotonic() - begun, told


@pytest.fixture
def program(tmp_path, scene):
    running = []

    def start(*arguments):
        running.append(Program(tmp_path, *(arguments or (scene.name, "--no-browser"))))
        return running[-1]

    yield start
    for each in running:
        each.close()


@pytest.fixture(scope="module")
def lasting(tmp_path_factory):
    """A program for all tests that change nothing of it."""
    folder = tmp_path_factory.mktemp("lasting")
    shutil.copy(ROOT / "scenes" / "dining-room.toml", folder)
    running = Program(folder, "dining-room.toml", "--no-browser")
    yield running
    running.close()


def change(browser, key, value):
    state = browser.get("/api/state").json()
    edits = [{"variant": None, "key": key, "value": value}]
    answer = browser.post("/api/change", json={"revision": state["revision"], "client": "a", "edits": edits})
    assert answer.status_code == 200, answer.text
    return answer.json()


def exchange(port, request):
    """Send bytes and return what comes back, at most for a while."""
    with socket.create_connection(("127.0.0.1", port), timeout=5) as line:
        line.sendall(request)
        found = b""
        try:
            while block := line.recv(65536):
                found += block
        except TimeoutError:
            pass
    return found


def test_the_first_line_is_the_address_with_its_token_on_this_machine_alone(lasting):
    running = lasting
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{43}", running.address)
    assert "Dining room" not in httpx.get(running.home).text
    page = running.browser().get("/")
    assert page.headers["content-type"].startswith("text/html")
    listening = Path("/proc/net/tcp")
    if listening.exists():
        rows = [line.split()[1] for line in listening.read_text().splitlines()[1:] if line.split()[3] == "0A"]
        assert [row for row in rows if row.endswith(f":{running.port:04X}")] == [f"0100007F:{running.port:04X}"]


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_at_once_and_leaves_nothing(program, tmp_path, scene, how):
    running = program()
    browser = running.browser()
    before = scene.read_bytes()
    with browser.stream("GET", "/api/state"):  # someone is there
        status, lasted, told = running.stop(how)
    assert status == 0
    assert lasted < AT_ONCE
    assert "Traceback" not in told
    assert scene.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir() if each.name != "state"] == [scene.name]
    assert list((tmp_path / "state").rglob("*.json")) == []


def test_what_is_unsaved_outlives_a_kill_and_is_offered_again_at_the_same_address(program, scene):
    running = program()
    change(running.browser(), "floor.board_width", "3 1/8")
    before = scene.read_bytes()
    running.process.kill()
    running.process.wait()
    again = program()
    assert again.address == running.address  # so that the page that is still open finds it
    browser = again.browser()
    state = browser.get("/api/state").json()
    assert state["saved"]
    assert "not saved" in state["offer"]["words"]
    assert state["revision"] >= 1
    change(browser, "wood.stain", "dark")  # what is offered waits
    assert browser.get("/api/state").json()["offer"]
    browser.post("/api/undo", json={})
    taken = browser.post("/api/offer", json={"do": "take"}).json()
    assert taken["values"]["On the room"]["floor.board_width"]["text"] == '3 1/8"'
    assert taken["offer"] is None
    assert scene.read_bytes() == before
    assert browser.post("/api/save", json={}).json()["saved"]
    assert b'"3 1/8"' in scene.read_bytes()
    again.stop()
    third = program()
    assert third.browser().get("/api/state").json()["offer"] is None


def server_of(running):
    """Return the process that serves: the only child of the one that was started."""
    (child,) = Path(f"/proc/{running.process.pid}/task/{running.process.pid}/children").read_text().split()
    return int(child)


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs to be told which process is whose child")
@pytest.mark.parametrize("new", [False, pytest.param(True, marks=pytest.mark.slow)])
def test_a_server_that_a_fault_ends_goes_on_as_it_was(program, scene, new):
    running = program(*(() if new else (scene.name,)), "--no-browser")
    browser = running.browser()
    if new:
        assert browser.post("/api/save", json={}).json()["file"] == "room.toml"
    values = change(browser, "floor.board_width", "3 1/8 in")["values"]
    before = server_of(running)
    os.kill(before, signal.SIGSEGV)
    for _ in range(300):
        try:
            state = browser.get("/api/state").json()  # the same address, the same cookie
            break
        except httpx.TransportError:
            time.sleep(0.1)
    assert state["values"] == values
    assert state["file"] == ("room.toml" if new else scene.name)
    assert state["undo"]
    assert not state["saved"]
    assert state["offer"] is None
    assert "started again" in state["restarted"]
    assert server_of(running) != before
    status, lasted, told = running.stop()
    assert (status, running.rest) == (0, "")  # the address was said once
    assert lasted < AT_ONCE
    assert "SIGSEGV" in told
    assert told.count("Stop with Ctrl-C") == 1
    assert "can be opened in a browser at the address above" in told  # nothing was opened


def test_a_program_that_fails_again_and_again_is_given_up(tmp_path):
    mark = tmp_path / "mark"
    dies = f"import os, signal; open({str(mark)!r}, 'a').write('x'); os.kill(os.getpid(), signal.SIGSEGV)"
    watches = (
        "import os, sys; from preview.live.watch import watch;"
        f"sys.exit(watch([sys.executable, '-c', {dies!r}], lambda again: dict(os.environ), print))"
    )
    done = subprocess.run([sys.executable, "-c", watches], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert done.returncode == 1
    assert mark.read_text() == "xxxx"
    assert "not started again" in done.stdout


def test_unsaved_changes_are_kept_when_it_is_stopped_and_can_be_dropped(program):
    running = program()
    change(running.browser(), "wood.stain", "dark")
    _, _, told = running.stop(signal.SIGINT)
    assert "Unsaved changes are kept" in told
    again = program()
    browser = again.browser()
    assert browser.get("/api/state").json()["offer"]
    assert browser.post("/api/offer", json={"do": "drop"}).json()["offer"] is None
    again.stop()
    assert program().browser().get("/api/state").json()["offer"] is None


def test_a_second_server_of_the_scene_has_an_address_of_its_own(program):
    first, second = program(), program()
    assert first.port != second.port
    change(first.browser(), "wood.stain", "dark")
    assert second.browser().get("/api/state").json()["values"]["On the room"]["wood.stain"]["text"] == "none"


def test_a_port_can_be_fixed_and_one_that_is_taken_is_told(program, scene, tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        running = program(scene.name, "--no-browser", "--port", str(port))
        told = running.process.stderr.read()
        assert (running.process.wait(30), running.address) == (2, "")
        assert f"port {port} can't be used" in told
    assert program(scene.name, "--no-browser", "--port", str(port)).port == port


def test_no_scene_begins_a_new_room_beside_those_there_are(program, tmp_path):
    (tmp_path / "room.toml").write_text("# somebody's\n")
    running = program("--no-browser")
    browser = running.browser()
    state = browser.get("/api/state").json()
    assert state["file"] == "room-2.toml"
    assert not state["saved"]
    assert not (tmp_path / "room-2.toml").exists()
    assert browser.post("/api/save", json={}).status_code == 200
    assert (tmp_path / "room-2.toml").exists()
    assert (tmp_path / "room.toml").read_text() == "# somebody's\n"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("none.toml",), "no such file"),
        pytest.param(("-",), "file's name", marks=pytest.mark.slow),
        pytest.param(("--details", "none.toml"), "no such file", marks=pytest.mark.slow),
    ],
)
def test_what_can_not_be_opened_is_told(program, arguments, words):
    running = program(*arguments, "--no-browser")
    told = running.process.stderr.read()
    assert running.process.wait(30) == 2
    assert running.address == ""
    assert words in told
    assert "Traceback" not in told


def test_in_the_house_the_address_is_a_code_too_and_the_token_is_still_needed(program, scene):
    running = program(scene.name, "--no-browser", "--lan")
    if not running.address:
        assert "this computer is in no network" in running.process.stderr.read()
        pytest.skip("this machine is in no network")
    assert not running.home.startswith("http://127.0.0.1")
    assert httpx.get(running.home).status_code == 403
    customer = running.process.stdout.readline().strip()
    assert customer.startswith(f"{running.home}/?token=")
    assert customer != running.address
    shown = running.browser(customer)
    assert shown.get("/api/state").json()["mode"] == "customer"
    _, _, told = running.stop()
    assert "not encrypted" in told
    assert "\u2588" in told or "\u2580" in told  # the code


def test_a_body_that_never_ends_is_cut_off(lasting):
    """It says nothing of its length, so it has to be counted."""
    running = lasting
    cookie = f"preview-{running.port}={running.address.partition('=')[2]}"
    head = (
        f"POST /api/change HTTP/1.1\r\nHost: 127.0.0.1:{running.port}\r\nOrigin: {running.home}\r\nCookie: {cookie}\r\n"
        "Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    )
    block = b"10000\r\n" + b"x" * 0x10000 + b"\r\n"
    try:
        answer = exchange(running.port, head.encode() + 20 * block)
    except ConnectionError:
        answer = b""
    assert not answer.startswith(b"HTTP/1.1 200")
    assert running.browser().get("/api/state").status_code == 200


@pytest.mark.parametrize(
    "request_line",
    ["GET / HTTP/1.1", "GET http://evil.example/ HTTP/1.1", "GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1", "\x00\x01\x02"],
)
def test_nonsense_is_refused_and_harms_nothing(lasting, request_line):
    running = lasting
    answer = exchange(running.port, f"{request_line}\r\nHost: evil.example\r\nConnection: close\r\n\r\n".encode())
    assert answer[:12] in (b"HTTP/1.1 400", b"HTTP/1.1 421", b"")
    assert b"root:" not in answer
    assert running.browser().get("/api/state").status_code == 200


def test_pages_that_listen_are_told_and_let_go_when_it_stops(program):
    running = program()
    browser = running.browser()
    cookie = f"preview-{running.port}={running.address.partition('=')[2]}"
    key = base64.b64encode(secrets.token_bytes(16)).decode()
    head = (
        f"GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{running.port}\r\nOrigin: {running.home}\r\nCookie: {cookie}\r\n"
        f"Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: {key}\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", running.port), timeout=20) as line:
        line.sendall(head.encode())
        found = line.recv(4096)
        assert found.startswith(b"HTTP/1.1 101")
        change(browser, "wood.stain", "dark")
        while b'"kind": "state"' not in found:
            found += line.recv(65536)
        _, lasted, _ = running.stop()
        assert lasted < AT_ONCE
        while block := line.recv(65536):
            found += block
    assert found.endswith((1012).to_bytes(2)) or b"\x88\x02" in found[-8:]  # service restart (RFC 6455, 7.4; IANA)


def test_what_is_written_is_sent_at_once():
    """Without, a reply of head and body waits for the head to be acknowledged: 0.04 s on Linux (RFC 896, RFC 1122
    4.2.3.2 and 4.2.3.4)."""

    async def accepted():
        found = asyncio.get_running_loop().create_future()

        class Line(asyncio.Protocol):
            def connection_made(self, transport):
                line = transport.get_extra_info("socket")
                found.set_result(line.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
                transport.close()

        with bound_socket("127.0.0.1", 0) as listening:
            server = await asyncio.get_running_loop().create_server(Line, sock=listening)
            with socket.create_connection(listening.getsockname(), timeout=5):
                at_once = await found
            server.close()
        return at_once

    with ThreadPoolExecutor(1) as apart:  # a browser that is open holds this thread's own loop
        assert apart.submit(asyncio.run, accepted()).result()
