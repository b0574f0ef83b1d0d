"""Boards with their tints in the texture: for formats that can't multiply a texture by a colour, as USDZ.

Every piece gets a window of its own on new pages, its tint already on it. A floor of so many boards that a pixel would
be coarser than `FINE_ENOUGH` has fewer windows than boards: then boards take, of the windows drawn, the one whose mean
colour is nearest to their own, so that each board keeps its colour and may share its figure with another far away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from preview.colour import linear_to_srgb, srgb_to_linear
from preview.floor.layout import Layout, Role, wood_of
from preview.wood.boards import Boards
from preview.wood.stock import DENSITIES

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Bytes = NDArray[np.uint8]

FINE_ENOUGH = 400.0  # pixels a metre: an eye 1.6 m over the floor parts two lines 0.5 mm apart, a phone some 2 mm
FEWEST = 512  # windows of field boards, so that none is seen to come again and colours are met within CIEDE2000 0.5
GUTTER = 4  # pixels of the wood round a window, so that a page may shrink fourfold before neighbours mix
THINNED = 4  # every so many pixels of a window are enough for its mean
RIMS = 1 / 16  # of a page's pixels, what its rims' texture has
FILLED = 0.93 / (1 + RIMS)  # of pages, what windows fill with their gutters: the rest is the ends of shelves


@dataclass(frozen=True, eq=False)
class _Extents:
    """What of its blank each piece takes: low, high (n, 2), metres along the grain and across."""

    low: Array
    high: Array

    @property
    def size(self) -> Array:
        return self.high - self.low


def painted(layout: Layout, cut: Callable[[float], Boards], texture: int, beyond: bool = True) -> Boards:
    """Return a floor's boards on pages that have each one's own colour, `Boards.tint` 1 all over. Where wood is drawn
    no coarser, pages are shrunk.

    cut: draws the boards at about so many pixels a metre. texture: pixels a side of a page at most; all together have
    no more pixels than one such page. beyond: whether the next rooms' pieces are wanted; else they have no window.
    """
    parts = [each for each in (layout.pieces, layout.beyond) if len(each)]
    polygons, grain, origin, size, role = (
        np.concatenate([getattr(each, name) for each in parts])
        for name in ("polygons", "grain", "origin", "size", "role")
    )
    extents = _extents(polygons, grain, origin, size)
    wanted = np.arange(len(role)) < (len(role) if beyond else len(layout.pieces))
    fixed, field = np.flatnonzero(wanted & (role != Role.BOARD)), np.flatnonzero(wanted & (role == Role.BOARD))
    own, density = _chosen_windows(extents.size, fixed, field, texture)
    boards = cut(density)
    taken = np.arange(len(role))
    if len(own) < len(field):
        taken[field] = own[_nearest(_colours(boards, extents, field), _colours(boards, extents, own))]
    drawn = np.concatenate([fixed, own])
    made = _on_pages(boards, extents, wood_of(role), drawn, taken, wanted, texture)
    return shrunk_to(made, texture**2 / (1 + RIMS))


def _extents(polygons: NDArray[np.object_], grain: Array, origin: Array, size: Array) -> _Extents:
    points, piece = shapely.get_coordinates(polygons, return_index=True)
    off, way = points - origin[piece], np.column_stack([np.cos(grain), np.sin(grain)])[piece]
    place = np.column_stack([(off * way).sum(1), off[:, 1] * way[:, 0] - off[:, 0] * way[:, 1]])
    place = np.clip(place, 0, size[piece])
    low, high = np.full((len(polygons), 2), np.inf), np.full((len(polygons), 2), -np.inf)
    np.minimum.at(low, piece, place)
    np.maximum.at(high, piece, place)
    return _Extents(low, high)


def _chosen_windows(size: Array, fixed: Index, field: Index, texture: int) -> tuple[Index, float]:
    """Return which field pieces get a window, the largest where not all do, and at how many pixels a metre."""

    def fits(pieces: Index, density: float) -> bool:
        longest = float(size[pieces].max()) * density + 1 + 2 * GUTTER
        return longest <= texture and _area(size[pieces], density) <= FILLED * texture**2

    def fitting(pieces: Index) -> float:
        return float(next((each for each in DENSITIES if fits(pieces, each)), DENSITIES[-1]))

    density = fitting(np.concatenate([fixed, field]))
    if density >= FINE_ENOUGH or len(field) <= FEWEST:
        return field, density
    # Those that get none are no longer and no wider than the ones that do.
    wide = field[size[field, 1] >= size[field, 1].max() - 0.001]
    order = np.lexsort((np.random.default_rng(len(wide)).random(len(wide)), -size[wide, 0].round(3)))
    left = FILLED * texture**2 - _area(size[fixed], FINE_ENOUGH)
    count = int(np.clip(left / _area(size[wide[order[:1]]], FINE_ENOUGH), FEWEST, len(wide)))
    own = wide[order[:count]]
    return own, fitting(np.concatenate([fixed, own]))


def _area(size: Array, density: float) -> float:
    """Return how many pixels windows of these sizes (n, 2) take, gutters counted."""
    return float((np.ceil(size * density) + 1 + 2 * GUTTER).prod(axis=1).sum())


def _in_pixels(boards: Boards, which: Index) -> tuple[Array, Array]:
    """Return `uv_origin` and `uv_scale` (n, 2) of pieces in pixels of their pages."""
    sheet = np.array([page.shape[1::-1] for page in boards.pages], dtype=float)[boards.page[which]]
    return boards.uv_origin[which] * sheet, boards.uv_scale[which] * sheet


def _rectangles(boards: Boards, extents: _Extents, which: Index) -> tuple[Index, Index]:
    """Return the first pixel (n, 2), column and row, and the size (n, 2) of pieces' windows, without gutters."""
    origin, scale = _in_pixels(boards, which)
    ends = np.stack([origin + scale * extents.low[which], origin + scale * extents.high[which]])
    first, last = np.floor(ends.min(axis=0)).astype(np.intp), np.ceil(ends.max(axis=0)).astype(np.intp)
    return first, np.maximum(last - first, 1)


