"""A firm's logo made fit for a page: read with care, and made small."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

from PIL import Image

WIDEST, TALLEST = 900, 360  # pixels; about 400 dots an inch where it stands on the page
MOST_BYTES = 50_000_000


def small_logo(path: Path) -> tuple[bytes | None, str]:
    """Return a logo as a small PNG, and a warning: one of the two is empty.

    A quote can do without its logo, so that one which is missing, damaged or far too large is only warned of.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            return None, f"{path}: a logo of over {MOST_BYTES / 1e6:.0f} MB is left out; save it smaller"
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path) as opened:
                opened.draft("RGB", (2 * WIDEST, 2 * TALLEST))
                image = opened.convert("RGBA")
    except FileNotFoundError:
        return None, f"{path}: there is no such logo, so the quote has none; look at firm.logo"
    except Exception as fault:  # a picture library raises errors of many kinds for files that are none
        reason = "too many pixels" if "Decompression" in type(fault).__name__ else "not a picture that can be read"
        return None, f"{path}: the logo is left out ({reason}); save it as a PNG or JPEG of about 900 pixels"
    image.thumbnail((WIDEST, TALLEST), Image.Resampling.LANCZOS)
    content = io.BytesIO()
    image.save(content, "PNG", optimize=True)
    return content.getvalue(), ""
