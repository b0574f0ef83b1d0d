"""Variants side by side on one sheet: a column each, a row for each viewpoint, and the numbers that differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from preview.floor.laid import LaidFloor
from preview.fonts import font, wrap
from preview.paper.words.compare_rows import Compared, compared
from preview.paper.words.refit_words import headline
from preview.png import encode_png
from preview.scene.job import Job

PAPER, INK, SOFT, RULE = "#fbfaf7", "#26231f", "#7d766c", "#d8d2c7"
MARGIN, GUTTER = 70, 36
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
    return _png(draw_sheet(comparison)[0], comparison.jobs)


def draw_sheet(comparison: Comparison) -> tuple[Image.Image, list[int], list[int], tuple[int, int]]:
    """Return the sheet, the heights at which it can be cut without cutting through anything, those between the lines of
    numbers at its foot, and the two between which the variants are named."""
    jobs, rows = comparison.jobs, comparison.rows
    columns = len(jobs)
    own = max((row.images[0].shape[1] for row in rows), default=1000)
    cell = int(min(own, 1000, (WIDEST - 2 * MARGIN - GUTTER * (columns - 1)) / columns))
    cell = max(cell, 560 if columns == 1 else 220)
    width = 2 * MARGIN + columns * cell + GUTTER * (columns - 1)
    lefts = [MARGIN + column * (cell + GUTTER) for column in range(columns)]
    numbers = compared(comparison.floors)
    heights = [round(cell * row.images[0].shape[0] / row.images[0].shape[1]) for row in rows]
    said = max((sum(map(len, each)) for each in comparison.words), default=0)
    spare = 1200 + 70 * len(rows) + 120 * len(numbers) + 50 * said
    page = Image.new("RGB", (width, spare + sum(heights)), PAPER)
    draw = ImageDraw.Draw(page)

    heads = [headline(each, comparison.floors[0]) for each in comparison.floors]
    names = _heading(
        draw, jobs[0].title, heads, (" ".join(comparison.choice), how_to_read(comparison)), lefts, cell, width
    )
    y = names[1]
    breaks = []
    if comparison.words:
        y = _words(draw, comparison.words, lefts, cell, y)
        breaks.append(y)
    for row, height in zip(rows, heights, strict=True):
        for line in wrap(row.caption, font(30, "It"), width - 2 * MARGIN, 2):
            draw.text((MARGIN, y), line, font=font(30, "It"), fill=SOFT)
            y += 40
        y += 6
        for left, image in zip(lefts, row.images, strict=True):
            reduced = Image.fromarray(image).resize((cell, height), Image.Resampling.LANCZOS)
            page.paste(reduced, (left, y))
        y += height + 30
        breaks.append(y)
    lines = _numbers(draw, numbers, lefts, cell, y + 6)
    y = _foot(draw, numbers, width, lines[-1])
    return page.crop((0, 0, width, y)), [*breaks, y], lines, names


def _words(draw: ImageDraw.ImageDraw, words: Sequence[Sequence[str]], lefts: list[int], cell: int, y: int) -> int:
    """Set the sentences about each variant in its column."""
    size = max(20, min(30, round(cell / 32)))
    lowest = y
    for left, sentences in zip(lefts, words, strict=True):
        at = y
        for sentence in sentences:
            for line in wrap(sentence, font(size), cell - 8, 4):
                draw.text((left, at), line, font=font(size), fill=INK)
                at += round(1.25 * size)
            at += round(0.25 * size)
        lowest = max(lowest, at)
    return lowest + 26


def how_to_read(comparison: Comparison) -> str:
    """Say how to read the sheet."""
    same = (
        "the same camera and exposure, in the same light"
        if len({(each.light.sky, each.light.sun) for each in comparison.jobs}) == 1
        else "the same camera and exposure"
    )
    notes = f"Each row is one viewpoint: {same}."
    if comparison.words:
        notes += " At a wall, boards are measured to their long points and triangles along a leg."
    return notes


def _heading(
    draw: ImageDraw.ImageDraw,
    title: str,
    heads: Sequence[str],
    notes: tuple[str, str],
    lefts: list[int],
    cell: int,
    width: int,
) -> tuple[int, int]:
    """Set the title, `notes` (the choice, how to read the sheet) and what the variants are headed by; return the
    heights between which that stands."""
    y = MARGIN - 14
    for line in wrap(title, font(60, "Semibold"), width - 2 * MARGIN, 2):
        draw.text((MARGIN, y), line, font=font(60, "Semibold"), fill=INK)
        y += 70
    choice, note = notes
    for line in wrap(choice, font(32), width - 2 * MARGIN, 12) if choice else []:
        draw.text((MARGIN, y + 6), line, font=font(32), fill=INK)
        y += 42
    for line in wrap(note, font(28), width - 2 * MARGIN, 3):
        draw.text((MARGIN, y + 8), line, font=font(28), fill=SOFT)
        y += 36
    y += 34
    faces = [_fitting(head, cell) for head in heads]
    names = [wrap(head, face, cell, 2) for head, face in zip(heads, faces, strict=True)]
    for left, lines, face in zip(lefts, names, faces, strict=True):
        draw.line((left, y, left + cell, y), fill=INK, width=3)
        for number, line in enumerate(lines):
            draw.text((left, y + 12 + 48 * number), line, font=face, fill=INK)
    return y - 2, y + 26 + 48 * max(map(len, names))


def _fitting(head: str, cell: int) -> ImageFont.FreeTypeFont:
    """Return the largest face in which a headline stands on one line; the largest of all where it does in none."""
    faces = [font(size, "Semibold") for size in (40, 36, 32, 28, 24, 20, 17)]
    return next((face for face in faces if face.getlength(head) <= cell), faces[0])


def _numbers(draw: ImageDraw.ImageDraw, numbers: list[Compared], lefts: list[int], cell: int, y: int) -> list[int]:
    """Set the numbers that differ under each column; what departs from the first column is set heavier.

    Return the height above the first of them, and under each.
    """
    found = [y]
    label_width = min(290, round(0.42 * cell))
    size = max(20, min(32, round(cell / 30)))
    for line in (each for each in numbers if each.differs):
        taken = 1
        for column, left in enumerate(lefts):
            weight = "Semibold" if line.values[column] != line.values[0] or column == 0 else "Regular"
            words = wrap(line.values[column], font(size, weight), cell - label_width - 8, 3)
            names = wrap(line.label, font(size), label_width - 10, 2)
            for number, text in enumerate(names):
                draw.text((left, y + 10 + number * (size + 6)), text, font=font(size), fill=SOFT)
            for number, text in enumerate(words):
                draw.text((left + label_width, y + 10 + number * (size + 6)), text, font=font(size, weight), fill=INK)
            taken = max(taken, len(words), len(names))
        y += taken * (size + 6) + 18
        for left in lefts:
            draw.line((left, y, left + cell, y), fill=RULE, width=1)
        found.append(y)
    return found


def _foot(draw: ImageDraw.ImageDraw, numbers: list[Compared], width: int, y: int) -> int:
    same = [f"{each.label.lower()} {each.values[0]}" for each in numbers if not each.differs]
    y += 30
    lines = wrap("The same in all: " + "; ".join(same) + ".", font(28), width - 2 * MARGIN, 6) if same else []
    for line in (*lines, *wrap(NOTE, font(28), width - 2 * MARGIN, 3)):
        draw.text((MARGIN, y), line, font=font(28), fill=SOFT)
        y += 38
    return y + MARGIN - 20


def _png(page: Image.Image, jobs: Sequence[Job]) -> bytes:
    variants = ", ".join(job.variant for job in jobs)
    return encode_png(page, {"Title": jobs[0].title, "Description": f"Variants: {variants}"})
