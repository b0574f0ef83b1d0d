"""Daylight straight from the panes: analytic form factors of their parts, times how much of each part is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.colour import luminance
from preview.light.coat import Coat
from preview.light.geometry.factors import pair_factors, split_polygon
from preview.light.geometry.ray_tracing import Tracer, in_threads
from preview.light.hemisphere import even_points
from preview.light.sources.glass import Glazing
from preview.light.sources.sky import Sky
from preview.model.model import Pane

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far 95 of a hundred places are off, of the floor and of the shell, by tests/benchmarks/convergence.py, per cent.
# Beside a step finer: cells 0.5, 0.9 (0.9 m: 1.7, 4.8), cut in 3 0.4, 1.0 (in 2: 1.4, 4.4), near 0.3, 0.2, steps 0.0,
# 0.1, waves 0.0, 0.1. Beside four times as many: rays 0.5, 0.7 (4 rays: 6.3, 5.5), more of them 0.2, 0.2.
CELL, FINE = 0.45, 3  # metres, and into how many a cell is cut each way for points nearer than NEAR cells
NEAR = 1.5
MOST_PAIRS = 2_500_000  # of a point and a cell: where there are many of both, cells are larger
MOST_RAYS = 40_000_000  # fewer at first would miss the bars of sashes, and find too much light
STEPS = 10  # of the cosine of light's way, in what a coat mirrors
WAVES = 3  # round the compass, in the same
RAYS, LEAST_RAYS = 16, 8  # through a cell of a pane; the fewer where those would be more than the most
MORE = 4  # times the rays where a cell is seen in part


@dataclass(frozen=True, eq=False)
class PaneLight:
    """Light straight from the panes: irradiance of the points (n, 3). Of those that face up, the floor's (f, 3): what
    of it a coat passes, what it mirrors, the sum of directions by luminance; and by what ways that comes which is
    mirrored: `moments` (f, STEPS, WAVES + 1), complex, for even steps of the way's cosine the sum of luminance, and the
    sums of luminance times exp(i k b), b the bearing that it comes from and k up to WAVES."""

    irradiance: Array
    passed: Array
    mirrored: Array
    towards: Array
    moments: NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class PaneVisibility:
    """Pairs of a point and a part of a pane it sees, sorted by point: point (p,), factor (p,) form factor times visible
    part, towards (p, 3) unit direction from the point to the part, cosine (p,) of the incidence on the glass; `count`
    points in all."""

    point: NDArray[np.int32]
    factor: NDArray[np.float32]
    towards: NDArray[np.float32]
    cosine: NDArray[np.float32]
    count: int

    def light(self, sky: Sky, glass: Glazing, coat: Coat, first: int) -> PaneLight:
        """Return the light of the points, those from `first` on being the floor's under a coat.

        The sky is of one colour and so is the ground: how much of each is seen is all that is summed.
        """
        at = int(np.searchsorted(self.point, first))

        def work(part: slice) -> tuple[Array, Array, Array]:
            """Return how much light pairs give, and of the floor's what the coat passes and mirrors, all (p,)."""
            towards = self.towards[part]
            light = np.pi * self.factor[part] * glass.transmittance(self.cosine[part]) * sky.relative(towards)
            floor = slice(max(at - part.start, 0), None)
            height = np.maximum(towards[floor, 2], 0)
            return light, light[floor] * coat.passes(height), light[floor] * coat.mirrors(height)

        found = in_threads(work, len(self.point), 50_000)
        light, passed, mirrored = (np.concatenate(each) for each in zip([np.zeros(0)] * 3, *found, strict=True))
        colours = np.stack([sky.ground, sky.zenith])
        index = 2 * self.point + (self.towards[:, 2] > 0)  # of a point's ground, or its sky

        def total(index: NDArray[np.int32], light: Array, count: int) -> Array:
            return np.asarray(np.bincount(index, light, 2 * count).reshape(count, 2) @ colours)

        floor, own, count = index[at:] - 2 * first, self.point[at:] - first, self.count - first
        bright = light[at:] * luminance(colours)[floor % 2]
        towards = [np.bincount(own, bright * each, count) for each in self.towards[at:].T]
        return PaneLight(
            total(index, light, self.count),
            total(floor, passed, count),
            total(floor, mirrored, count),
            np.stack(towards, axis=-1).astype(float),  # bincount counts in integers where there is nothing
            _moments(own, count, self.towards[at:], mirrored * luminance(colours)[floor % 2]),
        )


