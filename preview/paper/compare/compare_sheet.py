"""The sheet that variants are chosen by: its pages as a PDF, or one under the other as a PNG."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from PIL import Image

from preview.floor.laid import LaidFloor
from preview.paper.compare.compare_pages import ImageItem, LineItem, Page, Pixels, TextItem, compare_pages
from preview.paper.compare.sheet_text import LEADING
from preview.paper.compare.view_marks import POINT, ViewMarks, marks_svg
from preview.paper.typesetting import Pictures, typeset_pages
from preview.picture.picture import Picture
from preview.png import encode_png

FINEST = 300  # pixels an inch of paper; print shows no more (common practice, no published source)
SHOWN = 200.0  # pixels an inch of a PNG: a page fills a wide screen
LINED = 400.0  # points: a picture with its lines has letters of the size they have on a page where it is this wide
STYLES = {"Regular": (400, "normal"), "Semibold": (600, "normal"), "It": (400, "italic")}


@dataclass(frozen=True, eq=False)
class Comparison:
    """What is set side by side: floors, the base first, and for each viewpoint a picture of each floor; the first
    viewpoint is the one that is chosen by."""

    floors: Sequence[LaidFloor]
    views: Sequence[Sequence[Picture]]

    @property
    def words(self) -> tuple[str, str]:
        """Return the title and what is shown."""
        jobs = [each.job for each in self.floors]
        return jobs[0].title, "Variants: " + ", ".join(job.variant for job in jobs)


def compare_sheet(comparison: Comparison) -> bytes:
    """Return the pages of the comparison one under the other, a PNG."""
    made = _typeset(compare_pages(comparison.floors, comparison.views), comparison.words, "png", SHOWN)
    pages = [Image.open(io.BytesIO(each)).convert("RGB") for each in made]
    sheet = Image.new("RGB", (max(each.width for each in pages), sum(each.height for each in pages)), "white")
    top = 0
    for each in pages:
        sheet.paste(each, (0, top))
        top += each.height
    title, description = comparison.words
    return encode_png(sheet, {"Title": title, "Description": description}, effort=3)


def compare_pdf(comparison: Comparison) -> bytes:
    """Return the comparison as a PDF, its pages on their side: Letter for feet and inches, A4 otherwise."""
    return _typeset(compare_pages(comparison.floors, comparison.views), comparison.words, "pdf", FINEST)[0]


def lined_picture(picture: Picture, marks: ViewMarks) -> Pixels:
    """Return a picture (h, w, 3) with its lines, as large as the picture."""
    width, height = picture.camera.size
    wide, high = LINED, LINED * height / width
    drawing = marks_svg(marks, picture.rgb, wide * POINT, high * POINT)
    items = [ImageItem(0, 0, wide, high, each, picture.camera.name) for each in (picture.rgb, drawing)]
    page = Page(wide, high, list(items))
    made = _typeset([page], (picture.title, picture.variant), "png", 72 * width / wide)
    return np.asarray(Image.open(io.BytesIO(made[0])).convert("RGB").resize((width, height)))


def _typeset(pages: Sequence[Page], words: tuple[str, str], form: Literal["png", "pdf"], finest: float) -> list[bytes]:
    """Return pages as they are set, their pictures and a PNG with `finest` pixels an inch; `words` are the document's
    title and what it shows."""
    pictures = _SheetPictures(form, finest)
    data = {
        "title": words[0],
        "description": words[1],
        "pages": [
            {"width": page.width, "height": page.height, "items": [_item(each, pictures) for each in page.items]}
            for page in pages
        ],
    }
    return typeset_pages("compare.typ", data, pictures.assets, form, finest)


class _SheetPictures:
    """The pictures and drawings of the pages, each picture once for every size at which it is shown."""

    def __init__(self, form: Literal["png", "pdf"], finest: float) -> None:
        self._pictures = Pictures(form)
        self._finest = finest
        self._known: dict[tuple[int, int], dict[str, object]] = {}

    @property
    def assets(self) -> dict[str, bytes]:
        return self._pictures.assets

    def put(self, image: Pixels | bytes, width: float) -> dict[str, object]:
        """Return a picture or drawing that is shown `width` points wide, as the template takes it."""
        if isinstance(image, bytes):
            name = f"drawing-{len(self.assets)}.svg"
            self.assets[name] = image
            return {"file": name}
        across = min(image.shape[1], round(width / 72 * self._finest))
        key = (id(image), across)
        if key not in self._known:
            self._known[key] = self._pictures.put(_shrunk(image, across))
        return self._known[key]


def _shrunk(image: Pixels, across: int) -> Pixels:
    if across >= image.shape[1]:
        return image
    size = (across, max(1, round(across * image.shape[0] / image.shape[1])))
    return np.asarray(Image.fromarray(image).resize(size, Image.Resampling.LANCZOS))


def _item(item: TextItem | ImageItem | LineItem, pictures: _SheetPictures) -> dict[str, object]:
    """Return what stands on a page as the template takes it."""
    if isinstance(item, TextItem):
        block = item.block
        weight, style = STYLES[block.weight]
        return {
            "kind": "text",
            "x": item.x,
            "y": item.y + block.size * (1 + LEADING) / 2 - 0.12 * block.size,
            "lines": block.lines,
            "size": block.size,
            "weight": weight,
            "style": style,
            "fill": block.fill,
            "leading": block.size * LEADING,
            "level": item.level,
        }
    if isinstance(item, LineItem):
        dash = None if item.dash is None else {"on": item.dash[0], "off": item.dash[1] - item.dash[0]}
        return {**vars(item), "kind": "line", "dash": dash}
    shown = {"x": item.x, "y": item.y, "width": item.width, "height": item.height, "alt": item.alt}
    return {"kind": "image", **shown, "picture": pictures.put(item.image, item.width)}
