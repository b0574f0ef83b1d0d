"""Draw the page in the gallery: on a desk, on a phone, and moving, one change after another made by a browser.

    python scenes/gallery_live.py

It needs Playwright and Debian's chromium, as the tests of the page do.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Locator, Page, sync_playwright

HERE = Path(__file__).resolve().parent
TO = HERE / "gallery" / "live.webp"
WINDOW = {"width": 1200, "height": 780}
STILLS = {"live--desktop.jpg": (1200, 750), "live--phone.jpg": (390, 844)}
PHONE = 600  # pixels, the widest window of one
WIDE = 900  # pixels across the moving picture
READ, SEEN, MOVED = 1900, 1300, 130  # ms that a frame stays: to be read, to be seen, in a movement
CHROMIUM = ["--headless", "--no-sandbox", "--disable-gpu"]

HAND = """() => {
  const hand = document.createElement("div");
  const style = { position: "fixed", width: "26px", height: "26px", margin: "-13px", borderRadius: "50%", zIndex: 99,
    pointerEvents: "none", background: "rgb(31 95 139 / 0.35)", border: "2px solid #1f5f8b",
    boxShadow: "0 0 0 2px #fff" };
  Object.assign(hand.style, style);
  document.body.append(hand);
  document.addEventListener("pointermove", (event) => {
    hand.style.left = `${event.clientX}px`;
    hand.style.top = `${event.clientY}px`;
  }, true);
}"""
"""A hand to be seen: screenshots have no pointer."""


class Film:
    """Frames of a page, with how long each stays."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.frames: list[Image.Image] = []
        self.stays: list[int] = []

    def take(self, stays: int) -> None:
        """Take a frame that stays for `stays` ms."""
        shown = Image.open(io.BytesIO(self.page.screenshot())).convert("RGB")
        size = (WIDE, round(WIDE * shown.height / shown.width))
        self.frames.append(shown.resize(size, Image.Resampling.LANCZOS))
        self.stays.append(stays)

    def settle(self, frame: str = "first") -> None:
        """Wait until the full picture and the numbers of the last change are shown."""
        self.page.wait_for_timeout(150)
        self.page.locator(f".stage .{frame}[data-quality=full]:not(.old)").wait_for()
        self.page.locator(".figures:not(.old)").wait_for()
        self.page.wait_for_timeout(300)

    def press(self, target: Locator) -> None:
        """Go to a target, to be seen there, and press it."""
        target.scroll_into_view_if_needed()
        box = target.bounding_box()
        assert box is not None
        self.page.mouse.move(box["x"] + min(60, box["width"] / 2), box["y"] + box["height"] / 2)
        self.take(500)
        target.click(position={"x": min(60, box["width"] / 2), "y": box["height"] / 2})

    def drag(self, target: Locator, across: float, down: float, steps: int = 8, at: float = 0.5) -> None:
        """Drag a target, to be seen on its way, taken hold of where it is `at` of its width."""
        box = target.bounding_box()
        assert box is not None
        x, y = box["x"] + at * box["width"], box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.take(500)
        self.page.mouse.down()
        for step in range(1, steps + 1):
            self.page.mouse.move(x + across * step / steps, y + down * step / steps)
            self.page.wait_for_timeout(30)
            self.take(MOVED)
        self.page.mouse.up()

    def save(self, file: Path) -> None:
        """Write the frames as one moving picture."""
        first, *rest = self.frames
        first.save(file, save_all=True, append_images=rest, duration=self.stays, loop=0, quality=62, method=6)


def choose(film: Film, label: str, option: str) -> None:
    """Open a choice, press an option, and wait for what comes of it."""
    row = film.page.locator(".row").filter(has=film.page.locator(".head .label", has_text=re.compile(f"^{label}$")))
    if not row.is_visible():
        film.press(row.locator("xpath=ancestor::details").locator("summary"))
    film.press(row.locator(".head"))
    film.page.wait_for_timeout(2500)
    film.press(row.locator(".choice").filter(has_text=option).first)
    film.settle()
    film.take(READ)
    row.locator(".head").click()


