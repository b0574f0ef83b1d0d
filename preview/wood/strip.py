"""One strip of stock: a long board's face drawn from its own log, and the log's section at its end.

All colour on a strip is a field of CIELAB lightness about the mean of the wood; one table turns lightness into
colour, stain and code value at once, so that a pixel costs a few additions and one look-up. Beside it lie what light
plays on: pores, the direction of the fibres and how strongly they shine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.colour import lab_to_linear, linear_to_srgb, srgb_to_linear
from preview.wood import grain_fields, knots, log
from preview.wood.film import finished
from preview.wood.material_types import CLEAR, Finish, Grade, Lab, Species, Stain
from preview.wood.smooth import Grid, make_grid

F32 = NDArray[np.float32]

# The table's reach in units of lightness about the mean, and entries a unit.
DARKEST, LIGHTEST, SHADES = -45.0, 20.0, 16
FINE = 640  # pixels a metre that rings and pores are drawn at, or more
LEVELS = 8  # of the passage from heartwood to sapwood
STREAK, KNOT = 5.0, 25.0  # units of lightness that a mineral streak and a knot darken by
FLECK_LIMIT = 0.55  # of the cosine of the ring angle: beyond it rays show their ends, not their sides
END = 6.0  # units of lightness by which an end is darker than a face: its pores stand open to the eye; an estimate
STEEPEST = 0.5  # radians of fibre angle and lean that the pictures' bytes reach
LEVEL_FIBRE = 128.0  # the byte of a fibre that neither turns nor leans, and of one that shines as usual
FIBRE_BYTES = 127.0  # from there to the steepest
SATIN = 0.02  # radians by which single fibres lean, standard deviation; an estimate
DULL_EARLY, DULL_PORE, BRIGHT_RAY = 0.35, 0.7, 0.35  # how much fibres shine less or more there; estimates
# How strongly rings and pores are drawn on boards, times the species' own: the mean, and the standard deviation of the
# logarithm. Estimates: on some boards they stand out, on others one must look for them.
FIGURED = (0.8, 0.25)


@dataclass(frozen=True)
class Timber:
    """What a strip is sawn from: the wood, how it is sawn and sorted, and what is put on it."""

    species: Species
    cut: str
    grade: Grade
    stain: Stain
    seed: int
    finish: Finish = CLEAR


@dataclass(frozen=True, eq=False)
class Strip:
    """A drawn strip of `density` pixels a metre.

    picture (ny, nx, 4) uint8: sRGB albedo, and the share of the pixel that lies open as pores.
    grain (ny / 2, nx / 2, 3) uint8: the fibres' angle in the face towards growing y and their lean out of it, each
    128 + 127 value / `STEEPEST`, and their shine, 128 the usual.
    end (ny, m, 4) uint8: the same as picture, of the strip's end, columns going down into the board.
    mean (3,): of the albedo, linear RGB.
    """

    picture: NDArray[np.uint8]
    grain: NDArray[np.uint8]
    end: NDArray[np.uint8]
    mean: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Look:
    """A face before it is coloured: `lightness` (ny, nx) about the mean, `other` (ny, nx) the share of the wood
    that grades keep out or None, `pore` (ny, nx) 0..1; `angle`, `lean` radians and `shine` about 1, in pixels twice as
    large. `end_lightness`, `end_pore` (ny, m) are the end's. `face` is where it lies in its log."""

    face: log.SawnFace
    lightness: F32
    other: F32 | None
    pore: F32
    angle: F32
    lean: F32
    shine: F32
    end_lightness: F32
    end_pore: F32


def shades(species: Species, base: Lab, stain: Stain, finish: Finish) -> NDArray[np.uint8]:
    """Return the colours (n, 4) uint8 of a wood from `DARKEST` to `LIGHTEST` about its mean: sRGB and a zero."""
    lightness = np.arange(DARKEST, LIGHTEST, 1 / SHADES)
    lost = -lightness
    chroma = np.clip((base.lightness + lightness) / base.lightness, 0.15, 1.3)  # black has no hue
    lab = np.stack(
        [
            np.maximum(base.lightness + lightness, 2),
            (base.a + species.shift[0] * np.clip(lost, -8, 12)) * chroma**0.35,
            (base.b + species.shift[1] * np.clip(lost, -8, 12)) * chroma**0.35,
        ],
        axis=-1,
    )
    # What is some 3 to 16 units darker than the mean is open, earlywood and pores; a knot, darker still, is dense.
    open_wood = np.clip((lost - 3) / 8, 0, 1) * np.clip((24 - lost) / 6, 0, 1)
    linear = finished(lab_to_linear(lab), stain, finish, open_wood)
    code = np.rint(255 * linear_to_srgb(linear)).astype(np.uint8)
    return np.concatenate([code, np.zeros_like(code[:, :1])], axis=1)


