"""What crosses the rings: pores, rays, fibres and streaks, as fields over a face."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.wood.log import RingTable, SawnFace
from preview.wood.material_types import Pores, Rays
from preview.wood.smooth import Grid, smooth_field, smooth_line

F32 = NDArray[np.float32]
Rng = np.random.Generator

RAY_STEP, RAY_ALONG = 8e-5, 1e-3  # of the lattice that rays are drawn on: along the ring and along the grain, metres
RAY_PLACES = (4096, 1024)  # of that lattice, along the grain and along the ring; it joins on to itself
# By which boards differ in how much of them is ray, in their rays' height and thickness and in how rays stand out:
# standard deviations of the logarithms. Estimates: trees differ, and no two boards of a quartersawn floor are alike.
RAY_SHARES, RAY_SIZES, RAY_CONTRAST = 0.45, (0.3, 0.15), 0.3
FIBRE_STEP, FIBRE_ALONG = 2.5e-4, 2e-3  # of the lattice that fibres are drawn on: across and along the grain, metres
FIBRE_PLACES = (1024, 1024)


def dashes(shape: tuple[int, int], row: F32, start: F32, length: F32, weight: F32) -> F32:
    """Return a picture (ny, nx) of dashes along the rows: each adds `weight`, shared by the two rows next to its
    own `row`, from column `start` for `length` columns. All in pixels; what leaves the picture is cut off.

    Each dash is a step up and a step down; their running sum along the row draws all of them at once.
    """
    ny, nx = shape
    upper = np.floor(row)
    lower_share = (row - upper).astype(np.float32)
    line = (np.clip(upper, -2, ny).astype(np.int64) + 2) * (nx + 1)  # two rows above and below take what is cut off
    first = np.clip(start.astype(np.int64), 0, nx)
    last = np.clip((start + length + 0.5).astype(np.int64), 0, nx)
    places = np.concatenate([line + first, line + last])
    steps = np.zeros((ny + 4) * (nx + 1), dtype=np.float64)
    for share in (1 - lower_share, lower_share):
        amount = weight * share
        steps += np.bincount(places, np.concatenate([amount, -amount]), minlength=len(steps))
        places += nx + 1
    return np.cumsum(steps.reshape(ny + 4, nx + 1)[2:-2, :nx], axis=1, dtype=np.float64).astype(np.float32)


def pores(rng: Rng, kind: Pores, face: SawnFace, table: RingTable) -> F32:
    """Return the share of each pixel of a face that vessels take (ny, nx)."""
    grid = face.grid
    ny, nx = grid.shape
    most = max(kind.early, kind.late)
    count = int(most * grid.area / (kind.width * kind.length))
    x, y, chance, size, heavy = rng.random((5, count), dtype=np.float32)
    x *= np.float32(grid.size[0])
    y *= np.float32(grid.size[1])
    column = np.minimum((x * np.float32(grid.density)).astype(np.int64), nx - 1)
    line = np.minimum((y * np.float32(grid.density)).astype(np.int64), ny - 1)
    off = y * np.float32(grid.density) - line - np.float32(0.5)  # rings are finer than pixels: read between rows
    beside = np.clip(line + np.where(off > 0, 1, -1), 0, ny - 1)
    radial = face.radial.reshape(-1)
    near = radial.take(line * nx + column)
    early = table.early.take(table.place(near + np.abs(off) * (radial.take(beside * nx + column) - near)))
    kept = np.flatnonzero(chance * most < kind.late + (kind.early - kind.late) * early)
    x, y, early, size, heavy = (each.take(kept) for each in (x, y, early, size, heavy))
    length = kind.length * np.float32(0.87) * (size / (1 - np.minimum(size, 0.99))) ** np.float32(0.32)  # log-logistic
    weight = np.minimum(kind.width * grid.density * (0.5 + 0.9 * heavy) * (0.6 + 0.4 * early), 1)
    density = np.float32(grid.density)
    return dashes((ny, nx), y * density - 0.5, (x - length / 2) * density, length * density, weight)


def pore_ends(rng: Rng, kind: Pores, early: F32) -> F32:
    """Return vessels cut across at a board's end, 0..1: dots a pixel or so wide, in shares as on a face."""
    share = kind.late + (kind.early - kind.late) * early
    return (rng.random(early.shape, dtype=np.float32) < share) * np.float32(0.8)


def board_factor(rng: Rng, spread: float) -> float:
    """Return a factor about 1 for a board, log-normal within two deviations, 1 in the mean."""
    return float(np.exp(spread * np.clip(rng.standard_normal(), -2, 2) - spread**2 / 2))


def ray_ends(rng: Rng, kind: Rays, grid: Grid) -> F32:
    """Return what rays add where the face cuts them end on: short dark lines along the grain, on some boards more."""
    density = np.float32(grid.density)
    end = kind.end * board_factor(rng, RAY_CONTRAST)
    count = int(kind.share * board_factor(rng, RAY_SHARES) * grid.area / (kind.thickness * kind.height))
    x, y = rng.random((2, count), dtype=np.float32) * np.array([[grid.size[0]], [grid.size[1]]], dtype=np.float32)
    length = kind.height * np.exp(0.4 * rng.standard_normal(count, dtype=np.float32))
    weight = end * min(kind.thickness * grid.density, 1.0) * rng.uniform(0.3, 1.0, count).astype(np.float32)
    return dashes(grid.shape, y * density - 0.5, (x - length / 2) * density, length * density, weight)


