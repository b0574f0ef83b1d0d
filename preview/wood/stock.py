"""The pile of boards that a floor is laid from, and the texture pages it lies on.

A big floor has far more boards than need drawing. Each class of pieces (field, border, threshold, grille; wider ones
apart) has a stock of strips, each sawn from a log of its own and somewhat longer and wider than any piece; a piece is a
window in one of them, turned end for end or over, with a tone of its own. Strip, place, turn and tone come from a
hash of the seed and of what the piece keeps when the floor is shifted (`Pieces.key`), never from its place in an array.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.wood.details import fibre_tile
from preview.wood.strip import Timber, draw

F32 = NDArray[np.float32]

MAX_PAGE = 8192  # pixels a side that every OpenGL driver met so far takes
GUTTER = 8  # pixels of a strip's own edge around it, so that a page may shrink eightfold before neighbours mix
BUDGET = 160_000_000  # bytes of all pages together
DENSITIES = (
    2000,
    1600,
    1250,
    1000,
    800,
    640,
    500,
    400,
    320,
    250,
    200,
    160,
    125,
    100,
    80,
    64,
    50,
    40,
    32,
    25,
    20,
    16,
    10,
)
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
class Place:
    """Where the strips of a rack lie: `page` (k,), `corner` (k, 2) pixels (column, row) of the strip proper,
    `mean` (k, 3) linear RGB; in the order of `Rack.items`."""

    page: NDArray[np.int32]
    corner: NDArray[np.int32]
    mean: NDArray[np.float64]


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
    """Return how many strips a class of so many pieces has to choose from.

    A power of two: where the stock doubles, half of the pieces keep their strip. Long strips are few, for their
    windows seldom overlap.
    """
    least, most = (8, 32) if long else (32, 256)
    return int(min(max(2 ** int(np.ceil(np.log2(max(pieces, 1) / 4 + 1))), least), most))


def strip_size(longest: float, widest: float) -> tuple[float, float]:
    """Return the size of strips for pieces up to so long and wide, metres; short boards get a third more to move in."""
    room = max(0.1, 0.3 * longest) if longest < 1.0 else 0.25
    return (float(np.ceil((longest + room) / LENGTHS) * LENGTHS), widest + SLACK)


def pixels(rack: Rack, density: float) -> tuple[int, int]:
    """Return the width and height in pixels of one strip with its gutter."""
    length, width = rack.size
    return max(round(length * density), 1) + 2 * GUTTER, max(round(width * density), 1) + 2 * GUTTER


def choose_density(racks: list[Rack]) -> float:
    """Return the finest density, pixels a metre, at which all strips fit the budget and a page."""
    for density in DENSITIES:
        sizes = [(pixels(rack, density), len(rack.items)) for rack in racks]
        memory = sum(3 * width * height * count for (width, height), count in sizes)
        if memory <= BUDGET and all(max(width, height) <= MAX_PAGE for (width, height), _ in sizes):
            return float(density)
    return float(DENSITIES[-1])


def shelve(count: int, width: int, height: int) -> tuple[list[tuple[int, int]], NDArray[np.int32], NDArray[np.int32]]:
    """Place equal rectangles on pages: return the pages' (width, height), each one's page and corner (column, row)."""
    across, down = max(min(MAX_PAGE // width, count), 1), max(MAX_PAGE // height, 1)
    number = np.arange(count)
    page, within = number // (across * down), number % (across * down)
    corner = np.stack([within % across * width, within // across * height], axis=-1)
    rows = [min(-(-(count - first) // across), down) for first in range(0, count, across * down)]
    return [(across * width, row * height) for row in rows], page.astype(np.int32), corner.astype(np.int32)


def _fill(rack: Rack, item: int, room: NDArray[np.uint8], density: float, tile: F32) -> NDArray[np.float64]:
    """Draw a strip and its gutter into `room` (h, w, 3), a part of a page; return the strip's mean linear RGB (3,)."""
    strip = draw((rack.timber.seed % 2**32, rack.code, item), rack.timber, rack.size, density, tile)
    room[:] = np.pad(strip.picture, ((GUTTER, GUTTER), (GUTTER, GUTTER), (0, 0)), mode="edge")
    return strip.mean


def saw_stock(racks: list[Rack], density: float) -> tuple[tuple[NDArray[np.uint8], ...], list[Place]]:
    """Draw every strip in use at `density` pixels a metre; return the pages and where each strip lies."""
    tile = fibre_tile(np.random.default_rng(0), density)
    pages: list[NDArray[np.uint8]] = []
    places: list[Place] = []
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for rack in racks:
            width, height = pixels(rack, density)
            sizes, page, corner = shelve(len(rack.items), width, height)
            sheets = [np.zeros((tall, wide, 3), dtype=np.uint8) for wide, tall in sizes]
            rooms = [
                sheets[number][row : row + height, column : column + width]
                for number, (column, row) in zip(page, corner, strict=True)
            ]
            count = len(rooms)
            means = pool.map(_fill, [rack] * count, rack.items, rooms, [density] * count, [tile] * count)
            places.append(Place(page + len(pages), corner + GUTTER, np.stack(list(means))))
            pages += sheets
    return tuple(pages), places
