"""Draw the page to send in the gallery, as a browser shows it on a desk and on a phone.

    python scenes/gallery_page.py

It needs Playwright and Debian's chromium, as the tests of the page do.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

HERE = Path(__file__).resolve().parent
SCENE, VARIANTS = HERE / "kitchen.toml", ("On the bay", "On the door")
SIZES = {"desktop": (1100, 1320), "phone": (390, 1700)}
CHROMIUM = ["--headless", "--no-sandbox", "--disable-gpu"]
QUALITY = 88


def main() -> None:
    """Make the page and its pictures."""
    named = [word for each in VARIANTS for word in ("--variant", each)]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        page = Path(folder) / "kitchen.html"
        subprocess.run([sys.executable, "-m", "preview", "page", SCENE, *named, "--out", page], check=True)
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=CHROMIUM)
        for name, (width, height) in SIZES.items():
            shown = browser.new_page(viewport={"width": width, "height": height})
            shown.goto(page.as_uri())
            shown.locator("#round canvas").scroll_into_view_if_needed()
            shown.wait_for_timeout(1500)
            shown.evaluate("window.scrollTo(0, 0)")
            shown.wait_for_timeout(500)
            taken = Image.open(io.BytesIO(shown.screenshot())).convert("RGB")
            taken.save(HERE / "gallery" / f"page--{name}.jpg", quality=QUALITY)


if __name__ == "__main__":
    main()
