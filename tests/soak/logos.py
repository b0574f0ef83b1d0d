"""A firm's logos, spoilt: PNG by its chunks, JPEG by its segments, SVG by its grammar, and all byte by byte."""

from __future__ import annotations

import io
import random
import re
import zlib
from functools import cache
from itertools import pairwise

from PIL import Image, ImageDraw

from tests.soak.mutations import mutated, spoilt_bytes

SVGS = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 200 50">\n'
    '<defs>\n<linearGradient id="g" x1="0" x2="1">\n<stop offset="0" stop-color="#234"/>\n'
    '<stop offset="1" stop-color="#e8e2d6"/>\n</linearGradient>\n'
    '<clipPath id="c">\n<circle cx="30" cy="25" r="20"/>\n</clipPath>\n'
    '<symbol id="s" viewBox="0 0 10 10">\n<path d="M 0 0 L 10 0 L 5 9 z"/>\n</symbol>\n</defs>\n'
    '<rect x="10" y="10" width="180" height="30" fill="url(#g)"/>\n'
    '<g clip-path="url(#c)" transform="rotate(12 30 25) scale(2)">\n<use xlink:href="#s" x="20" width="9" height="20"/>'
    '\n</g>\n<path d="M 60 40 C 70 10 90 10 100 40 A 12 8 30 0 1 120 40 Q 130 20 140 40 T 160 40" fill="none" '
    'stroke="#802" stroke-width="3" stroke-dasharray="4 2"/>\n<text x="20" y="30" font-size="12">Floors</text>\n</svg>',
    '<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="36mm">\n'
    "<style>\n.a { fill: rgb(10%, 40%, 30%); stroke: none }\n</style>\n"
    '<polygon class="a" points="10,10 80,20 60,90"/>\n<ellipse cx="50%" cy="20" rx="30" ry="9" opacity=".4"/>\n</svg>',
)
NUMBERS = (
    "0",
    "-1",
    "1e-9",
    "1e9",
    "1e39",
    "nan",
    "-0",
    "1e999",
    "0.5",
    "100%",
    "99999999999",
    "1em",
    "",
    "none",
    "#s",
)
TAGS = re.compile(r"<(/?)([A-Za-z]+)")
ATTRIBUTE = re.compile(r'([A-Za-z:-]+)="([^"]*)"')
ADDED = (
    '<use href="#s"/>', '<g id="s"><use href="#s"/></g>', '<image href="#s" width="9" height="9"/>', "<!-- -- -->",
    '<filter id="f"><feGaussianBlur stdDeviation="1e6"/></filter><rect width="9" height="9" filter="url(#f)"/>',
    '<pattern id="p" width="1e-6" height="1e-6"/><rect width="90" height="9" fill="url(#p)"/>', "&amp;&#0;", "<a/>",
    '<mask id="m"><rect mask="url(#m)" width="9" height="9"/></mask><rect mask="url(#m)" width="90" height="9"/>',
    '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>', "<![CDATA[",
    '<image href="data:image/png;base64,AAAA"/>',
    "<g>" * 300 + "</g>" * 300, '<path d="' + "M 0 0 L 9 9 " * 3000 + '"/>', '<rect width="9" height="9" rx="1e30"/>',
)  # fmt: skip


@cache
def pictures() -> tuple[bytes, ...]:
    """Return good logos: PNG of several kinds, JPEG, plain and progressive."""
    drawn = Image.new("RGBA", (120, 40), (240, 235, 220, 0))
    ImageDraw.Draw(drawn).ellipse((10, 5, 80, 35), (30, 90, 60, 200))
    made = [
        ("PNG", drawn, {}),
        ("PNG", drawn.convert("P"), {"transparency": 0}),
        ("PNG", drawn.convert("1"), {}),
        ("PNG", drawn.convert("L"), {"dpi": (300, 300)}),
        ("JPEG", drawn.convert("RGB"), {"quality": 80}),
        ("JPEG", drawn.convert("CMYK"), {"progressive": True}),
    ]
    files = []
    for kind, image, options in made:
        content = io.BytesIO()
        image.save(content, kind, **options)
        files.append(content.getvalue())
    return tuple(files)