def _moments(
    point: NDArray[np.int32], count: int, towards: NDArray[np.float32], light: Array
) -> NDArray[np.complex128]:
    """Return how the light (p,) of points comes, from unit directions (p, 3): (count, STEPS, WAVES + 1), see
    `PaneLight`."""
    step = np.minimum((np.maximum(towards[:, 2], 0) * STEPS).astype(np.int64), STEPS - 1)
    place, total = point.astype(np.int64) * STEPS + step, count * STEPS
    bearing = towards[:, 0] + 1j * towards[:, 1]
    bearing /= np.maximum(np.abs(bearing), 1e-9)
    found = np.zeros((total, WAVES + 1), complex)
    wave = light.astype(complex)
    for each in range(WAVES + 1):
        found[:, each] = np.bincount(place, wave.real, total) + 1j * np.bincount(place, wave.imag, total)
        wave = wave * bearing
    return found.reshape(count, STEPS, WAVES + 1)


def find_pane_visibility(panes: tuple[Pane, ...], points: Array, normals: Array, tracer: Tracer) -> PaneVisibility:
    """Return what points (n, 3) with normals (n, 3) see of the glazed `panes`, which stand upright.

    A cell that reaches both over and under a point's eye level shows it sky and ground: it is counted in two parts.
    """
    glazed = [each for each in panes if each.glazed]
    cells, inward, point, cell = _pairs(glazed, points, normals)
    low, high = cells[..., 2].min(axis=1), cells[..., 2].max(axis=1)
    level = points[point, 2]
    both = np.flatnonzero((low[cell] < level - 1e-6) & (high[cell] > level + 1e-6))
    side = np.zeros(len(point), dtype=np.int8)
    side[both] = 1
    point, cell = np.concatenate([point, point[both]]), np.concatenate([cell, cell[both]])
    side = np.concatenate([side, np.full(len(both), -1, dtype=np.int8)])

    def shapes(part: slice) -> Array:
        return _cut_at_eye_level(cells[cell[part]], points[point[part], 2], side[part])

    def factors(part: slice) -> Array:
        corners = shapes(part)
        return pair_factors(points, normals, corners, point[part], np.arange(len(corners)))

    factor = _joined(in_threads(factors, len(point), 50_000))
    kept = factor > 1e-7
    point, cell, side, factor = point[kept], cell[kept], side[kept], factor[kept]
    rays = RAYS if len(point) * RAYS <= MOST_RAYS else LEAST_RAYS
    seen = _Occlusion(points, normals, cells, inward, tracer)
    factor = factor * _visible(seen, point, cell, side, rays)
    kept = factor > 0
    point, cell, side, factor = point[kept], cell[kept], side[kept], factor[kept]
    middles = [shapes(part).mean(axis=1) for part in _slices(len(point))]
    towards = np.concatenate([np.zeros((0, 3)), *middles]) - points[point]
    towards /= np.linalg.norm(towards, axis=1, keepdims=True)
    cosine = np.maximum(-np.einsum("pk,pk->p", towards, inward[cell]), 0.0)
    order = np.argsort(point, kind="stable")
    near, ways, slants = (each[order].astype(np.float32) for each in (factor, towards, cosine))
    return PaneVisibility(point[order].astype(np.int32), near, ways, slants, len(points))


def _cut_at_eye_level(corners: Array, level: Array, side: NDArray[np.int8]) -> Array:
    """Return what of upright cells (p, 4, 3) lies over `level` (p,) where side is 1, under it where -1."""
    cut = corners.copy()
    over, under = side == 1, side == -1
    cut[over, :, 2] = np.maximum(cut[over, :, 2], level[over, None])
    cut[under, :, 2] = np.minimum(cut[under, :, 2], level[under, None])
    return cut


def _slices(total: int, at_once: int = 200_000) -> list[slice]:
    return [slice(start, min(start + at_once, total)) for start in range(0, total, at_once)]


def _joined(parts: list[Array]) -> Array:
    return np.concatenate([np.zeros(0), *parts])


def _pairs(panes: list[Pane], points: Array, normals: Array) -> tuple[Array, Array, Ints, Ints]:
    """Return all cells (c, 4, 3) of all panes, each one's inward normal (c, 3), and the pairs (point, cell)."""
    cells, inward, point, cell = [np.zeros((0, 4, 3))], [np.zeros((0, 3))], [np.zeros(0, int)], [np.zeros(0, int)]
    start = 0
    cut = int(np.clip(np.sqrt(MOST_PAIRS / max(len(points) * len(panes), 1)), 1, 4))
    for pane in panes:
        own, seer, seen = _see(pane, points, normals, cut)
        cells.append(own)
        inward.append(np.tile(pane.inward, (len(own), 1)))
        point.append(seer)
        cell.append(seen + start)
        start += len(own)
    return np.concatenate(cells), np.concatenate(inward), np.concatenate(point), np.concatenate(cell)


