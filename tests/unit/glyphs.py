"""Every letter of a PDF's page as it is drawn, read back by another library than the one that set it."""

from __future__ import annotations

import numpy as np
import pypdfium2 as pdfium
import shapely

TALL = {
    **dict.fromkeys("ABDEFHIKLMNPRTUXZ", 0.66),
    **dict.fromkeys("0123456789", 0.65),
    **dict.fromkeys("bdhkl", 0.712),
}
"""How tall letters are in Source Sans Pro, ems (measured in the typeface)."""


def glyphs(page: pdfium.PdfPage) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Each letter but blanks, with left, bottom, right and top of what is inked, points."""
    text = page.get_textpage()
    found = []
    for number in range(text.count_chars()):
        letter = text.get_text_range(number, 1)
        box = text.get_charbox(number)
        ligature = found and found[-1][1] == box
        if letter.strip() and letter not in "\u200b\u00ad\ufffe" and not ligature:
            found.append((letter, box))
    return found


def overlapping(page: pdfium.PdfPage) -> list[tuple[str, str]]:
    """Pairs of letters of which one stands on more than a quarter of another. The boxes of letters that follow one
    another overlap where the text is turned, so two labels are told by their other letters."""
    letters = glyphs(page)
    boxes = shapely.box(*np.array([box for _, box in letters]).reshape(-1, 4).T)
    tree = shapely.STRtree(boxes)
    first, second = tree.query(boxes)
    pairs = first + 2 < second
    first, second = first[pairs], second[pairs]
    shared = shapely.area(shapely.intersection(boxes[first], boxes[second]))
    least = np.minimum(shapely.area(boxes[first]), shapely.area(boxes[second]))
    bad = shared > 0.25 * np.maximum(least, 1e-9)
    return [(letters[a][0], letters[b][0]) for a, b in zip(first[bad], second[bad], strict=True)]


def smallest_size(page: pdfium.PdfPage) -> float:
    """The size of the smallest letters, points, from how tall capitals, figures and ascenders are drawn; of text that
    is turned, from how wide they are."""
    sizes = []
    for letter, (left, bottom, right, top) in glyphs(page):
        if letter in TALL:
            sizes.append(max(top - bottom, right - left) / TALL[letter])
    return min(sizes)


def outside(page: pdfium.PdfPage) -> list[str]:
    """Letters that are not wholly on the page."""
    width, height = page.get_size()
    return [letter for letter, (x0, y0, x1, y1) in glyphs(page) if x0 < 0 or y0 < 0 or x1 > width or y1 > height]