def spoilt_logo(rng: random.Random) -> bytes:
    """Return the bytes of a logo with some faults in it."""
    if rng.random() < 0.5:
        text = rng.choice(SVGS)
        for _ in range(rng.choice([1, 1, 2, 4])):
            text = rng.choice([_number, _number, _tag, _element, _line])(text, rng)
        content = text.encode("utf-8", "surrogateescape")
        return spoilt_bytes(content, rng) if rng.random() < 0.2 else content
    content = rng.choice(pictures())
    if rng.random() < 0.6:
        parts = _chunks(content) if content.startswith(b"\x89PNG") else _segments(content)
        for _ in range(rng.choice([1, 1, 2])):
            parts = _part(parts, rng)
        content = b"".join(parts)
    return spoilt_bytes(content, rng) if rng.random() < 0.6 else content


def _number(text: str, rng: random.Random) -> str:
    """Give an attribute another value, or one of its figures another."""
    found = rng.choice(list(ATTRIBUTE.finditer(text)) or [None])
    if found is None:
        return text
    value = found[2]
    figures = list(re.finditer(r"-?[\d.]+", value))
    if figures and rng.random() < 0.7:
        one = rng.choice(figures)
        value = value[: one.start()] + rng.choice(NUMBERS) + value[one.end() :]
    else:
        value = rng.choice([*NUMBERS, "url(#g)", "url(#c)", "url(#s)", "url(logo.svg)", "file:///etc/passwd"])
    return text[: found.start(2)] + value + text[found.end(2) :]


def _tag(text: str, rng: random.Random) -> str:
    """Call an element by another's name."""
    tags = list(TAGS.finditer(text))
    if not tags:
        return text
    one, other = rng.choice(tags), rng.choice(tags)
    return text[: one.start(2)] + other[2] + text[one.end(2) :]


def _element(text: str, rng: random.Random) -> str:
    """Put an element in somewhere between others."""
    places = [found.end() for found in re.finditer(r">\n", text)] or [0]
    place = rng.choice([0, *places])
    return text[:place] + rng.choice(ADDED) + text[place:]


def _line(text: str, rng: random.Random) -> str:
    return mutated(text, rng, list(SVGS)).decode("utf-8", "surrogateescape")


def _chunks(content: bytes) -> list[bytes]:
    """Return a PNG's signature and its chunks, each without its sum, which `_part` sets anew."""
    parts, at = [content[:8]], 8
    while at < len(content):
        end = at + 12 + int.from_bytes(content[at : at + 4], "big")
        parts.append(content[at:end])
        at = end
    return parts


def _segments(content: bytes) -> list[bytes]:
    """Return a JPEG's segments, roughly: from marker to marker."""
    starts = [found.start() for found in re.finditer(rb"\xff[\xc0-\xfe]", content)] + [len(content)]
    return [content[a:b] for a, b in pairwise(starts)]


def _part(parts: list[bytes], rng: random.Random) -> list[bytes]:
    """Leave a chunk or a segment out, repeat it, change it from within with its sum set right, or swap two."""
    parts = list(parts)
    at = rng.randrange(len(parts))
    match rng.randrange(4):
        case 0:
            del parts[at]
        case 1:
            parts.insert(rng.randrange(len(parts) + 1), parts[at])
        case 2:
            other = rng.randrange(len(parts))
            parts[at], parts[other] = parts[other], parts[at]
        case _ if len(parts[at]) > 12:
            one = bytearray(parts[at])
            place = rng.randrange(8, len(one) - 4)
            one[place] = rng.choice([0, 1, 2, 3, 8, 16, 127, 128, 255])
            if parts[0].startswith(b"\x89PNG"):
                one[-4:] = zlib.crc32(one[4:-4]).to_bytes(4, "big")
            parts[at] = bytes(one)
    return parts or [b""]
