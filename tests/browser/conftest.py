"""The page in a real browser: Debian's chromium, driven by Playwright, on a server of its own."""

import os
import signal
import socket
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from looking import ARGUMENTS, GREY, PATIENCE, SCENE, Looker, opened_chromium, started_playwright

ROOT = Path(__file__).resolve().parents[2]


def pytest_collection_modifyitems(items):
    """Mark what lies here as needing a browser; the whole folder is tested by one process, with one server."""
    for each in items:
        if Path(__file__).parent in each.path.parents:
            each.add_marker(pytest.mark.browser)


class Server:
    """A `preview live` in a folder of its own, of a scene or of a new room, which can be killed and started again."""

    def __init__(self, folder, scene=SCENE):
        self.folder, self.scene = folder, folder / ("box-room.toml" if scene else "room.toml")
        if scene:
            self.scene.write_text(scene)
        self.given = [self.scene.name] if scene else []
        self.process = None
        self.address = ""

    def start(self, port=None):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = port or free.getsockname()[1]
        command = [sys.executable, "-m", "preview", "live", *self.given, "--no-browser", "--port", str(port)]
        details = ["--details", str(ROOT / "scenes" / "orchard-house-details.toml")]
        kept = {
            **os.environ,
            "PREVIEW_DEBUG": "1",
            "PYTHONFAULTHANDLER": "1",
            "PYTHONPATH": str(ROOT),
            "XDG_STATE_HOME": str(self.folder / "state"),
        }
        with (self.folder / "told").open("a") as told:
            self.process = subprocess.Popen(
                [*command, *details], cwd=self.folder, env=kept, stdout=subprocess.PIPE, stderr=told, text=True
            )
        self.address = self.process.stdout.readline().strip()
        self.port = int(self.address.partition("//127.0.0.1:")[2].partition("/")[0])
        return self

    def told(self):
        """Return what the server wrote to standard error."""
        return (self.folder / "told").read_text()

    def fail(self):
        """End the process that serves as a fault of a graphics driver does."""
        mine = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()
        os.kill(int(mine[0]), signal.SIGSEGV)

    def stop(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        self.process.wait(20)
        self.process.stdout.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    sent = Server(tmp_path_factory.mktemp("live")).start()
    yield sent
    sent.stop()


@pytest.fixture
def new_server(tmp_path):
    sent = Server(tmp_path, scene=None).start()
    yield sent
    sent.stop()


@pytest.fixture(scope="session")
def driver():
    with started_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(driver):
    with opened_chromium(driver, ARGUMENTS) as browser:
        yield browser


@pytest.fixture
def look(chromium, server):
    """Return a function that opens the page in a browser of its own, and looks at it; each begins with the scene as it
    is in the file. Whatever the page wrote to the console, or asked of anyone else, fails the test.

    Swatches, of which each takes the program a second, are one grey picture for who doesn't look at them."""
    opened = []
    server.scene.write_text(SCENE)
    taken = {"origin": f"http://127.0.0.1:{server.port}", "content-type": "application/json"}
    with closing(chromium.new_context()) as context:
        assert context.request.get(server.address).ok  # its token is the right to ask
        assert context.request.post(f"{taken['origin']}/api/reload", data="{}", headers=taken).ok
    before = len(server.told())  # a fault fails the test in which it came, and no later one

    def open_page(width=1100, height=800, path="", address=None, swatches=False, of=server, **context):
        context = chromium.new_context(viewport={"width": width, "height": height}, **context)
        context.set_default_timeout(PATIENCE * 1000)
        if not swatches:
            context.route("**/swatch/**", lambda route: route.fulfill(body=GREY, content_type="image/png"))
        looker = Looker(context.new_page(), of)
        opened.append((context, looker))
        if not address:
            assert context.request.get(of.address).ok  # the cookie, before anything is drawn
        looker.page.goto(address or f"{looker.home}/{path}")
        return looker

    yield open_page
    said = [each for _, looker in opened for each in looker.wrong]
    told = {each: each.told()[before if each is server else 0 :] for each in {looker.server for _, looker in opened}}
    said += [each for each in told.values() if "Traceback" in each]
    for context, _ in opened:
        context.close()
    assert not said