def _colours(boards: Boards, extents: _Extents, which: Index) -> Array:
    """Return the mean colours (n, 3) of pieces as sRGB code values in 0..1, in which near colours look alike."""
    first, size = _rectangles(boards, extents, which)
    light = [srgb_to_linear(page[::THINNED, ::THINNED, :3] / 255).astype(np.float32) for page in boards.pages]
    start, end = first // THINNED, (first + size) // THINNED + 1
    means = [
        light[page][top:bottom, left:right].mean(axis=(0, 1))
        for page, (left, top), (right, bottom) in zip(boards.page[which], start, end, strict=True)
    ]
    return linear_to_srgb(np.clip(np.array(means) * boards.tint[which], 0, 1))


def _nearest(colours: Array, known: Array) -> Index:
    from scipy.spatial import cKDTree

    return np.asarray(cKDTree(known).query(colours)[1], np.intp)


def _on_pages(
    boards: Boards, extents: _Extents, wood: NDArray[np.int8], drawn: Index, taken: Index, wanted: NDArray[np.bool_],
    texture: int,
) -> Boards:  # fmt: skip
    """Return boards whose pages hold the windows of the pieces `drawn`, those of one wood together; a piece has the
    window of the piece `taken` (n,)."""
    first, size = _rectangles(boards, extents, drawn)
    pages: list[Bytes] = []
    page, corner = np.zeros(len(wood), np.int32), np.zeros((len(wood), 2))
    shift = np.zeros((len(wood), 2))  # from a pixel of the old page to that of the new one
    for each in np.unique(wood[drawn]):
        mine = np.flatnonzero(wood[drawn] == each)
        sheets, on, at = shelves(size[mine] + 2 * GUTTER, texture)
        # What stays free has a middling colour: seen from far away, a page is mixed with it.
        free = np.array([*_colours(boards, extents, drawn[mine]).mean(axis=0) * 255, 0]).astype(np.uint8)
        new = [np.full((tall, wide, 4), free) for wide, tall in sheets]
        for row, number, (column, line) in zip(mine, on, at, strict=True):
            piece, (left, top), (wide, tall) = drawn[row], first[row] - GUTTER, size[row] + 2 * GUTTER
            window = _window(boards.pages[boards.page[piece]], left, top, wide, tall)
            window = _tinted(window, boards.tint[piece])
            new[number][line : line + tall, column : column + wide] = window
        page[drawn[mine]], corner[drawn[mine]] = on + len(pages), at
        shift[drawn[mine]] = at + GUTTER - first[mine]
        pages += new
    page = page[taken]
    origin, scale = _in_pixels(boards, taken)
    origin += shift[taken] + scale * (extents.low[taken] - extents.low)
    sheet = np.array([each.shape[1::-1] for each in pages], dtype=float)[page]
    return replace(
        boards,
        pages=tuple(pages),
        page=np.where(wanted, page, 0).astype(np.int32),
        uv_origin=(origin / sheet).astype(np.float32),
        uv_scale=(scale / sheet).astype(np.float32),
        tint=np.ones_like(boards.tint),
        grain=(),
        end=None,
    )


