"""The page as one file of HTML: words escaped, pictures within it, its script named by its digest, nothing from
elsewhere."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from importlib.resources import files

import jinja2
from PIL import Image

from preview.page.contents import Contents, Pixels
from preview.png import encode_jpeg

MOST_BYTES = 15_000_000
QUALITIES = (95, 90, 85, 75, 60)
"""Of JPEG at full colour, the first that makes the file small enough. Mean FLIP from two faces as they are drawn
(dining room, ahead and down, 1152 pixels) is 0.026 at 95 (245 kB each), 0.029 at 90, 0.032 at 85, 0.040 at 75. WebP,
whose colours are half as fine, came to 0.037 at best and AVIF to 0.049."""

SCRIPTS = ("pair.js", "round.js", "page.js")  # one module
FONTS = (("SourceSansPro-Regular.ttf", 400), ("SourceSansPro-Semibold.ttf", 600))
ID = re.compile(r' id="[^"]*"')
PROLOGUE = re.compile(r"^\s*<\?xml[^>]*\?>\s*")


def page_html(contents: Contents) -> bytes:
    """Return the page, at the best quality of pictures at which it has at most `MOST_BYTES`.

    Raises:
        ValueError: it has more at the least quality too.
    """
    for quality in QUALITIES:
        made = _written(contents, quality)
        if len(made) <= MOST_BYTES:
            return made
    raise ValueError(f"a page of {len(made) / 1e6:.0f} MB; {MOST_BYTES / 1e6:.0f} are the most")


def _written(contents: Contents, quality: int) -> bytes:
    script = "\n".join(_static(each) for each in SCRIPTS)
    words = contents.words
    text = _template().render(
        words,
        style=_static("page.css"),
        script=script,
        policy=_policy(base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()),
        fonts=[(weight, _font(name)) for name, weight in FONTS],
        stills=[_jpeg(each.rgb, quality) for each in contents.pictures],
        size=contents.pictures[0].camera.size,
        plans=[_inline(each["plan"]) for each in words["variants"]],
        lines=[_inline(each["lines"]) for each in words["variants"]],
        points=[
            {
                "name": point.name,
                "bearing": round(point.bearing, 4),
                "pitch": round(point.pitch, 4),
                "faces": [[_jpeg(face, quality) for face in look.faces] for look in looks],
            }
            for point, looks in contents.points
        ],
    )
    return text.encode()


def _policy(digest: str) -> str:
    """Return what the page may do: show what it brings, run its own script, and ask nobody for anything."""
    return (
        f"default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; "
        "base-uri 'none'; form-action 'none'"
    )


@cache
def _static(name: str) -> str:
    return (files("preview.page") / "static" / name).read_text(encoding="utf-8")


@cache
def _template() -> jinja2.Template:
    inside = jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return inside.from_string(_static("page.html"))


@cache
def _font(name: str) -> str:
    data = (files("font_source_sans_pro") / "files" / name).read_bytes()
    return "data:font/ttf;base64," + base64.b64encode(data).decode()


def _inline(drawing: str) -> str:
    """Return a drawing as it can stand in a page beside others of its kind: without numbers of its parts."""
    return ID.sub("", PROLOGUE.sub("", drawing))


def _jpeg(picture: Pixels, quality: int) -> str:
    return "data:image/jpeg;base64," + base64.b64encode(encode_jpeg(Image.fromarray(picture), quality)).decode()
