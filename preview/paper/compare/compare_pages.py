"""What stands where on the pages that variants are chosen by: texts, pictures, lines; points from the top left."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from preview.floor.laid import LaidFloor
from preview.fonts import extent
from preview.paper.compare.choice_plan import choice_plan
from preview.paper.compare.sheet_text import TextBlock, text_block
from preview.paper.compare.trade_off import Aspect, choice_text, few_numbers, trade_offs, unnamed
from preview.paper.compare.view_marks import (
    DASHES,
    INKS,
    POINT,
    RIM,
    MarkKind,
    ViewMarks,
    cropped,
    line_names,
    marks_svg,
    sight_opening,
    view_marks,
)
from preview.paper.words.compare_rows import Compared
from preview.picture.picture import Picture
from preview.room.places import by_compass
from preview.room.room import Room
from preview.scene.job import Unit
from preview.units import system

Pixels = NDArray[np.uint8]

LETTER, A4 = (792.0, 612.0), (841.89, 595.276)
"""Pages on their side, points: ANSI/ASME Y14.1 A and ISO 216 A4."""

ACROSS = 3
"""Variants on a page, the base among them; more make pictures too small to choose by."""

MARGIN, GUTTER, GAP = 30.0, 20.0, 7.0
CLOSE = 0.42  # of a picture's width, shown as wide as the whole of it
MOST_CUT = 0.14  # of a picture's height, wall and ceiling above what is chosen
NOTE = "Real wood varies from board to board, and screens and paper vary in colour: choose the wood from samples."
WALL = re.compile(r"\b[Ww]all \d+|\b[Ww]alls \d+(?:, \d+)*(?: and \d+)?")
SAME_CAMERA = "Pictures that stand side by side have the same camera"


@dataclass(frozen=True)
class TextItem:
    """A text on a page: `x`, and `y` of its top; `level` of a heading, 0 for none."""

    x: float
    y: float
    block: TextBlock
    level: int = 0


@dataclass(frozen=True, eq=False)
class ImageItem:
    """A picture (h, w, 3) or a drawing (SVG) on a page, and what it shows in words."""

    x: float
    y: float
    width: float
    height: float
    image: Pixels | bytes
    alt: str


@dataclass(frozen=True)
class LineItem:
    """A line on a page; `dash` how long a dash is and how far on the next begins, points, None for no dashes."""

    x: float
    y: float
    length: float
    width: float
    fill: str
    dash: tuple[float, float] | None = None


@dataclass
class Page:
    """A page with what stands on it."""

    width: float
    height: float
    items: list[TextItem | ImageItem | LineItem] = field(default_factory=list)

    def text(self, x: float, y: float, block: TextBlock, level: int = 0) -> float:
        """Put a text on the page and return where it ends."""
        if block.lines:
            self.items.append(TextItem(x, y, block, level))
        return y + block.height


def page_size(units: Unit) -> tuple[float, float]:
    """Return a page's width and height: Letter for feet and inches, else A4."""
    return LETTER if system(units) == "imperial" else A4


def compare_pages(
    floors: Sequence[LaidFloor], views: Sequence[Sequence[Picture]], size: tuple[float, float] | None = None
) -> list[Page]:
    """Return the pages for floors of one scene, the base first.

    Args:
        floors: at least one.
        views: for each viewpoint a picture of each floor; the first viewpoint is the one that is chosen by, each
            further one is shown on pages that follow.
        size: of a page, points; by default that of the scene's units.
    """
    size = size or page_size(floors[0].job.units)
    pages = []
    for group in grouped(len(floors)):
        chosen = [floors[n] for n in group]
        rows = [[row[n] for n in group] for row in views]
        pages.append(_choice_page(chosen, rows[0] if rows else None, size))
        pages += _more_pages(chosen, rows[1:], size)
    return pages


