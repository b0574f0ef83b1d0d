"""The page in a real browser: Debian's chromium, driven by Playwright, on a server of its own."""

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from looking import ARGUMENTS, CHROMIUM, SCENE, Looker

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60
"""Seconds for a picture of a room whose light is worked out on a busy machine."""


def pytest_collection_modifyitems(items):
    """Mark what lies here as needing a browser; the whole folder is tested by one process, with one server."""
    for each in items:
        if Path(__file__).parent in each.path.parents:
            each.add_marker(pytest.mark.browser)


class Server:
    """A `preview live` of a scene in a folder of its own, which can be killed and started again."""

    def __init__(self, folder):
        self.folder, self.scene = folder, folder / "box-room.toml"
        self.scene.write_text(SCENE)
        self.process = None
        self.address = ""

    def start(self, port=None):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = port or free.getsockname()[1]
        command = [sys.executable, "-m", "preview", "live", str(self.scene), "--no-browser", "--port", str(port)]
        details = ["--details", str(ROOT / "scenes" / "orchard-house-details.toml")]
        kept = {**os.environ, "XDG_STATE_HOME": str(self.folder / "state")}
        self.process = subprocess.Popen(
            [*command, *details], cwd=ROOT, env=kept, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self.address = self.process.stdout.readline().strip()
        self.port = int(self.address.partition("//127.0.0.1:")[2].partition("/")[0])
        return self

    def stop(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        self.process.wait(20)
        self.process.stdout.close()


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    sent = Server(tmp_path_factory.mktemp("live")).start()
    yield sent
    sent.stop()


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed: no page is tested")
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is not there: no page is tested")
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def look(chromium, server):
    """Return a function that opens the page in a browser of its own, and looks at it; each begins with the scene as it
    is in the file. Whatever the page wrote to the console, or asked of anyone else, fails the test."""
    opened = []
    server.scene.write_text(SCENE)

    def open_page(width=1100, height=800, path="", address=None, **context):
        context = chromium.new_context(viewport={"width": width, "height": height}, **context)
        context.set_default_timeout(PATIENCE * 1000)
        looker = Looker(context.new_page(), server)
        opened.append((context, looker))
        looker.page.goto(address or server.address)
        if not address:
            looker.post("/api/reload")
        if path:
            looker.page.goto(f"http://127.0.0.1:{server.port}/{path}")
        return looker

    yield open_page
    said = [each for _, looker in opened for each in looker.wrong]
    for context, _ in opened:
        context.close()
    assert not said