def shrunk_to(boards: Boards, most: float) -> Boards:
    """Return boards whose pages together have at most so many pixels, shrunk if need be, without pores and fibres."""
    total = sum(page.shape[0] * page.shape[1] for page in boards.pages)
    if total <= most:
        return boards
    share = (most / total) ** 0.5
    pages = []
    for page in boards.pages:
        high, wide = (max(int(side * share), 1) for side in page.shape[:2])
        image = Image.fromarray(np.ascontiguousarray(page[..., :3])).resize((wide, high), Image.Resampling.BOX)
        pages.append(np.dstack([np.asarray(image), np.zeros((high, wide), np.uint8)]))
    return replace(boards, pages=tuple(pages), density=boards.density * share, grain=())


def _window(page: Bytes, left: int, top: int, wide: int, tall: int) -> Bytes:
    """Return a part of a page, which has the page's own edge repeated where it reaches beyond."""
    rows = np.clip(np.arange(top, top + tall), 0, len(page) - 1)
    columns = np.clip(np.arange(left, left + wide), 0, page.shape[1] - 1)
    return page[rows[:, None], columns]


def _tinted(window: Bytes, tint: NDArray[np.float32]) -> Bytes:
    light = srgb_to_linear(np.arange(256) / 255)[:, None] * tint
    table = np.rint(linear_to_srgb(np.minimum(light, 1)) * 255).astype(np.uint8)
    return np.dstack([table[window[..., channel], channel] for channel in range(3)] + [window[..., 3]])


def shelves(size: Index, side: int) -> tuple[list[tuple[int, int]], Index, Index]:
    """Place rectangles (n, 2), width and height, each turned as it is, on pages of up to `side` pixels a side: return
    the pages' (width, height), each one's page (n,) and corner (n, 2), column and row.

    They stand on shelves one above another, the highest first.
    """
    across = int(min(max(np.ceil(np.sqrt(size.prod(axis=1).sum())), size[:, 0].max()), side))
    page, corner = np.zeros(len(size), np.intp), np.zeros((len(size), 2), np.intp)
    sheets = [[0, 0]]
    column = line = high = 0
    for row in np.lexsort((-size[:, 0], -size[:, 1])):
        wide, tall = size[row]
        if column + wide > across:
            column, line, high = 0, line + high, 0
        if column == 0 and line + tall > side and line:
            sheets.append([0, 0])
            line = 0
        high = max(high, tall)
        page[row], corner[row] = len(sheets) - 1, (column, line)
        column += wide
        sheets[-1] = [max(sheets[-1][0], int(column)), max(sheets[-1][1], int(line + high))]
    return [(wide, tall) for wide, tall in sheets], page, corner
