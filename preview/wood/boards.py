"""What wood hands on: textures, and each piece's place in them; `cut_boards` is the one way in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.colour import lab_to_linear
from preview.floor.layout import Layout, Role, wood_of
from preview.scene.job import WoodChoice
from preview.wood.ageing import aged
from preview.wood.film import finished
from preview.wood.material_types import Finish
from preview.wood.species import list_species, load_finish, load_grade, load_species, load_stain
from preview.wood.stock import (
    END_DEPTH,
    WIDEST,
    PageLimits,
    Rack,
    SawnRack,
    chance,
    choose_density,
    choose_strips,
    saw_rack,
    saw_stock,
    stock_size,
    strip_pixels,
    strip_size,
)
from preview.wood.strip import Timber

__all__ = ["END_DEPTH", "Boards", "Finish", "cut_boards", "list_species", "load_species"]

F32 = NDArray[np.float32]

# How boards' deviations go together: the darker the redder, and the redder the yellower. That lightness and redness run
# against each other was read (teak: R. Moya and A. Berrocal, Ann. For. Sci. 67, 2010, 109; 97 species: Y. Nishino and
# others, J. Wood Sci. 44, 1998, 3, abstracts), which has chroma do so too; the coefficients are estimates.
REDDER, YELLOWER = -0.7, 0.6


@dataclass(frozen=True, eq=False)
class Boards:
    """Textures for the n pieces of `Layout.pieces` followed by the m of `Layout.beyond`; N = n + m.

    pages: tuple of (h, w, 4) uint8 images, sRGB albedo and the share that lies open as pores, each within `MAX_PAGE`
    pixels a side; u runs along the image's width and along the grain, v along its height. grain: the same places at
    half the density, (h / 2, w / 2, 3) uint8: the fibres' angle in the face, from u towards v, and their lean out of
    it towards u, each 128 + 127 radians / `STEEPEST`, and how much they shine, 128 the usual; empty where
    all fibres lie along u.
    page (N,) int32: which page a piece uses. uv_origin (N, 2), uv_scale (N, 2): a point with grain
    coordinates (s, t) metres (see preview.floor.layout) has texture coordinates
    uv_origin + uv_scale * (s, t), in 0..1 of its page, never leaving its board's rectangle; a negative scale turns
    the board. Row 0 of a page is v = 0. end (N,): the u where the piece's end begins; going down into the board it
    grows as fast as it does along it, for `END_DEPTH`, and v is the face's; None where ends are as the face.
    tint (N, 3) float32: linear RGB factor on the albedo, about 1.
    density: texture pixels a metre. mean_albedo (3,): linear RGB mean of the field boards as drawn.
    border_albedo (3,): the same of all that is laid round the field, border and feature strip. finish, border_finish,
    strip_finish: the coats, the strip's None where there is none.
    """

    pages: tuple[NDArray[np.uint8], ...]
    page: NDArray[np.int32]
    uv_origin: F32
    uv_scale: F32
    tint: F32
    density: float
    mean_albedo: F32
    border_albedo: F32
    finish: Finish
    border_finish: Finish
    grain: tuple[NDArray[np.uint8], ...] = ()
    end: F32 | None = None
    strip_finish: Finish | None = None

    @property
    def finishes(self) -> tuple[Finish, Finish, Finish]:
        """The coats by `preview.floor.layout.wood_of`."""
        return self.finish, self.border_finish, self.strip_finish or self.border_finish


def cut_boards(
    layout: Layout,
    wood: WoodChoice,
    border_wood: WoodChoice,
    materials: Path | None = None,
    finest: float | None = None,
    folder: Path | None = None,
    strip_wood: WoodChoice | None = None,
    saw: Callable[[Rack, float, Path | None], SawnRack] | None = None,
    limits: PageLimits = WIDEST,
) -> Boards:
    """Give each piece of a layout its place in a stock of boards.

    Field boards and grilles are of `wood`, the border and thresholds of `border_wood`, a feature strip of `strip_wood`;
    `materials` is a folder that adds to the program's own. `finest` is how many pixels a metre of floor is ever seen
    at; finer wood is not drawn. `folder` is where drawn strips are cached, by default the user's cache; `saw` is what
    draws a rack's, by default `saw_rack`; `limits` are those of the pages. The same layout, woods, density, limits and
    version give the same bytes.

    Raises:
        UsageError: for a species, grade, stain or finish that isn't known, with the known ones.
    """
    woods = (wood, border_wood, strip_wood or border_wood)
    finishes = [load_finish(each.finish, materials) for each in woods]
    timbers = [_timber(each, materials) for each in woods]
    pieces = _gather(layout)
    racks, rack_of, item_of = _sort(pieces, timbers)
    density = choose_density(racks, finest, limits)
    pages, places = saw_stock(racks, density, folder, saw or partial(saw_rack, side=limits.side))
    count = len(pieces.role)
    page = np.zeros(count, dtype=np.int32)
    origin, scale, end = np.zeros((count, 2)), np.zeros((count, 2)), np.zeros(count)
    tint, mean = np.ones((count, 3)), np.zeros((count, 3))
    for number, (rack, place) in enumerate(zip(racks, places, strict=True)):
        mine = np.flatnonzero(rack_of == number)
        at = np.searchsorted(rack.items, item_of[mine])
        page[mine] = place.page[at]
        sheet = np.array([pages.albedo[p].shape[1::-1] for p in place.page[at]], dtype=float)
        end[mine] = place.end[at] / sheet[:, 0]
        origin[mine], scale[mine] = _windows(pieces, mine, rack, place.corner[at], density, sheet)
        tint[mine] = _tones(pieces, mine, rack)
        mean[mine] = place.mean[at] * tint[mine]
    field, border = pieces.role == Role.BOARD, np.isin(pieces.role, (Role.BORDER, Role.STRIP))
    return Boards(
        pages=pages.albedo,
        grain=pages.grain,
        page=page,
        uv_origin=origin.astype(np.float32),
        uv_scale=scale.astype(np.float32),
        end=end.astype(np.float32),
        tint=tint.astype(np.float32),
        density=density,
        mean_albedo=_mean(mean, pieces.area, field, timbers[0]),
        border_albedo=_mean(mean, pieces.area, border, timbers[1]),
        finish=finishes[0],
        border_finish=finishes[1],
        strip_finish=finishes[2] if strip_wood else None,
    )


@dataclass(frozen=True, eq=False)
class _Gathered:
    """The pieces of a layout, then those beyond: role (N,), key (N, 2), size (N, 2), area (N,)."""

    role: NDArray[np.int64]
    key: NDArray[np.int64]
    size: NDArray[np.float64]
    area: NDArray[np.float64]


def _gather(layout: Layout) -> _Gathered:
    both = (layout.pieces, layout.beyond)
    return _Gathered(
        np.concatenate([p.role for p in both]).astype(np.int64),
        np.concatenate([p.key.reshape(-1, 2) for p in both]).astype(np.int64),
        np.concatenate([p.size.reshape(-1, 2) for p in both]).astype(float),
        np.concatenate([shapely.area(p.polygons) for p in both]),
    )


def _timber(wood: WoodChoice, materials: Path | None) -> Timber:
    return Timber(
        aged(load_species(wood.species, materials), wood.age),
        wood.cut,
        load_grade(wood.grade, materials),
        load_stain(wood.stain, materials),
        wood.seed,
        load_finish(wood.finish, materials),
    )


def _sort(pieces: _Gathered, timbers: Sequence[Timber]) -> tuple[list[Rack], NDArray[np.int64], NDArray[np.int64]]:
    """Return the racks, each piece's rack and the number of its strip in that rack's stock.

    A class is a role and a step of width: pieces up to the role's middle width share one, wider ones go by steps
    of 1.4, so that one wide threshold doesn't widen every strip of the border.
    """
    racks: list[Rack] = []
    rack_of, item_of = np.zeros(len(pieces.role), dtype=np.int64), np.zeros(len(pieces.role), dtype=np.int64)
    for role in np.unique(pieces.role):
        mine = pieces.role == role
        usual = float(np.median(pieces.size[mine, 1]))
        step = np.maximum(np.ceil(np.log(pieces.size[:, 1] / usual - 1e-6) / np.log(1.4)), 0).astype(np.int64)
        for wider in np.unique(step[mine]):
            chosen = np.flatnonzero(mine & (step == wider))
            longest, widest = pieces.size[chosen].max(axis=0)
            timber = timbers[int(wood_of(role))]
            code = int(role) * 64 + int(wider)
            stock = stock_size(len(chosen), longest > 1.0)
            item = choose_strips(timber.seed, code, pieces.key[chosen], stock)
            rack_of[chosen], item_of[chosen] = len(racks), item
            racks.append(Rack(code, strip_size(longest, widest), timber, tuple(map(int, np.unique(item)))))
    return racks, rack_of, item_of


def _windows(
    pieces: _Gathered,
    mine: NDArray[np.int64],
    rack: Rack,
    corner: NDArray[np.int32],
    density: float,
    sheet: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return `uv_origin` and `uv_scale` (k, 2) of pieces in strips with corners (k, 2) on sheets of (k, 2) pixels."""
    drawn = np.array(strip_pixels(rack, density), dtype=float)
    span = pieces.size[mine] * density
    # A hair inside the strip, so that the rounding of float32 stays inside too.
    room = np.maximum(drawn - span, 0)
    place = np.stack([chance(rack.timber.seed, rack.code, *pieces.key[mine].T, 2 + axis) for axis in (0, 1)], axis=-1)
    turned = (
        np.stack([chance(rack.timber.seed, rack.code, *pieces.key[mine].T, 4 + axis) for axis in (0, 1)], axis=-1) < 0.5
    )
    near = corner + 0.01 * room + 0.98 * room * place
    start = np.where(turned, near + span, near)
    return start / sheet, np.where(turned, -density, density) / sheet


