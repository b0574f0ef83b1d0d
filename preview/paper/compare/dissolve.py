"""One picture melting into another and back: the same viewpoint, two variants."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.fonts import font, shortened

Pixels = NDArray[np.uint8]

FORMATS = {".apng": "PNG", ".gif": "GIF", ".webp": "WEBP"}
HOLD, STEP, STEPS = 1600, 70, 12  # milliseconds a variant stands; milliseconds and number of the steps between
WIDEST = 1200  # pixels; wider pictures are brought down, so that the file can be mailed


def dissolve(pictures: tuple[Pixels, Pixels], names: tuple[str, str], suffix: str) -> bytes:
    """Return an animation that never ends, as a file of the kind that `suffix` (.apng, .gif or .webp) names.

    pictures: both (h, w, 3), of one size; names: what is written on them.
    """
    first, second = (_sized(picture) for picture in pictures)
    shares = [(1 - np.cos(np.pi * step / STEPS)) / 2 for step in range(1, STEPS)]
    forth = [Image.blend(first, second, share) for share in shares]
    frames = [_named(first, names[0])]
    frames += [_named(each, names[int(share > 0.5)]) for each, share in zip(forth, shares, strict=True)]
    frames += [_named(second, names[1])]
    back = zip(reversed(forth), reversed(shares), strict=True)
    frames += [_named(each, names[int(share > 0.5)]) for each, share in back]
    times = [HOLD, *[STEP] * len(forth), HOLD, *[STEP] * len(forth)]
    kind = FORMATS[suffix]
    options: dict[str, Any] = {"save_all": True, "duration": times, "loop": 0}
    if kind == "GIF":
        both = Image.new("RGB", (first.width, 2 * first.height))
        both.paste(frames[0], (0, 0))
        both.paste(frames[STEPS], (0, first.height))
        colours = both.quantize(256, Image.Quantize.MEDIANCUT)
        frames = [each.quantize(palette=colours, dither=Image.Dither.FLOYDSTEINBERG) for each in frames]
        options["optimize"] = False
    if kind == "WEBP":
        options |= {"quality": 88, "method": 4}
    buffer = io.BytesIO()
    frames[0].save(buffer, kind, append_images=frames[1:], **options)
    return buffer.getvalue()


def _sized(picture: Pixels) -> Image.Image:
    image = Image.fromarray(picture).convert("RGB")
    if image.width <= WIDEST:
        return image
    return image.resize((WIDEST, round(image.height * WIDEST / image.width)), Image.Resampling.LANCZOS)


def _named(image: Image.Image, name: str) -> Image.Image:
    """Write the variant's name on a plate at the lower left."""
    framed = image.copy()
    size = max(12, round(image.height / 22))
    face = font(size, "Semibold")
    words = shortened(name, face, image.width - 3 * size)
    pen = ImageDraw.Draw(framed)
    reach = face.getlength(words)
    top = image.height - 2.3 * size
    pen.rectangle((0.6 * size, top, 1.6 * size + reach, image.height - 0.6 * size), fill="#fbfaf7")
    pen.text((1.1 * size, top + 0.85 * size), words, font=face, fill="#26231f", anchor="lm")
    return framed
