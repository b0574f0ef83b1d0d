"""What crosses the rings: pores, rays, fibres, streaks and knots. Each is a field of CIELAB lightness over a face."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.wood.log import Face, RingTable
from preview.wood.smooth import smooth_field, smooth_line
from preview.wood.species import Pores, Rays

F32 = NDArray[np.float32]
Rng = np.random.Generator

RAY_STEP, RAY_ALONG = 8e-5, 2e-3  # of the lattice that rays are drawn on: along the ring and along the grain, metres


def dashes(shape: tuple[int, int], row: F32, start: F32, length: F32, weight: F32) -> F32:
    """Return a picture (ny, nx) of dashes along the rows: each adds `weight`, shared by the two rows next to its
    own `row`, from column `start` for `length` columns. All in pixels; what leaves the picture is cut off.

    Each dash is a step up and a step down; their running sum along the row draws all of them at once.
    """
    ny, nx = shape
    upper = np.floor(row).astype(np.int64)
    lower_share = (row - upper).astype(np.float32)
    first = np.clip(start.astype(np.int64), 0, nx)
    last = np.clip((start + length + 0.5).astype(np.int64), 0, nx)
    steps = np.zeros(ny * (nx + 1), dtype=np.float64)
    for rows, share in ((upper, 1 - lower_share), (upper + 1, lower_share)):
        inside = (rows >= 0) & (rows < ny)
        base, amount = rows[inside] * (nx + 1), (weight * share)[inside]
        places = np.concatenate([base + first[inside], base + last[inside]])
        steps += np.bincount(places, np.concatenate([amount, -amount]), minlength=len(steps))
    return np.cumsum(steps.reshape(ny, nx + 1)[:, :nx], axis=1, dtype=np.float64).astype(np.float32)


def pores(rng: Rng, kind: Pores, face: Face, table: RingTable, size: tuple[float, float], density: float) -> F32:
    """Return how much the vessels of a face `size` (length, width) metres darken it."""
    ny, nx = face.radial.shape
    most = max(kind.early, kind.late)
    count = int(most * size[0] * size[1] / (kind.width * kind.length))
    x, y, chance = rng.random((3, count), dtype=np.float32) * np.array([[size[0]], [size[1]], [most]], dtype=np.float32)
    column, line = (
        np.minimum((x * density).astype(np.int64), nx - 1),
        np.minimum((y * density).astype(np.int64), ny - 1),
    )
    early = table.early[table.place(face.radial[line, column])]
    kept = chance < kind.late + (kind.early - kind.late) * early
    x, y, early = x[kept], y[kept], early[kept]
    length = kind.length * np.exp(0.55 * rng.standard_normal(len(x), dtype=np.float32) - 0.15)
    weight = kind.depth * kind.width * density * rng.uniform(0.5, 1.4, len(x)).astype(np.float32) * (0.6 + 0.4 * early)
    return dashes(
        (ny, nx), y * density - 0.5, (x - length / 2) * density, length * density, np.minimum(weight, kind.depth)
    )


def ray_ends(rng: Rng, kind: Rays, shape: tuple[int, int], size: tuple[float, float], density: float) -> F32:
    """Return what rays add where the face cuts them end on: short dark lines along the grain."""
    count = int(kind.share * size[0] * size[1] / (kind.thickness * kind.height))
    x, y = rng.random((2, count), dtype=np.float32) * np.array([[size[0]], [size[1]]], dtype=np.float32)
    length = kind.height * np.exp(0.4 * rng.standard_normal(count, dtype=np.float32))
    weight = kind.end * min(kind.thickness * density, 1.0) * rng.uniform(0.3, 1.0, count).astype(np.float32)
    return dashes(shape, y * density - 0.5, (x - length / 2) * density, length * density, weight)


def ray_fleck(rng: Rng, kind: Rays, face: Face, length: float, density: float) -> F32:
    """Return what rays add where the face runs along them: pale ribbons.

    Rays are drawn on a lattice of place along the ring by place along the grain; the face looks its own place up. The
    share of the face they cover is their share of the wood (Delesse's principle of stereology).
    """
    from scipy.ndimage import gaussian_filter

    low, high = float(face.tangential.min()), float(face.tangential.max())
    nx, ny = int(length / RAY_ALONG) + 2, int((high - low) / RAY_STEP) + 2
    deviates = gaussian_filter(
        rng.standard_normal((nx, ny), dtype=np.float32),
        (0.35 * kind.height / RAY_ALONG, 0.42 * kind.thickness / RAY_STEP),
    )
    deviates /= deviates.std()
    edge = float(np.quantile(deviates[:: max(nx // 200, 1), :: max(ny // 200, 1)], 1 - kind.share))
    body = np.clip((deviates - edge) * 1.6 + 0.35, 0, 1)
    columns = np.arange(face.radial.shape[1], dtype=np.float32) / np.float32(density)
    half = np.minimum((columns * (2 / RAY_ALONG)).astype(np.int64), 2 * nx - 3)
    finer = np.concatenate([body[:-1, None], (body[:-1, None] + body[1:, None]) / 2], axis=1).reshape(-1, ny)
    place = ((face.tangential - np.float32(low)) * np.float32(1 / RAY_STEP)).astype(np.int64)
    place += (half * ny)[None, :]
    return np.float32(kind.fleck) * np.take(finer.reshape(-1), place)


def fibre_tile(rng: Rng, density: float) -> F32:
    """Return a tile (1024, 2048) of fine streaks along the grain, unit variance, that joins on to itself."""
    from scipy.ndimage import gaussian_filter

    fine, coarse = (
        gaussian_filter(
            rng.standard_normal((1024, 2048), dtype=np.float32),
            (max(across * density, 0.4), along * density),
            mode="wrap",
        )
        for across, along in ((1.2e-4, 5e-3), (4e-4, 30e-3))
    )
    tile = 0.75 * fine / fine.std() + 0.66 * coarse / coarse.std()
    return (tile / tile.std()).astype(np.float32)


def fibres(rng: Rng, tile: F32, slope: F32, shape: tuple[int, int]) -> F32:
    """Return fibres over a face, taken out of the tile at a random place; `slope` (nx,) pixels, how the grain rises."""
    ny, nx = shape
    height, width = tile.shape
    top, left = rng.integers(height), rng.integers(width)
    rows = (np.arange(ny)[:, None] + np.rint(slope).astype(np.int64)[None, :] + top) & (height - 1)
    rows *= width
    rows += ((np.arange(nx) + left) & (width - 1))[None, :]
    return np.take(tile.reshape(-1), rows)


def cloud(rng: Rng, x: F32, y: F32) -> F32:
    """Return the slow change of tone along and across a board, unit variance."""
    return 0.8 * smooth_field(rng, x, y, 0.30, 0.035) + 0.6 * smooth_field(rng, x, y, 0.08, 0.012)


def streaks(rng: Rng, count: int, x: F32, y: F32, shape: tuple[int, int]) -> F32:
    """Return `count` mineral streaks, thin dark lenses along the grain, as depth 0..1."""
    depth = np.zeros(shape, dtype=np.float32)
    for _ in range(count):
        middle_x, middle_y = rng.uniform(0, x[-1]), rng.uniform(0, y[-1])
        half_x, half_y = rng.uniform(0.03, 0.12), rng.uniform(0.0005, 0.0016)
        drift = middle_y + 0.01 * (x - middle_x) * rng.standard_normal()
        taper = np.exp(-(((x - middle_x) / half_x) ** 2) * 2)
        depth += taper[None, :] * np.exp(-(((y[:, None] - drift[None, :]) / half_y) ** 2))
    return np.minimum(depth, 1)


def knots(rng: Rng, count: int, x: F32, y: F32, radial: F32) -> F32:
    """Return `count` knots as depth 0..1 and lift `radial` (changed in place) so that the grain flows round them."""
    depth = np.zeros(radial.shape, dtype=np.float32)
    for _ in range(count):
        middle_x, middle_y = rng.uniform(0, x[-1]), rng.uniform(0, y[-1])
        size = float(np.exp(rng.normal(np.log(0.005), 0.5)))
        u, v = ((x - middle_x) / (1.25 * size))[None, :], ((y - middle_y) / size)[:, None]
        far = np.sqrt(u * u + v * v)
        radial += (1.6 * size * np.exp(-(far * far) / 8)).astype(np.float32)
        ring = 0.75 + 0.25 * np.cos(far * 9 + smooth_angle(u, v))
        depth = np.maximum(depth, np.where(far < 1, ring, np.exp(-((far - 1) * 2.2))).astype(np.float32))
    return depth


def smooth_angle(u: F32, v: F32) -> F32:
    """Return a gentle wobble of a knot's own rings, by direction."""
    return np.asarray(0.8 * np.sin(2 * np.arctan2(v, u) + 0.7), dtype=np.float32)


def grain_rise(rng: Rng, x: F32, density: float) -> F32:
    """Return how the fibres rise along the board, pixels (nx,): a degree or less of slope that changes slowly."""
    return smooth_line(rng, x, 0.3) * np.float32(0.003 * density)
