"""The pile of boards that a floor is laid from, and the texture pages it lies on.

A big floor has far more boards than need drawing. Each class of pieces (field, border, threshold, grille, feature
strip; wider ones apart) has a stock of strips, each sawn from a log of its own and somewhat longer and wider than any
piece; a piece is a window in one of them, turned end for end or over, with a tone of its own. Strip, place, turn and
tone come from a hash of the seed and of what the piece keeps when the floor is shifted (`Pieces.key`), never from its
place in an array.

Drawn strips are cached (see preview.cache), `BLOCK` of them an entry: whatever is laid of a wood at
one density takes them from there, and which strips of a block it needs makes no difference to the key.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.cache import Arrays, cache_folder, cached, content_key
from preview.wood.strip import LEVEL_FIBRE, Timber, draw, end_width

Bytes = NDArray[np.uint8]

MAX_PAGE = 8192  # pixels a side that every OpenGL driver met so far takes
GUTTER = 8  # pixels of a strip's own edge around it, so that a page may shrink eightfold before neighbours mix
BUDGET = 160_000_000  # bytes of all pages together
PIXEL = 4.75  # bytes: four of the page, and three of the grain's for every four pixels
BLOCK = 8  # strips an entry of the cache
COARSEST = 100  # pixels a metre that are drawn even where nobody looks, so that boards have their own mean colour
END_DEPTH = 0.02  # metres of a board's end that are drawn
# fmt: off
DENSITIES = (
    2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200, 160, 125, 100, 80, 64, 50, 40, 32, 25, 20, 16, 10,
)  # pixels a metre; few, so that another viewpoint finds the strips of an earlier one
# fmt: on
SLACK = 0.006  # metres a strip is wider than its pieces
LENGTHS = 0.05  # strips come in steps of this length, metres


@dataclass(frozen=True)
class Rack:
    """Strips of one class: `code` tells classes apart in the seed, `size` (length, width) metres, `timber` what
    they are sawn from, and `items` the numbers of the strips in use, ascending."""

    code: int
    size: tuple[float, float]
    timber: Timber
    items: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class StripPlaces:
    """Where the strips of a rack lie: `page` (k,), `corner` (k, 2) pixels (column, row) of the strip proper, `end` (k,)
    the column where its end begins, `mean` (k, 3) linear RGB; in the order of `Rack.items`."""

    page: NDArray[np.int32]
    corner: NDArray[np.int32]
    end: NDArray[np.int32]
    mean: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Pages:
    """The drawn pages: `albedo` (h, w, 4) uint8 each, and of the same wood at half the density `grain` (h / 2, w / 2,
    3) uint8 each (see `strip.Strip`)."""

    albedo: tuple[Bytes, ...]
    grain: tuple[Bytes, ...]


@dataclass(frozen=True)
class PageLimits:
    """What pages may come to: `side`, pixels a side of each, and `total`, bytes of all together (see `PIXEL`)."""

    side: int = MAX_PAGE
    total: float = BUDGET


WIDEST = PageLimits()


def mix(*values: NDArray[np.int64] | int) -> NDArray[np.uint64]:
    """Return a 64-bit hash of integers, element by element (the finaliser of splitmix64, Steele et al. 2014)."""
    state = np.zeros(np.broadcast(*values).shape, dtype=np.uint64)
    with np.errstate(over="ignore"):
        for value in values:
            state = state + np.asarray(value, dtype=np.int64).astype(np.uint64) + np.uint64(0x9E3779B97F4A7C15)
            state = (state ^ (state >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
            state = (state ^ (state >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
            state = state ^ (state >> np.uint64(31))
    return state


def chance(*values: NDArray[np.int64] | int) -> NDArray[np.float64]:
    """Return a number in 0..1 for each hash of integers."""
    return (mix(*values) >> np.uint64(11)).astype(np.float64) / 2**53


def stock_size(pieces: int, long: bool) -> int:
    """Return how many strips a class of so many pieces has to choose from, a power of two.

    Long strips are few, for their windows seldom overlap.
    """
    least, most = (8, 32) if long else (32, 256)
    return int(min(max(2 ** int(np.ceil(np.log2(max(pieces, 1) / 4 + 1))), least), most))


def choose_strips(seed: int, code: int, key: NDArray[np.int64], stock: int) -> NDArray[np.int64]:
    """Return the number in the stock of the strip that each piece with key (n, 2) is cut from.

    Keys lie in blocks that between them take turns with the four quarters of the stock, and within a block no strip
    comes twice; so a strip never comes again within a block's length of where it lies.
    """
    quarter = stock // 4
    courses = max(int((quarter / 2.7) ** 0.5), 1)  # a course is about as wide as 2.7 boards are long along it
    pairs = quarter // courses
    block, place = (key[:, 0] // pairs, key[:, 1] // courses), key[:, 0] % pairs * courses + key[:, 1] % courses
    chosen = mix(seed, code, *block, 1)
    first, stride = (chosen >> np.uint64(8)).astype(np.int64) % quarter, (chosen % np.uint64(quarter)).astype(np.int64)
    return (block[0] % 2 * 2 + block[1] % 2) * quarter + (first + place * (stride | 1)) % quarter


def strip_size(longest: float, widest: float) -> tuple[float, float]:
    """Return the size of strips for pieces up to so long and wide, metres; short boards get a third more to move in."""
    room = max(0.1, 0.3 * longest) if longest < 1.0 else 0.25
    return (float(np.ceil((longest + room) / LENGTHS) * LENGTHS), widest + SLACK)


def strip_pixels(rack: Rack, density: float) -> tuple[int, int]:
    """Return the width and height in pixels of one strip proper: even numbers."""
    length, width = (2 * max(round(side * density / 2), 1) for side in rack.size)
    return length, width


def pixels(rack: Rack, density: float) -> tuple[int, int]:
    """Return the width and height in pixels of one strip with its end, and gutters round both."""
    length, width = strip_pixels(rack, density)
    return length + end_width(END_DEPTH, density) + 3 * GUTTER, width + 2 * GUTTER


def choose_density(racks: list[Rack], finest: float | None = None, limits: PageLimits = WIDEST) -> float:
    """Return the density, pixels a metre, that strips are drawn at: the lowest that is no less than `finest`, as far as
    all strips keep to the limits of pages; without `finest` the highest of those."""
    fitting = [each for each in DENSITIES if _fits(racks, each, limits)] or [DENSITIES[-1]]
    enough = [each for each in fitting if finest is not None and each >= max(finest, COARSEST)]
    return float(enough[-1] if enough else fitting[0])


def _fits(racks: list[Rack], density: float, limits: PageLimits) -> bool:
    sizes = [(pixels(rack, density), len(rack.items)) for rack in racks]
    memory = sum(PIXEL * width * height * count for (width, height), count in sizes)
    return memory <= limits.total and all(max(width, height) <= limits.side for (width, height), _ in sizes)


def shelve(
    count: int, width: int, height: int, side: int = MAX_PAGE
) -> tuple[list[tuple[int, int]], NDArray[np.int32], NDArray[np.int32]]:
    """Place equal rectangles on pages of up to `side` pixels a side: return the pages' (width, height), each one's page
    and corner (column, row)."""
    across, down = max(min(side // width, count), 1), max(side // height, 1)
    number = np.arange(count)
    page, within = number // (across * down), number % (across * down)
    corner = np.stack([within % across * width, within // across * height], axis=-1)
    rows = [min(-(-(count - first) // across), down) for first in range(0, count, across * down)]
    return [(across * width, row * height) for row in rows], page.astype(np.int32), corner.astype(np.int32)


def sawn(rack: Rack, block: int, density: float, folder: Path | None) -> Arrays:
    """Return the strips of a block, drawn or from the cache: `picture` (b, h, w, 4) and `grain` (b, h / 2, w / 2, 3)
    with end and gutters, and `mean` (b, 3)."""
    timber = rack.timber
    made_of = (
        astuple(timber.species), timber.cut, astuple(timber.grade), astuple(timber.stain),
        timber.finish.deepening, timber.finish.amber, timber.seed % 2**32, rack.code, rack.size,
    )  # fmt: skip
    key = content_key(made_of, density, END_DEPTH, block)
    return cached(key, ("picture", "grain", "mean"), lambda: _saw_block(rack, block, density), folder)


def _saw_block(rack: Rack, block: int, density: float) -> Arrays:
    width, height = pixels(rack, density)
    length, _ = strip_pixels(rack, density)
    picture = np.empty((BLOCK, height, width, 4), dtype=np.uint8)
    grain = np.empty((BLOCK, height // 2, width // 2, 3), dtype=np.uint8)
    mean = np.empty((BLOCK, 3))
    rows, middle = slice(GUTTER, height - GUTTER), length + 2 * GUTTER
    for number in range(BLOCK):
        key = (rack.timber.seed % 2**32, rack.code, BLOCK * block + number)
        strip = draw(key, rack.timber, rack.size, density, END_DEPTH)
        _lay(picture[number, :, :middle], strip.picture, GUTTER)
        _lay(picture[number, :, middle:], strip.end, (0, GUTTER))
        _lay(grain[number, :, : middle // 2], strip.grain, GUTTER // 2)
        grain[number, :, middle // 2 :] = (LEVEL_FIBRE, LEVEL_FIBRE, 96)
        mean[number] = strip.mean
    picture[:, rows.stop :, middle:] = picture[:, rows.stop - 1 : rows.stop, middle:]
    return {"picture": picture, "grain": grain, "mean": mean}


def _lay(room: Bytes, image: Bytes, gutter: int | tuple[int, int]) -> None:
    """Put an image into a room (both (h, w, c)) with its own edges repeated `gutter` pixels round it; of a pair, the
    first is before and the second after its columns, and above and below it is the second."""
    before, after = (gutter, gutter) if isinstance(gutter, int) else gutter
    room[after : len(room) - after, before : room.shape[1] - after] = image
    room[:after, before : room.shape[1] - after] = image[:1]
    room[len(room) - after :, before : room.shape[1] - after] = image[-1:]
    room[:, :before] = room[:, before : before + 1]
    room[:, room.shape[1] - after :] = room[:, room.shape[1] - after - 1 : room.shape[1] - after]


@dataclass(frozen=True, eq=False)
class SawnRack:
    """A rack's strips on pages of their own, `places` counting those from 0."""

    pages: Pages
    places: StripPlaces


