"""A comparison as pages: the sheet cut between its rows, and these put on few pages that are well filled."""

from __future__ import annotations

import io
from collections.abc import Sequence
from itertools import pairwise

from PIL import Image

from preview.paper.compare.compare_sheet import MARGIN, PAPER, Comparison, draw_sheet
from preview.units import system

REDUCED = (1.0, 1.02, 1.04, 1.06, 1.08, 1.1, 1.12)
"""By how much a page may be wider than the sheet, which is thereby set smaller between wider margins."""

MOST_AIR = 60
"""Pixels of what a page has to spare that are put between two rows."""

MUCH_EMPTY = 0.27
"""Rather one page more than a page that leaves more than this share of its height empty at one place."""

Span = tuple[int, int]
"""From and to which height of the sheet, pixels."""


def compare_pdf(comparison: Comparison) -> bytes:
    """Return the comparison as a PDF of as many pages as it takes: Letter in feet and inches, A4 otherwise.

    The pages lie on their side where variants stand beside each other; none is cut through a picture, and each says
    which variant stands in which column.
    """
    sheet, breaks, lines, (above, below) = draw_sheet(comparison)
    names = sheet.crop((0, above, sheet.width, below))
    head = MARGIN // 2 + names.height  # of every page but the first
    short, long = (8.5, 11.0) if system(comparison.jobs[0].units) == "imperial" else (210 / 25.4, 297 / 25.4)
    wide, high = (long, short) if len(comparison.jobs) > 1 else (short, long)
    *spans, numbers = pairwise([0, *breaks])
    space = round(sheet.width * high / wide) - head
    width, height, packed = _packed(spans, _divided(numbers, lines, space), head, sheet.width, high / wide)
    pages = []
    for number, own in enumerate(packed):
        page = Image.new("RGB", (width, height), PAPER)
        left, y = (width - sheet.width) // 2, 0
        if number:
            page.paste(names, (left, MARGIN // 2))
            y = head
        air = _air(height - y - _tall(own), len(own))
        for top, bottom in own:
            page.paste(sheet.crop((0, top, sheet.width, bottom)), (left, y))
            y += bottom - top + air
        pages.append(page)
    buffer = io.BytesIO()
    pages[0].save(
        buffer,
        "PDF",
        save_all=True,
        append_images=pages[1:],
        resolution=width / wide,
        quality=92,
        title=comparison.jobs[0].title,
        creationDate=None,
        modDate=None,
    )
    return buffer.getvalue()


def _divided(numbers: Span, lines: Sequence[int], space: int) -> list[Span]:
    """Return the numbers as one span where a page of `space` pixels takes it, else cut between its lines."""
    top, bottom = numbers
    if bottom - top <= space:
        return [numbers]
    cuts = [top]
    for line in lines[1:-1]:
        if line - cuts[-1] >= space / 4 and bottom - line >= space / 4:
            cuts.append(line)
    return list(pairwise([*cuts, bottom]))


def _packed(
    rows: Sequence[Span], numbers: Sequence[Span], head: int, width: int, shape: float
) -> tuple[int, int, list[list[Span]]]:
    """Return width and height of the pages in pixels and the spans on each: the fewest pages, the least left empty.

    The numbers, which stand last on the sheet, may also come at the foot of the first page where they are one span.
    `shape` is a page's height by its width. A span taller than a page makes all pages taller.
    """
    spans = [*rows, *numbers]
    least = max([spans[0][1] - spans[0][0], *(bottom - top + head for top, bottom in spans[1:])])
    tried: list[tuple[tuple[bool, int, float, float], int, Span, list[list[Span]]]] = []
    for share in REDUCED:
        across = round(width * share)
        size = across, max(round(across * shape), least)
        orders = [spans]
        if len(numbers) == 1:
            orders += [[*spans[:at], spans[-1], *spans[at:-1]] for at in (1, 2) if at < len(spans) - 1]
        for order in orders:
            pages = _filled(order, head, size[1])
            empty = [size[1] - head * bool(number) - _tall(own) for number, own in enumerate(pages[:-1])]
            worst = max(empty, default=0) / size[1]
            gaps = [each - _air(each, len(own)) * (len(own) - 1) for each, own in zip(empty, pages, strict=False)]
            tried.append(
                (
                    (max(gaps, default=0) > MUCH_EMPTY * size[1], len(pages), round(worst, 1), share),
                    len(tried),
                    size,
                    pages,
                )
            )
    _, _, size, pages = min(tried)
    return *size, pages


def _filled(spans: Sequence[Span], head: int, height: int) -> list[list[Span]]:
    """Return spans page by page, each page taking what it has room for."""
    pages: list[list[Span]] = [[]]
    for span in spans:
        room = height - head * (len(pages) > 1)
        if pages[-1] and _tall([*pages[-1], span]) > room:
            pages.append([])
        pages[-1].append(span)
    return pages


def _air(spare: int, count: int) -> int:
    """Return what a page with `spare` pixels puts after each of its `count` spans."""
    return min(MOST_AIR, spare // count)


def _tall(spans: Sequence[Span]) -> int:
    return sum(bottom - top for top, bottom in spans)