def _see(pane: Pane, points: Array, normals: Array, cut: int) -> tuple[Array, Ints, Ints]:
    """Return the cells of a pane, coarse (at most `cut` each way) then fine (c, 4, 3), and the pairs (point, cell) that
    lie on the right side of each other."""
    coarse = split_polygon(np.asarray(pane.corners, dtype=float), CELL, most=cut)
    fine = np.concatenate([split_polygon(each, CELL, least=FINE, most=FINE) for each in coarse])
    middle = coarse.mean(axis=1)
    size = np.linalg.norm(coarse[:, 0] - coarse[:, 2], axis=1)
    offset = np.einsum("nk,nk->n", points, normals)[:, None]
    above = (np.einsum("ckj,nj->nck", coarse, normals) > offset[..., None] + 1e-9).any(axis=2)
    inside = ((points - pane.corners[0]) @ np.asarray(pane.inward) > 1e-6)[:, None]
    away = np.linalg.norm(points[:, None] - middle, axis=-1)
    near = away < NEAR * size
    point, cell = np.nonzero(above & inside & ~near)
    point_near, parent = np.nonzero(above & inside & near)
    children = parent[:, None] * FINE**2 + np.arange(FINE**2) + len(coarse)
    return (
        np.concatenate([coarse, fine]),
        np.concatenate([point, np.repeat(point_near, FINE**2)]),
        np.concatenate([cell, children.ravel()]),
    )


@dataclass(frozen=True, eq=False)
class _Occlusion:
    """Points with normals (n, 3), cells of panes (c, 4, 3) with inward normals (c, 3), and what is in the way."""

    points: Array
    normals: Array
    cells: Array
    inward: Array
    tracer: Tracer


def _visible(seen: _Occlusion, point: Ints, cell: Ints, side: NDArray[np.int8], rays: int) -> Array:
    """Return the part of each cell's light that its point sees, (p,): by `rays` rays, and where those disagree by
    more."""
    part = _seen_part(seen, point, cell, side, rays, weighted=False)
    unsure = np.flatnonzero((part > 0) & (part < 1))
    more = min(MORE * rays, int(2 ** np.floor(np.log2(max(MOST_RAYS / max(len(unsure), 1), 1)))))
    part[unsure] = _seen_part(seen, point[unsure], cell[unsure], side[unsure], max(more, rays), weighted=True)
    return part


def _seen_part(seen: _Occlusion, point: Ints, cell: Ints, side: NDArray[np.int8], rays: int, weighted: bool) -> Array:
    """Return the part of cells that points see: of their area or, `weighted`, of the light of theirs that would fall
    there, which from a corner near a jamb is another thing altogether."""
    # Each cell's samples are shifted by an amount of its own (Cranley & Patterson 1976), so that edges of shadow that
    # run across several cells do not step in all of them at once.
    shift = (np.arange(len(seen.cells))[:, None, None] * [0.7548776662466927, 0.5698402909980532]) % 1.0
    s, t = np.moveaxis((even_points(rays, 2) + shift) % 1.0, 2, 0)
    weights = np.stack([(1 - s) * (1 - t), s * (1 - t), s * t, (1 - s) * t], axis=-1).astype(np.float32)
    targets = np.einsum("crk,ckj->crj", weights, seen.cells.astype(np.float32))
    points, normals, inward = (each.astype(np.float32) for each in (seen.points, seen.normals, seen.inward))

    def work(part: slice) -> Array:
        mine, its = point[part], cell[part]
        ends = targets[its]
        starts = np.repeat(points[mine], rays, axis=0)
        clear = seen.tracer.clear(starts, ends.reshape(-1, 3)).reshape(-1, rays)
        if not weighted:
            return np.asarray(clear.mean(axis=1))
        way = ends - points[mine][:, None]
        square = np.einsum("prk,prk->pr", way, way)
        here = np.maximum(np.einsum("prk,pk->pr", way, normals[mine]), 0)
        light = here * np.abs(np.einsum("prk,pk->pr", way, inward[its])) / np.maximum(square * square, 1e-12)
        light *= side[part][:, None] * way[..., 2] >= 0
        total = light.sum(axis=1)
        share = (clear * light).sum(axis=1) / np.maximum(total, 1e-30)
        return np.where(total > 0, share, clear.mean(axis=1))

    return _joined(in_threads(work, len(point), 400_000 // rays))