@cache
def colour_table(timber: Timber) -> NDArray[np.uint8]:
    """Return the shades (`LEVELS`, n, 4) uint8 from clear boards' wood to the wood that grades keep out."""
    main, other = np.array(timber.species.main), np.array(timber.species.other)
    mixes = (Lab(*(main + share * (other - main))) for share in np.linspace(0, 1, LEVELS))
    return np.stack([shades(timber.species, mix, timber.stain, timber.finish) for mix in mixes])


@cache
def _light_of(timber: Timber) -> NDArray[np.float64]:
    """Return the colours of the colour table in linear RGB, one after another (`LEVELS` n, 3)."""
    return srgb_to_linear(colour_table(timber).reshape(-1, 4)[:, :3] / 255)


def look_of(rng: np.random.Generator, timber: Timber, grid: Grid, into: F32) -> Look:
    """Return how a face sawn from a log of its own looks; `into` (m,) metres down its end."""
    from scipy.ndimage import gaussian_filter1d

    species, grade = timber.species, timber.grade
    # Each subject draws from a stream of its own, so that a change in one doesn't reshuffle the rest.
    sawing, growing, vessels, rays, fine, slow, faults, fibres = rng.spawn(8)
    face = log.saw(sawing, timber.cut, grid)
    found = knots.find_knots(faults, int(faults.poisson(grade.knots * grid.area)), face)
    knots.swell(face, found)
    # A log is grown from a fixed place so that the rings don't depend on how much of it the strip shows.
    table = log.grow(growing, species.rings, max(face.radius - 0.12, 0.005), face.radius + 0.16)
    figured = np.float32(FIGURED[0] * grain_fields.board_factor(growing, FIGURED[1]))
    rings = figured * table.lightness
    seen = gaussian_filter1d(rings, 0.45 * max(np.sin(face.angle), 0.15) / grid.density / log.STEP)
    place = table.place(face.radial)
    lightness = np.take(seen, place)
    lightness += species.cloud * grain_fields.cloud(slow, grid)
    threads = grain_fields.fibres(fine, grid)
    lightness += species.fibre * threads
    pore = grain_fields.pores(vessels, species.pores, face, table)
    shine = 1 - DULL_EARLY * np.take(table.early, place[::2, ::2])
    if species.rays.share and np.cos(face.angle) < FLECK_LIMIT:
        fleck = grain_fields.ray_fleck(rays, species.rays, face)
        contrast = grain_fields.board_factor(rays, grain_fields.RAY_CONTRAST)
        lightness += np.float32(contrast * species.rays.fleck) * fleck
        shine += np.float32(BRIGHT_RAY) * fleck[::2, ::2]
    elif species.rays.share:
        lightness += grain_fields.ray_ends(rays, species.rays, grid)
    angle, lean = log.fibre_directions(fibres, face, species.figure)
    lean += np.float32(SATIN) * threads[::2, ::2]
    if found:
        came_from = knots.flow(face, found)
        lightness, pore = (knots.carried(field, came_from, grid.density) for field in (lightness, pore))
        knots.bend(angle, lean, came_from, face, found)
    lightness -= figured * np.float32(species.pores.depth) * pore
    np.minimum(pore, 1, out=pore)
    level = lightness.mean()
    lightness -= level
    streaks = int(faults.poisson(species.streaks * grade.streaks * grid.area))
    if streaks:
        lightness -= STREAK * grain_fields.streaks(faults, streaks, grid)
    knots.paint(lightness, pore, found, KNOT)
    shine -= np.float32(DULL_PORE) * pore[::2, ::2]
    shine /= shine.mean()
    inner = log.depths(face, grid.shape[1] // 2, into)
    row = table.place(inner)
    end_pore = grain_fields.pore_ends(vessels, species.pores, np.take(table.early, row))
    end_lightness = np.take(rings, row) - np.float32(level + END) - np.float32(species.pores.depth) * end_pore
    sapwood_sold = timber.species.shows == "sapwood"
    mixed = faults.random() < max(grade.sapwood, species.mixed)
    other = _other(faults, face, lightness, sapwood_sold) if mixed else None
    if found and (other is not None or sapwood_sold):
        other = np.zeros(grid.shape, dtype=np.float32) if other is None else other
        for knot in found:  # a branch is heartwood
            outside = np.clip(2 * knot.q - 1.4, 0, 1)
            other[:, knot.columns] = other[:, knot.columns] * outside + (1 - outside) * np.float32(sapwood_sold)
    return Look(face, lightness, other, pore, angle, lean, shine, end_lightness, end_pore)


def _other(rng: np.random.Generator, face: log.SawnFace, lightness: F32, inner: bool) -> F32:
    """Return the share (ny, nx) of the wood that grades keep out, which lies beyond a ring, or within one: `inner`."""
    share = rng.uniform(0.6, 0.95)
    edge = np.quantile(face.radial[::8, ::8], 1 - share if inner else share)
    beyond = (face.radial - np.float32(edge)) / np.float32(-0.003 if inner else 0.003)
    return np.asarray(np.clip(beyond + 0.05 * lightness, 0, 1), dtype=np.float32)


def draw(key: tuple[int, ...], timber: Timber, size: tuple[float, float], density: float, depth: float = 0.0) -> Strip:
    """Draw the strip that `key` (non-negative integers) names, `size` (length, width) metres; `depth` of its end.

    Wood is drawn at no less than `FINE` and brought down by averaging light, so that rings finer than a pixel give
    their mean and not a pattern of their own.
    """
    rng = np.random.default_rng(np.random.SeedSequence(key))
    wanted, times = make_grid(size, density), max(math.ceil(FINE / density), 1)
    grid = Grid(size, density * times, (wanted.shape[0] * times, wanted.shape[1] * times))
    columns = np.arange(end_width(depth, density) * times, dtype=np.float32)
    look = look_of(rng, timber, grid, (columns + np.float32(0.5)) / np.float32(grid.density))
    picture, mean = _coloured(timber, look.lightness, look.other, look.pore)
    end, _ = _coloured(timber, look.end_lightness, None, look.end_pore)
    grain = np.empty((*look.angle.shape, 3), dtype=np.uint8)
    for channel, steep in enumerate((look.angle, look.lean)):
        turned = steep * np.float32(FIBRE_BYTES / STEEPEST)
        grain[..., channel] = np.clip(turned + np.float32(LEVEL_FIBRE + 0.5), 1, 255)
    grain[..., 2] = np.clip(look.shine * np.float32(LEVEL_FIBRE) + np.float32(0.5), 0, 255)
    return Strip(_averaged(picture, times), _mean_of(grain, times), _averaged(end, times), mean)


def _averaged(picture: NDArray[np.uint8], times: int) -> NDArray[np.uint8]:
    """Return an sRGB picture with alpha brought down `times`, by the mean of its light."""
    if times == 1:
        return picture
    linear = srgb_to_linear(np.arange(256) / 255).astype(np.float32)
    code = np.rint(255 * linear_to_srgb(np.linspace(0, 1, 4096))).astype(np.uint8)
    small = np.empty((picture.shape[0] // times, picture.shape[1] // times, 4), dtype=np.uint8)
    light = np.take(linear, picture[..., :3])
    small[..., :3] = np.take(code, (_mean_of(light, times) * np.float32(4095) + np.float32(0.5)).astype(np.int32))
    small[..., 3:] = _mean_of(picture[..., 3:], times)
    return small


def _mean_of(field: NDArray[Any], times: int) -> NDArray[Any]:
    """Return an image (ny, nx, c) brought down `times` by the mean, of its own kind."""
    ny, nx = field.shape[0] // times, field.shape[1] // times
    mean = field.reshape(ny, times, nx, times, -1).mean(axis=(1, 3), dtype=np.float32)
    return mean.astype(field.dtype) if field.dtype == np.float32 else np.rint(mean).astype(field.dtype)


def end_width(depth: float, density: float) -> int:
    """Return how many columns of pixels show an end `depth` metres deep, an even number."""
    return 2 * max(round(depth * density / 2), 1)


def _coloured(
    timber: Timber, lightness: F32, other: F32 | None, pore: F32
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """Return the picture (ny, nx, 4) of a field of lightness (overwritten), and its mean in linear RGB (3,)."""
    table = colour_table(timber)
    count = table.shape[1]
    lightness -= np.float32(DARKEST - 0.5 / SHADES)
    lightness *= np.float32(SHADES)
    place = np.clip(lightness, 0, count - 1, out=lightness).astype(np.int32)
    if other is not None:
        place += np.rint(other * (LEVELS - 1)).astype(np.int32) * count
    flat = table.reshape(-1, 4)
    picture = np.take(flat.view(np.uint32), place).view(np.uint8).reshape(*place.shape, 4)
    picture[..., 3] = pore * np.float32(255)
    share = np.bincount(place.reshape(-1), minlength=len(flat)) / place.size
    return picture, share @ _light_of(timber)