@lru_cache(maxsize=4)
def ray_lattice(height: float, thickness: float) -> F32:
    """Return a field of unit variance over `RAY_PLACES` that lies in spindles as high and thick as rays, metres."""
    from scipy.ndimage import gaussian_filter

    deviates = gaussian_filter(
        np.random.default_rng(1).standard_normal(RAY_PLACES, dtype=np.float32),
        (0.35 * height / RAY_ALONG, 0.42 * thickness / RAY_STEP),
        mode="wrap",
    )
    return np.asarray(deviates / deviates.std(), dtype=np.float32)


def ray_fleck(rng: Rng, kind: Rays, face: SawnFace) -> F32:
    """Return how much of a face is ray, 0..1 (ny, nx), where it runs along them: pale ribbons.

    Rays lie on a lattice of place along the ring by place along the grain, where it is high enough; the face looks its
    own place up, beginning anywhere. The share of the face they cover is their share of the wood (Delesse's principle
    of stereology), in the mean of boards.
    """
    from scipy.special import ndtri

    lattice = ray_lattice(kind.height, kind.thickness)
    along, ring = (int(rng.integers(places)) for places in RAY_PLACES)
    high, thick = (board_factor(rng, spread) for spread in RAY_SIZES)
    edge = np.float32(-ndtri(min(kind.share * board_factor(rng, RAY_SHARES), 0.5)))
    column = ((face.grid.x * np.float32(1 / RAY_ALONG / high)).astype(np.int32) + along) & (RAY_PLACES[0] - 1)
    place = (face.tangential * np.float32(1 / RAY_STEP / thick) + np.float32(ring + RAY_PLACES[1])).astype(np.int32)
    place &= RAY_PLACES[1] - 1
    place += (column * RAY_PLACES[1])[None, :]
    found = np.take(lattice.reshape(-1), place)
    return np.asarray(np.clip((found - edge) * np.float32(1.6) + np.float32(0.35), 0, 1), dtype=np.float32)


@lru_cache(maxsize=8)
def fibre_tile(density: float) -> F32:
    """Return fine streaks along the grain, of unit variance in half-millimetre pixels, as they look in pixels of
    1 / density along the grain and a `FIBRE_STEP` across; both ways it joins on to itself."""
    from scipy.ndimage import gaussian_filter, uniform_filter1d

    fine, coarse = (
        gaussian_filter(
            np.random.default_rng(seed).standard_normal(FIBRE_PLACES, dtype=np.float32),
            (max(across / FIBRE_STEP, 0.4), along / FIBRE_ALONG),
            mode="wrap",
        )
        for seed, across, along in ((2, 1.2e-4, 5e-3), (3, 4e-4, 30e-3))
    )
    tile = 0.75 * fine / fine.std() + 0.66 * coarse / coarse.std()
    tile /= uniform_filter1d(tile, 2, axis=0, mode="wrap").std()
    tile = uniform_filter1d(tile, max(round(1 / density / FIBRE_STEP), 1), axis=0, mode="wrap")
    tile = uniform_filter1d(tile, max(round(1 / density / FIBRE_ALONG), 1), axis=1, mode="wrap")
    count = round(FIBRE_PLACES[1] * FIBRE_ALONG * density)
    place = (np.arange(count) + 0.5) / count * FIBRE_PLACES[1] - 0.5
    first = np.floor(place).astype(np.int64)
    share = (place - first).astype(np.float32)
    left, right = (np.take(tile, each, axis=1, mode="wrap") for each in (first, first + 1))
    return np.ascontiguousarray(left + share * (right - left), dtype=np.float32)


def fibres(rng: Rng, grid: Grid) -> F32:
    """Return fibres over a face (ny, nx), taken out of the tile at a random place; the grain rises along the board
    by a degree or less that changes slowly."""
    tile = fibre_tile(grid.density)
    height, width = tile.shape
    top, left = rng.random(2)
    rise = smooth_line(rng, grid, 0.3) * np.float32(0.003 / FIBRE_STEP)
    rows = (grid.y * np.float32(1 / FIBRE_STEP) + np.float32(top * height + 64))[:, None] + rise[None, :]
    place = rows.astype(np.int32) & (height - 1)
    place *= width
    place += ((np.arange(grid.shape[1], dtype=np.int32) + int(left * width)) % width)[None, :]
    return np.take(tile.reshape(-1), place)


def cloud(rng: Rng, grid: Grid) -> F32:
    """Return the slow change of tone along and across a board, unit variance."""
    return 0.8 * smooth_field(rng, grid, 0.30, 0.035) + 0.6 * smooth_field(rng, grid, 0.08, 0.012)


def streaks(rng: Rng, count: int, grid: Grid) -> F32:
    """Return `count` mineral streaks, thin dark lenses along the grain, as depth 0..1."""
    x, y = grid.x, grid.y
    depth = np.zeros(grid.shape, dtype=np.float32)
    for _ in range(count):
        middle_x, middle_y = rng.uniform(0, grid.size[0]), rng.uniform(0, grid.size[1])
        half_x, half_y = rng.uniform(0.03, 0.12), rng.uniform(0.0005, 0.0016)
        drift = middle_y + 0.01 * (x - middle_x) * rng.standard_normal()
        taper = np.exp(-(((x - middle_x) / half_x) ** 2) * 2)
        depth += taper[None, :] * np.exp(-(((y[:, None] - drift[None, :]) / half_y) ** 2))
    return np.minimum(depth, 1)
