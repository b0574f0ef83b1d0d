"""Knots: branches that a face cuts, and the grain that flows round them.

A branch is a cone from the pith, square to it or rising; a face cuts it where it must: round on plainsawn faces, drawn
out to a spike on quartersawn ones. `q` is the distance from the branch's axis over its radius there, 1 on its surface.
Rings swell round a branch, and all that lies along the grain parts before it and closes behind it as the lines of an
even flow round a cylinder do: the flow at (u, v) from its middle came from v (1 - 1 / q^2) (Lamb, "Hydrodynamics",
art. 68, from memory), here with a shorter reach.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.wood.log import SawnFace, section

F32 = NDArray[np.float32]

PIN, BRANCH = 0.0016, 0.0055  # usual radius of a pin knot and of a larger one, metres
PINS = 0.45  # share of pin knots (common practice, no published source)
REACH = 1.6  # how far the grain minds a knot, in its radii beyond its surface
RISES = (0.0, 0.7)  # radians by which branches rise towards the crown
FAR = 9.0  # radii from a knot within which anything changes


@dataclass(frozen=True, eq=False)
class Knot:
    """A knot: `radius` in metres at the face, `middle` across the face, the `columns` it changes, and `q` (ny, k)."""

    radius: float
    middle: float
    columns: slice
    q: F32


def find_knots(rng: np.random.Generator, count: int, face: SawnFace) -> list[Knot]:
    """Return `count` knots of a face; of those the board is a little wider than, all are within it."""
    return [_find(rng, face) for _ in range(count)]


def _find(rng: np.random.Generator, face: SawnFace) -> Knot:
    grid = face.grid
    x, y, kind, rise, turn = rng.random(5)
    usual = PIN if kind < PINS else BRANCH
    radius = float(usual * np.exp(0.45 * np.clip(rng.standard_normal(), -2, 2)))
    x, y = x * grid.size[0], y * grid.size[1]
    rise = (RISES[0] + (RISES[1] - RISES[0]) * rise) * (1 if turn < 0.5 else -1)
    # A spike may cross the whole board; it bends as far along the grain as it rises.
    reach = FAR * radius + grid.size[1] * np.sin(face.angle) * np.tan(abs(rise))
    first, last = (int(np.clip((x + sign * reach) * grid.density, 0, grid.shape[1])) for sign in (-1, 1))
    columns = slice(first, max(last, first + 1))
    rho, tau = section(face.angle, face.turn, grid, face.towards[columns], face.along[columns])
    middle = min(int(y * grid.density), grid.shape[0] - 1), min(int(x * grid.density), grid.shape[1] - 1) - first
    middle = middle[0], min(max(middle[1], 0), rho.shape[1] - 1)
    out = np.array([rho[middle], tau[middle]])
    distance = float(np.hypot(*out))
    axis = np.array([np.sin(rise), *(np.cos(rise) * out / distance)], dtype=np.float32)
    length = np.float32(distance / np.cos(rise))  # of the branch, from the pith to the face
    away = (grid.x[columns] - np.float32(x))[None, :], rho - rho[middle], tau - tau[middle]
    ahead = sum(part * step for part, step in zip(away, axis, strict=True))
    square = sum(part * part for part in away) - ahead * ahead
    thick = np.maximum(radius * (1 + ahead / length), 0.2 * radius)
    return Knot(radius, y, columns, np.sqrt(np.maximum(square, 0)) / thick)


def swell(face: SawnFace, knots: list[Knot]) -> None:
    """Lift the rings of a face (in place) round its knots."""
    for knot in knots:
        face.radial[:, knot.columns] += np.float32(1.5 * knot.radius) * np.exp(knot.q * knot.q * np.float32(-1 / 7))


def flow(face: SawnFace, knots: list[Knot]) -> F32:
    """Return the y (ny, nx) that the grain now at each place would lie at without the knots, metres."""
    grid = face.grid
    came_from = np.broadcast_to(grid.y[:, None], grid.shape).copy()
    flat = np.float32(np.cos(face.angle))  # where the knot is a spike, the rings bend along it instead
    for knot in knots:
        beyond = np.maximum(knot.q, 1)
        share = flat / (beyond * beyond) * np.exp((1 - beyond) / np.float32(REACH))
        came_from[:, knot.columns] -= (grid.y[:, None] - np.float32(knot.middle)) * share
    return came_from


def carried(field: F32, came_from: F32, density: float) -> F32:
    """Return a field (ny, nx) with each place showing what lay at `came_from` (ny, nx), read between two rows."""
    row = np.clip(came_from * np.float32(density) - np.float32(0.5), 0, len(field) - 1.001)
    upper = row.astype(np.int32)
    share = row - upper
    above = np.take_along_axis(field, upper, axis=0)
    return np.asarray(above + share * (np.take_along_axis(field, upper + 1, axis=0) - above), dtype=np.float32)


def bend(angle: F32, lean: F32, came_from: F32, face: SawnFace, knots: list[Knot]) -> None:
    """Turn the fibres (in place, in pixels twice as large as the face's) round the knots, and up out of them."""
    ny, nx = angle.shape
    coarse = came_from.reshape(ny, 2, nx, 2).mean(axis=(1, 3))
    step = np.float32(2 / face.grid.density)
    along, across = np.gradient(coarse, axis=1) / step, np.gradient(coarse, axis=0) / step
    angle += np.arctan(-along / np.maximum(across, 0.15)).astype(np.float32)
    shape = face.radial.shape
    for knot in knots:
        near = np.zeros(shape, dtype=np.float32)
        near[:, knot.columns] = np.clip(1.6 - knot.q, 0, 1)
        lean += near.reshape(ny, 2, nx, 2).mean(axis=(1, 3)) * np.float32(face.bark * np.cos(face.angle))


def paint(lightness: F32, pore: F32, knots: list[Knot], deep: float) -> None:
    """Darken a face (in place) by its knots, `deep` units of lightness at most, and close its pores there."""
    for knot in knots:
        q = knot.q
        rings = 0.74 + 0.1 * np.cos(q * np.float32(min(2 * np.pi * knot.radius / 7e-4, 40.0)))
        rim = np.exp(-(((q - 1) / np.float32(0.16)) ** 2))
        beyond = np.maximum(q - 1, 0)  # rings crowd round a branch, and its colour runs out into the wood
        crowded = 0.5 + 0.22 * np.cos(beyond * np.float32(11)) * np.exp(-beyond * np.float32(0.8))
        halo = crowded * (0.75 * np.exp(beyond / np.float32(-0.35)) + 0.25 * np.exp(beyond / np.float32(-1.5)))
        heart = 0.3 * np.exp(-((q / np.float32(0.22)) ** 2))
        shade = np.maximum(np.where(q < 1, rings + heart, halo), np.where(q < 1, rim, 0.9 * rim))
        lightness[:, knot.columns] = lightness[:, knot.columns] * np.clip(3 * q - 2.2, 0, 1) - np.float32(deep) * shade
        pore[:, knot.columns] *= np.clip(q - 0.6, 0, 1)
