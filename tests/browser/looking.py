"""What a person does at the page, and what they see."""

from __future__ import annotations

import base64
import io
import platform
import re
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image

CHROMIUM = Path("/usr/bin/chromium")
PATIENCE = 60
"""Seconds for a picture of a room whose light is worked out on a busy machine."""
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def started_playwright():
    """Yield what drives browsers; a process can have it once. The browser, Debian's, has to be there on Debian;
    elsewhere a test without it is skipped, and says so."""
    playwright = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed: no page is tested")
    if not CHROMIUM.exists():
        if platform.system() == "Linux" and platform.freedesktop_os_release()["ID"] == "debian":
            pytest.fail(f"{CHROMIUM} is not there; install it: sudo apt-get install chromium")
        pytest.skip(f"{CHROMIUM} is not there: no page is tested")
    with playwright.sync_playwright() as started:
        yield started


@contextmanager
def opened_chromium(started, arguments):
    """Yield the browser, opened with these arguments by what drives it."""
    browser = started.chromium.launch(executable_path=str(CHROMIUM), args=arguments)
    yield browser
    browser.close()


SCENE = """# A box room, small so that it is drawn soon.
title = "Box room"
units = "in"                     # plain numbers are inches
base_name = "On the room"
[room]
corners = [[0, 0], [100, 0], [100, 90], [0, 90]]
height = 96
baseboard = 1
[[openings]]
name = "archway"
kind = "cased opening"
wall = 1
offset = 20
width = 36
height = 82
[[openings]]
name = "window"
kind = "window"
wall = 3
offset = 20
width = 40
sill = 30
height = 40
[floor]
board_width = 4                  # the face of a board
run = 90
[border]
width = 4
[wood]
species = "white oak"
[[viewpoints]]
name = "from the archway"
at = { opening = "archway" }
eye = 60
look = [50, 80]
[[viewpoints]]
name = "plan"
kind = "plan"
[[variants]]
name = "On the archway"
floor.center = { opening = "archway" }
"""

_grey = io.BytesIO()
Image.new("RGB", (48, 48), "grey").save(_grey, "PNG")
GREY = _grey.getvalue()

REMEMBER = """
const made = URL.createObjectURL;
window.blobs = new Map();
URL.createObjectURL = (blob) => {
  const address = made.call(URL, blob);
  window.blobs.set(address, blob);
  return address;
};
"""
"""The page's pictures, by the addresses that it gives them: what it shows can be read byte by byte."""

READ = """async (image) => {
  const bytes = new Uint8Array(await window.blobs.get(image.src).arrayBuffer());
  return btoa(Array.from(bytes, (each) => String.fromCharCode(each)).join(""));
}"""


class Fingers:
    """Fingers on a page, by the browser's own touch events: they scroll and pinch as fingers do."""

    def __init__(self, page):
        self.session = page.context.new_cdp_session(page)

    def drag(self, *ways, steps=6):
        """Put a finger at the start of each of the ways ((x, y), (x, y)), move all to their ends, and lift them."""
        for step in range(steps + 1):
            share = step / steps
            at = [
                {"x": a + share * (c - a), "y": b + share * (d - b), "id": n} for n, ((a, b), (c, d)) in enumerate(ways)
            ]
            self._send("touchMove" if step else "touchStart", at)
        self._send("touchEnd", [])

    def _send(self, kind, at):
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})


class Looker:
    """A page, with what went wrong on it: messages in its console, errors, requests to anyone but the server."""

    def __init__(self, page, server):
        self.page, self.server, self.wrong = page, server, []
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.on("request", self._asked)
        page.add_init_script(REMEMBER)

    def _said(self, message):
        if message.type in ("error", "warning") and not re.search("status of 4(09|10|22)|GL Driver", message.text):
            self.wrong.append(message.text)

    def _asked(self, request):
        own = f"(127.0.0.1|localhost):{self.server.port}/"
        if not re.match(f"(blob:)?(http|ws)://{own}", request.url):
            self.wrong.append(f"asked {request.url}")

    @property
    def home(self):
        """Where the server is, by the name that the firm's page has it."""
        return f"http://127.0.0.1:{self.server.port}"

    def state(self):
        """Return the state as the server tells it."""
        return self.page.request.get(f"{self.home}/api/state").json()

    def settle(self):
        """Wait until the full picture and the numbers of the newest state are shown, and neither is old."""
        revision, frame = self.state()["revision"], ".stage .first"
        self.page.locator(f'{frame}[data-revision="{revision}"][data-quality="full"]:not(.old)').wait_for()
        if self.page.locator(".figures").count():
            self.page.locator(f'.figures[data-revision="{revision}"]:not(.old)').wait_for()
        return revision

    def full_picture(self, frame="first"):
        """Return the bytes of the full picture that is shown."""
        self.settle()
        return base64.b64decode(self.page.locator(f".stage .{frame} img").evaluate(READ))

    def figure(self, label):
        """Return a main figure as it is read."""
        return self.page.locator(".main-figures div").filter(has_text=label).locator("dd").first.inner_text()

    def row(self, label):
        """Return the row of a choice."""
        return self.page.locator(".row").filter(
            has=self.page.locator(".head .label", has_text=re.compile(f"^{label}$"))
        )

    def open_row(self, label):
        """Open the row of a choice, and return it."""
        row = self.row(label)
        row.wait_for(state="attached")  # a page that is not there yet has no group to open
        if not row.is_visible():
            row.locator("xpath=ancestor::details").locator("summary").click()
        if row.locator(".head").get_attribute("aria-expanded") == "false":
            row.locator(".head").click()
        return row

    def choose(self, label, option):
        """Press an option of a choice."""
        row = self.open_row(label)
        row.locator(".choice").filter(has=self.page.locator(".label", has_text=re.compile(f"^{option}$"))).click()
        self.sent(row)

    def until(self, holds):
        """Wait until something holds that no element of the page tells."""
        end = time.monotonic() + PATIENCE
        while not holds():
            assert time.monotonic() < end, "it never came to hold"
            self.page.wait_for_timeout(50)

    def sent(self, row):
        """Wait until what was set in a row has been answered."""
        row.and_(self.page.locator(".row:not(.sending)")).wait_for()

    def type_in(self, label, text):
        """Type what a choice is to be, and set it."""
        row = self.open_row(label)
        row.locator(".field input").first.fill(text)
        row.locator(".field button[type=submit]").click()
        self.sent(row)
        return row