def _tones(pieces: _Gathered, mine: NDArray[np.int64], rack: Rack) -> NDArray[np.float64]:
    """Return each piece's tint (k, 3): its own colour about the species' mean as stain and finish leave it, cut off
    at 2.2 deviations."""
    from scipy.special import ndtri

    species, grade = rack.timber.species, rack.timber.grade
    place = np.stack([chance(rack.timber.seed, rack.code, *pieces.key[mine].T, 6 + axis) for axis in range(3)], axis=-1)
    lighter, redder, yellower = np.clip(ndtri(np.clip(place, 1e-6, 1 - 1e-6)), -2.2, 2.2).T
    redder = REDDER * lighter + (1 - REDDER**2) ** 0.5 * redder
    yellower = YELLOWER * redder + (1 - YELLOWER**2) ** 0.5 * yellower
    away = np.stack([lighter, redder, yellower], axis=-1) * np.array(species.spread) * grade.spread
    main, put_on = np.array(species.main), (rack.timber.stain, rack.timber.finish)
    return finished(lab_to_linear(main + away), *put_on) / finished(lab_to_linear(main), *put_on)


def _mean(mean: NDArray[np.float64], area: NDArray[np.float64], chosen: NDArray[np.bool_], timber: Timber) -> F32:
    """Return the mean linear RGB (3,) of the pieces chosen, by area; the timber's own where there are none."""
    if not chosen.any():
        return finished(lab_to_linear(timber.species.main), timber.stain, timber.finish).astype(np.float32)
    return np.average(mean[chosen], axis=0, weights=np.maximum(area[chosen], 1e-12)).astype(np.float32)