def grouped(count: int) -> list[list[int]]:
    """Return which floors stand on which page: the base on every one, so that each page can be read by itself."""
    others = list(range(1, count))
    pages = max(1, -(-len(others) // (ACROSS - 1)))
    most = -(-len(others) // pages) if others else 0
    return [[0, *others[start : start + most]] for start in range(0, len(others), most)] if others else [[0]]


def _choice_page(floors: Sequence[LaidFloor], pictures: Sequence[Picture] | None, size: tuple[float, float]) -> Page:
    aspects = trade_offs(floors)
    numbers = few_numbers(floors, aspects)
    page = Page(*size)
    told = [*(said for each in aspects for said in each.said)]
    told += [words for row in numbers for words in (row.label, *row.values)]
    plans = _Plans(sight_opening(floors), _named_walls(floors[0].room, told))
    top = _heading(page, floors, choice_text(floors, aspects))
    top = _names(page, floors, top, aspects)
    foot = text_block(f"{same_words(floors)}. {NOTE}", 7.5, size[0] - 2 * MARGIN, fill="soft")
    bottom = size[1] - MARGIN + 2 - foot.height
    marks = [] if pictures is None else _marks(floors, pictures, plans.opening)
    if pictures is None:
        bottom = _plans_and_numbers(page, floors, numbers, plans, top, bottom)
    elif not marks:
        differ = any(each.layout.facts.name != floors[0].layout.facts.name for each in floors)
        bottom = _by_looks(page, floors, pictures, numbers, plans if differ else None, top, bottom)
    else:
        top = _legend(page, floors, marks, plans.opening, top)
        bottom = _by_lines(page, floors, pictures, marks, numbers, plans, top, bottom)
    page.height = max(page.height, bottom + foot.height + MARGIN - 6)
    page.text(MARGIN, page.height - MARGIN + 6 - foot.height, foot)
    return page


@dataclass(frozen=True)
class _Plans:
    """What the plans of a page show besides the floors: the sight line of the way in called `opening`, and the numbers
    of `walls`."""

    opening: str
    walls: frozenset[int]

    def put(self, page: Page, floor: LaidFloor, x: float, y: float, width: float, height: float) -> None:
        """Put the plan of a floor on a page."""
        drawing = choice_plan(floor, width * POINT, height * POINT, self.opening, self.walls)
        page.items.append(ImageItem(x, y, width, height, drawing, f"{floor.job.variant}, plan"))


def _named_walls(room: Room, told: Sequence[str]) -> frozenset[int]:
    """Return the walls that words name by their numbers alone, not by the compass too."""
    if by_compass(room):
        return frozenset()
    found = {int(each) for words in told for named in WALL.findall(words) for each in re.findall(r"\d+", named)}
    return frozenset(each for each in found if 1 <= each <= len(room.corners))


def _column(page: Page, count: int) -> float:
    return (page.width - 2 * MARGIN - (count - 1) * GUTTER) / count


def _left(page: Page, count: int, number: int) -> float:
    return MARGIN + number * (_column(page, count) + GUTTER)


def _heading(page: Page, floors: Sequence[LaidFloor], choice: str) -> float:
    wide = page.width - 2 * MARGIN
    y = page.text(MARGIN, MARGIN - 6, text_block(floors[0].job.title, 21, wide, "Semibold"), 1)
    return page.text(MARGIN, y + 1, text_block(choice, 11, wide)) + 9


def _names(page: Page, floors: Sequence[LaidFloor], top: float, aspects: Sequence[Aspect] = ()) -> float:
    """Put the name of each variant over its column, and under it one large sentence: what it shares with the base in
    grey, so that the eye goes to what differs."""
    count, wide = len(floors), _column(page, len(floors))
    large = 13 if count < ACROSS else 11.5
    names = [text_block(each.job.variant, large + 2.5, wide, "Semibold") for each in floors]
    under = top + 4 + max(each.height for each in names) + 1
    ends = [under]
    for number, name in enumerate(names):
        x, y = _left(page, count, number), under
        page.items.append(LineItem(x, top, wide, 1.2, "ink"))
        page.text(x, top + 4, name, 2)
        for each in aspects:
            new = number == 0 or each.said[number] != each.said[0]
            words = unnamed(each.said[number], floors[number].job.variant, len(aspects) == 1)
            y = page.text(
                x, y, text_block(words, large, wide, "Semibold" if new else "Regular", "chalk" if new else "soft")
            )
        ends.append(y)
    return max(ends) + 5


def same_words(floors: Sequence[LaidFloor]) -> str:
    """Say what pictures side by side have in common; what they haven't is not told away."""
    if all(each.job.lit_by == floors[0].job.lit_by for each in floors):
        if all(each.job.woods == floors[0].job.woods for each in floors):
            return f"{SAME_CAMERA} and exposure, in the same light"
        return f"{SAME_CAMERA}, light and exposure, which is lowered where a pale floor would be bleached"
    return f"{SAME_CAMERA}; where light or paint differ, each is exposed for its own"


def _marks(floors: Sequence[LaidFloor], pictures: Sequence[Picture], opening: str) -> list[ViewMarks]:
    """Return the lines of each picture; nothing where all lie alike, and the choice is by looks alone."""
    base = floors[0].layout
    drawn = [
        view_marks(picture, floor, opening, None if floor.layout is base else base)
        for picture, floor in zip(pictures, floors, strict=True)
    ]
    ends = np.array([each.layout.center_line for each in floors])
    moved = bool(np.abs(ends - ends[0]).max() > 1e-3)
    decides = moved or any("seam" in each.kinds for each in drawn) or len(floors) == 1
    return drawn if decides and any(each.marks for each in drawn) else []


def _legend(page: Page, floors: Sequence[LaidFloor], marks: Sequence[ViewMarks], opening: str, top: float) -> float:
    """Tell what the lines over the pictures are, once for all of them."""
    words: dict[MarkKind, str] = {
        **line_names(opening),
        "seam": f"where courses meet in \u201c{floors[0].job.variant}\u201d",
    }
    x, size = MARGIN, 8.5
    for kind in words:
        if not any(kind in each.kinds for each in marks):
            continue
        block = text_block(words[kind], size, 0.4 * page.width, most=1)
        y = top + 0.55 * size
        ink, rim, wide = INKS[kind]
        length, pitch = DASHES[kind]
        dash = (50 * length, 50 * pitch) if pitch > length else None
        page.items.append(LineItem(x, y, 24.0, wide + RIM, rim, dash))
        page.items.append(LineItem(x, y, 24.0, wide, ink, dash))
        page.text(x + 29, top, block)
        x += 29 + _block_width(block) + 18
    return top + size * 1.2 + 4


def _block_width(block: TextBlock) -> float:
    return max(extent(line, block.weight)[0] for line in block.lines) * block.size


def _by_lines(
    page: Page,
    floors: Sequence[LaidFloor],
    pictures: Sequence[Picture],
    marks: Sequence[ViewMarks],
    numbers: Sequence[Compared],
    plans: _Plans,
    top: float,
    bottom: float,
) -> float:
    """Put the view with its lines on the page, then the same clean, the plan and the numbers: in a wide column the
    clean view beside the plan and the numbers under them, in a narrow one each under the other."""
    count, wide = len(floors), _column(page, len(floors))
    ratio = pictures[0].camera.size[0] / pictures[0].camera.size[1]
    narrow = count >= ACROSS
    table = _numbers_height(page, numbers, wide) if not narrow else 0.0
    space = bottom - top - table - 2 * GAP
    if narrow:
        beside = 0.5 * wide
        last = max(0.33 * space, _stack_height(numbers, wide - beside - GAP))
        high = max(min(wide / ratio, (space - last) / 2), 60.0)
    else:
        last = max(0.33 * space, space - wide / ratio, 70.0)
        last = min(last, 0.48 * space)
        high = max(min(wide / ratio, space - last), 80.0)
        last = max(last, space - high)
    end = top
    cut = _cut(pictures[0], wide, high)
    ratio = pictures[0].camera.size[0] / (pictures[0].camera.size[1] - cut)
    for number, (floor, picture, whole) in enumerate(zip(floors, pictures, marks, strict=True)):
        x, name, rgb, own = _left(page, count, number), floor.job.variant, picture.rgb[cut:], cropped(whole, cut)
        view = min(wide, high * ratio)
        alt = f"{name}, {picture.camera.name}"
        page.items.append(ImageItem(x, top, view, high, rgb, f"{alt}, with its lines"))
        page.items.append(
            ImageItem(x, top, view, high, marks_svg(own, rgb, view * POINT, high * POINT), "lines on the floor")
        )
        y = top + high + GAP
        if narrow:
            page.items.append(ImageItem(x, y, view, high, rgb, alt))
            y += high + GAP
            plans.put(page, floor, x, y, beside, last)
            end = max(end, y + last, _stack(page, numbers, number, x + beside + GAP, y, wide - beside - GAP))
        else:
            small = min(0.56 * wide, last * ratio)
            page.items.append(ImageItem(x, y, small, small / ratio, rgb, alt))
            plans.put(page, floor, x + small + GAP, y, wide - small - GAP, last)
            end = max(end, y + last)
    return end if narrow else _table(page, numbers, count, end + GAP)


def _cut(picture: Picture, wide: float, high: float) -> int:
    """Return how many rows of pixels are cut off a picture above, so that it fills its column; never much of it."""
    across, down = picture.camera.size
    return int(np.clip(down - across * high / wide, 0, MOST_CUT * down))


def _by_looks(
    page: Page,
    floors: Sequence[LaidFloor],
    pictures: Sequence[Picture],
    numbers: Sequence[Compared],
    plans: _Plans | None,
    top: float,
    bottom: float,
) -> float:
    """Put the clean view on the page, as large as it goes, and under it the plan with the numbers; where plans are all
    alike, the floor close up."""
    count, wide = len(floors), _column(page, len(floors))
    across, down = pictures[0].camera.size
    table = _numbers_height(page, numbers, wide) if plans is None or count >= ACROSS else 0.0
    high = max(min(wide * down / across, 0.56 * (bottom - top - table)), 80.0)
    cut = _cut(pictures[0], wide, high)
    for number, (floor, picture) in enumerate(zip(floors, pictures, strict=True)):
        view = min(wide, high * across / (down - cut))
        alt = f"{floor.job.variant}, {picture.camera.name}"
        page.items.append(ImageItem(_left(page, count, number), top, view, high, picture.rgb[cut:], alt))
    top += high + GAP
    tall = max(bottom - top - table, 60.0)
    if plans is not None and count < ACROSS:
        return _plans_and_numbers(page, floors, numbers, plans, top, bottom)
    for number, (floor, picture) in enumerate(zip(floors, pictures, strict=True)):
        x = _left(page, count, number)
        if plans is not None:
            plans.put(page, floor, x, top, wide, tall)
        else:
            shown = min(tall, wide * down / across)
            near = _close_up(picture.rgb, wide / shown)
            page.items.append(ImageItem(x, top, wide, shown, near, f"{floor.job.variant}, close up"))
    return _table(page, numbers, count, top + tall + GAP) if numbers else top + tall


def _close_up(rgb: Pixels, ratio: float) -> Pixels:
    """Return the middle of the floor before one's feet, cut from a picture (h, w, 3) at `ratio` of width to height."""
    down, across = rgb.shape[:2]
    wide = max(1, round(CLOSE * across))
    high = min(max(1, round(wide / ratio)), down)
    left = (across - wide) // 2
    return rgb[down - high :, left : left + wide]


def _plans_and_numbers(
    page: Page, floors: Sequence[LaidFloor], numbers: Sequence[Compared], plans: _Plans, top: float, bottom: float
) -> float:
    """Put the plans on the page, and the numbers beside them."""
    count, wide = len(floors), _column(page, len(floors))
    beside = 0.6 * wide if numbers else wide
    rest = wide - beside - GAP
    high = max(bottom - top, 80.0)
    end = top + high
    for number, floor in enumerate(floors):
        x = _left(page, count, number)
        plans.put(page, floor, x, top, beside, high)
        if numbers:
            end = max(end, _stack(page, numbers, number, x + beside + GAP, top, rest))
    return end


def _cells(numbers: Sequence[Compared], number: int, wide: float) -> list[tuple[TextBlock, TextBlock]]:
    """Return label and value of each number that differs, one over the other."""
    return [
        (
            text_block(each.label, 7.5, wide, fill="soft"),
            text_block(
                each.values[number],
                8.5,
                wide,
                "Semibold" if number == 0 or each.values[number] != each.values[0] else "Regular",
            ),
        )
        for each in numbers
    ]


def _stack_height(numbers: Sequence[Compared], wide: float) -> float:
    heights = [
        sum(label.height + value.height + 3 for label, value in _cells(numbers, number, wide))
        for number in range(len(numbers[0].values) if numbers else 0)
    ]
    return max(heights, default=0.0)


def _stack(page: Page, numbers: Sequence[Compared], number: int, x: float, y: float, wide: float) -> float:
    for label, value in _cells(numbers, number, wide):
        y = page.text(x, y, label)
        y = page.text(x, y, value) + 3
    return y


def _rows(numbers: Sequence[Compared], wide: float) -> list[tuple[TextBlock, list[TextBlock], float]]:
    """Return each number as a row of a wide column: its label, its values, and how high it is."""
    first = _first(wide)
    found = []
    for each in numbers:
        label = text_block(each.label, 8.5, first - 6, fill="soft")
        values = [
            text_block(value, 9, wide - first, "Semibold" if n == 0 or value != each.values[0] else "Regular")
            for n, value in enumerate(each.values)
        ]
        found.append((label, values, max(label.height, *(value.height for value in values)) + 4))
    return found


def _first(wide: float) -> float:
    """Return how wide the labels of a column are."""
    return (0.27 if wide > 300 else 0.36) * wide


def _numbers_height(page: Page, numbers: Sequence[Compared], wide: float) -> float:
    return sum(row[2] for row in _rows(numbers, wide)) + (GAP if numbers else 0.0)


def _table(page: Page, numbers: Sequence[Compared], count: int, y: float) -> float:
    """Put the numbers under their columns, between hairlines."""
    wide = _column(page, count)
    for label, values, high in _rows(numbers, wide):
        for number, value in enumerate(values):
            x = _left(page, count, number)
            page.items.append(LineItem(x, y, wide, 0.4, "rule"))
            page.text(x, y + 2, label)
            page.text(x + _first(wide), y + 2, value)
        y += high
    return y


def _more_pages(
    floors: Sequence[LaidFloor], rows: Sequence[Sequence[Picture]], size: tuple[float, float]
) -> list[Page]:
    """Return pages with the other viewpoints, clean, as many on each as it has room for."""
    pages: list[Page] = []
    top = bottom = 0.0
    for row in rows:
        count = len(floors)
        if not pages or top > bottom:
            pages.append(Page(*size))
            top = _names(pages[-1], floors, MARGIN)
            bottom = size[1] - MARGIN
        page = pages[-1]
        wide = _column(page, count)
        ratio = row[0].camera.size[0] / row[0].camera.size[1]
        caption = text_block(row[0].camera.name, 8.5, page.width - 2 * MARGIN, "It", "soft", most=1)
        high = min(wide / ratio, size[1] - MARGIN - caption.height - _names(Page(*size), floors, MARGIN))
        if top + caption.height + high > bottom and top > MARGIN + 60:
            pages.append(Page(*size))
            page = pages[-1]
            top = _names(page, floors, MARGIN)
        page.text(MARGIN, top, caption)
        for number, (floor, picture) in enumerate(zip(floors, row, strict=True)):
            x, view = _left(page, count, number), high * ratio
            alt = f"{floor.job.variant}, {picture.camera.name}"
            page.items.append(ImageItem(x, top + caption.height, view, high, picture.rgb, alt))
        top += caption.height + high + GAP
    return pages