def play(film: Film) -> None:
    """Make one change after another."""
    page = film.page
    film.settle()
    page.wait_for_timeout(4000)  # the thumbnails
    film.take(READ)
    choose(film, "Board width", "5 in")
    choose(film, "Wood", "walnut")
    handle = page.locator(".handle.centre")
    page.locator(".plan-part").scroll_into_view_if_needed()
    handle.scroll_into_view_if_needed()
    page.wait_for_timeout(300)
    film.take(SEEN)
    film.drag(handle, -38, 0)
    film.settle()
    film.take(READ)
    page.evaluate("scrollTo(0, 0)")
    page.wait_for_timeout(300)
    film.take(READ)
    choose(film, "Sky", "clear")
    date = page.locator(".row[data-key='light.sun.time']")
    film.press(date.locator(".head"))
    for hour in ("2026-03-20T10:30", "2026-03-20T16:30"):
        date.locator("input[type=datetime-local]").fill(hour)
        film.press(date.get_by_role("button", name="Set"))
        film.settle()
        film.take(READ)
    page.get_by_label("Compare with").select_option("On the archway")
    film.settle("second")
    film.press(page.get_by_role("button", name="Lines"))
    film.settle("second")
    film.settle()
    film.take(READ)
    divider = page.locator(".divider")
    box = divider.bounding_box()
    assert box is not None
    film.drag(divider, box["width"] * 0.3, 0, at=int(divider.input_value()) / 100)
    film.take(SEEN)
    page.get_by_label("Compare with").select_option("")
    page.get_by_role("button", name="Lines").click()
    page.locator(".stage").focus()
    for key in (*["ArrowUp"] * 3, *["ArrowLeft"] * 3, *["PageDown"] * 3):
        with page.expect_response(lambda answer: "coarse=1" in answer.url):
            page.keyboard.press(key)
        page.wait_for_timeout(120)
        film.take(2 * MOVED)
    film.settle()
    film.take(SEEN)
    film.press(page.locator(".views button", has_text="across from the south-west corner"))
    film.settle()
    film.take(READ)


def still(page: Page, compared: bool, name: str) -> None:
    """Write what a page shows as it is opened, with two floors `compared` by their lines or not."""
    film = Film(page)
    film.settle()
    if compared:
        page.get_by_label("Compare with").select_option("On the archway")
        page.get_by_role("button", name="Lines").click()
        film.settle("second")
        film.settle()
    page.locator(".views .old").first.wait_for(state="detached")
    Image.open(io.BytesIO(page.screenshot())).convert("RGB").save(TO.with_name(name), quality=86)


def main() -> None:
    """Serve the dining room, open it in a browser, and write what is seen."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        scene = shutil.copy(HERE / "dining-room.toml", folder)
        details = HERE / "orchard-house-details.toml"
        command = [sys.executable, "-m", "preview", "live", scene, "--details", str(details), "--no-browser"]
        kept = {**os.environ, "XDG_STATE_HOME": folder}  # what is not saved goes with the folder
        with subprocess.Popen(command, cwd=HERE.parent, env=kept, stdout=subprocess.PIPE, text=True) as server:
            assert server.stdout is not None
            browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=CHROMIUM)
            address = server.stdout.readline().strip()
            for name, (width, height) in STILLS.items():
                with browser.new_page(viewport={"width": width, "height": height}) as page:
                    page.set_default_timeout(120_000)
                    page.goto(address)
                    still(page, width > PHONE, name)
            page = browser.new_page(viewport=WINDOW)
            page.set_default_timeout(120_000)
            page.goto(address)
            page.evaluate(HAND)
            film = Film(page)
            play(film)
            browser.close()
            server.terminate()
        film.save(TO)
        said = f"{len(film.frames)} frames, {sum(film.stays) / 1000:.0f} s, {TO.stat().st_size / 1e6:.1f} MB"
        sys.stdout.write(f"{TO}: {said}\n")


if __name__ == "__main__":
    main()