def saw_rack(rack: Rack, density: float, folder: Path | None = None, side: int = MAX_PAGE) -> SawnRack:
    """Draw the strips of a rack at `density` pixels a metre, each page for this rack alone.

    folder: where strips are cached, by default the user's cache. side: pixels a side that pages have at most.
    """
    folder = folder or cache_folder("wood")
    width, height = pixels(rack, density)
    sizes, page, corner = shelve(len(rack.items), width, height, side)
    albedo = tuple(np.zeros((tall, wide, 4), dtype=np.uint8) for wide, tall in sizes)
    grain = tuple(np.zeros((tall // 2, wide // 2, 3), dtype=np.uint8) for wide, tall in sizes)
    place = StripPlaces(
        page, corner + np.int32(GUTTER),
        corner[:, 0] + np.int32(strip_pixels(rack, density)[0] + 2 * GUTTER), np.zeros((len(page), 3)),
    )  # fmt: skip

    def fill(block: int) -> None:
        strips = sawn(rack, block, density, folder)
        for number, item in enumerate(rack.items):
            if item // BLOCK == block:
                column, row = place.corner[number] - GUTTER
                albedo[page[number]][row : row + height, column : column + width] = strips["picture"][item % BLOCK]
                row, column = row // 2, column // 2
                half = grain[page[number]][row : row + height // 2, column : column + width // 2]
                half[:] = strips["grain"][item % BLOCK]
                place.mean[number] = strips["mean"][item % BLOCK]

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(fill, sorted({item // BLOCK for item in rack.items})))
    return SawnRack(Pages(albedo, grain), place)


def saw_stock(
    racks: Sequence[Rack],
    density: float,
    folder: Path | None = None,
    saw: Callable[[Rack, float, Path | None], SawnRack] = saw_rack,
) -> tuple[Pages, list[StripPlaces]]:
    """Draw every strip in use at `density` pixels a metre; return the pages and where each strip lies.

    folder: where strips are cached, by default the user's cache. saw: what draws the strips of a rack.
    """
    albedo: list[Bytes] = []
    grain: list[Bytes] = []
    places: list[StripPlaces] = []
    for rack in racks:
        made = saw(rack, density, folder)
        places.append(replace(made.places, page=made.places.page + np.int32(len(albedo))))
        albedo += made.pages.albedo
        grain += made.pages.grain
    return Pages(tuple(albedo), tuple(grain)), places
