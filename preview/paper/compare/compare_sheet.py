"""Variants side by side on one sheet: a column each, a row for each viewpoint, and the numbers that differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.floor.laid import LaidFloor
from preview.paper.typesetting import Pictures, typeset
from preview.paper.words.compare_rows import compared
from preview.paper.words.refit_words import headline
from preview.png import typeset_png
from preview.scene.job import Job
from preview.units import system

MARGIN, GUTTER = 70, 36  # pixels of a sheet
PAGE_MARGIN = 34  # points
FINEST = 300  # pixels an inch of paper; print shows no more (common practice, no published source)
WIDEST = 6000  # pixels; many variants share this width
NOTE = "Real wood varies from board to board, and screens and paper vary in colour: choose the wood from samples."

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class PictureRow:
    """A row of pictures (h, w, 3), one of each variant and all of one size, and what stands over it."""

    caption: str
    images: Sequence[Pixels]


@dataclass(frozen=True, eq=False)
class Comparison:
    """What is set side by side: floors, the base first, rows of pictures, what is said of each floor, and what the
    choice between them is."""

    floors: Sequence[LaidFloor]
    rows: Sequence[PictureRow]
    words: Sequence[Sequence[str]] = ()
    choice: Sequence[str] = ()

    @property
    def jobs(self) -> list[Job]:
        """Return the variants, the base first."""
        return [each.job for each in self.floors]


def compare_sheet(comparison: Comparison) -> bytes:
    """Return the comparison on one sheet, a PNG."""
    made = _typeset(comparison, 1.0, "png")
    variants = ", ".join(job.variant for job in comparison.jobs)
    return typeset_png(made, {"Title": comparison.jobs[0].title, "Description": f"Variants: {variants}"})


def compare_pdf(comparison: Comparison) -> bytes:
    """Return the comparison as a PDF of as many pages as it takes: Letter in feet and inches, A4 otherwise.

    The pages lie on their side where variants stand beside each other; none is cut through a picture, and each says
    which variant stands in which column.
    """
    short, long = (612.0, 792.0) if system(comparison.jobs[0].units) == "imperial" else (595.276, 841.89)
    wide, high = (long, short) if len(comparison.jobs) > 1 else (short, long)
    across = len(comparison.jobs) * (_cell(comparison) + GUTTER) - GUTTER
    return _typeset(comparison, (wide - 2 * PAGE_MARGIN) / across, "pdf", high)


def _typeset(comparison: Comparison, pixel: float, form: Literal["png", "pdf"], high: float = 0.0) -> bytes:
    """Return the comparison as it is set.

    Args:
        pixel: points that a pixel of the sheet takes.
        high: height of a page, points.
    """
    jobs, cell = comparison.jobs, _cell(comparison)
    pictures = Pictures(form)
    numbers = compared(comparison.floors)
    same = [f"{each.label.lower()} {each.values[0]}" for each in numbers if not each.differs]
    data = {
        "px": pixel,
        "paged": form == "pdf",
        "high": high,
        "margin": PAGE_MARGIN if form == "pdf" else MARGIN,
        "cell": cell,
        "gutter": GUTTER,
        "title": jobs[0].title,
        "description": "Variants: " + ", ".join(job.variant for job in jobs),
        "heads": [headline(each, comparison.floors[0]) for each in comparison.floors],
        "choice": " ".join(comparison.choice),
        "how": how_to_read(comparison),
        "words": comparison.words,
        "rows": [_row(each, cell, pixel, pictures) for each in comparison.rows],
        "numbers": [
            {
                "label": each.label,
                "values": each.values,
                "heavy": [n == 0 or value != each.values[0] for n, value in enumerate(each.values)],
            }
            for each in numbers
            if each.differs
        ],
        "same": "The same in all: " + "; ".join(same) + "." if same else "",
        "note": NOTE,
    }
    return typeset("compare.typ", data, pictures.assets, form)


def _row(row: PictureRow, cell: int, pixel: float, pictures: Pictures) -> dict[str, object]:
    """Return a row as the template takes it, its pictures as fine as the sheet or, on pages, as print shows."""
    down, across = row.images[0].shape[:2]
    height, images = round(cell * down / across), row.images
    wide = cell if pictures.form == "png" else min(across, max(cell, round(cell * pixel / 72 * FINEST)))
    if wide != across:
        size = (wide, round(wide * down / across))
        images = [np.asarray(Image.fromarray(each).resize(size, Image.Resampling.LANCZOS)) for each in images]
    return {"caption": row.caption, "pictures": [pictures.put(each) for each in images], "height": height}


def _cell(comparison: Comparison) -> int:
    """Return how wide a column is, pixels of the sheet."""
    columns = len(comparison.jobs)
    own = max((row.images[0].shape[1] for row in comparison.rows), default=1000)
    cell = int(min(own, 1000, (WIDEST - 2 * MARGIN - GUTTER * (columns - 1)) / columns))
    return max(cell, 560 if columns == 1 else 220)


def how_to_read(comparison: Comparison) -> str:
    """Say how to read the sheet."""
    same = (
        "the same camera and exposure, in the same light"
        if all(each.lit_by == comparison.jobs[0].lit_by for each in comparison.jobs)
        else "the same camera; where light or paint differ, each picture is exposed for its own"
    )
    notes = f"Each row is one viewpoint: {same}."
    if comparison.words:
        notes += " At a wall, boards are measured to their long points."
    return notes
