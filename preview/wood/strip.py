"""One strip of stock: a long board's face drawn from its own log, as an albedo picture.

All that happens on a strip is a field of CIELAB lightness about the mean of the wood; one table turns lightness into
colour, stain and code value at once, so that a pixel costs a few additions and one look-up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.wood import details, log
from preview.wood.colour import lab_to_linear, linear_to_srgb, srgb_to_linear
from preview.wood.film import finished
from preview.wood.species import CLEAR, Finish, Grade, Lab, Species, Stain

F32 = NDArray[np.float32]

DARKEST, LIGHTEST, SHADES = (
    -45.0,
    20.0,
    16,
)  # the table's reach in units of lightness about the mean, and entries a unit
LEVELS = 8  # of the passage from heartwood to sapwood
STREAK, KNOT = 5.0, 22.0  # units of lightness that a mineral streak and a knot darken by
FLECK_LIMIT = 0.55  # of the cosine of the ring angle: beyond it rays show their ends, not their sides


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
    """A drawn strip: `picture` (ny, nx, 3) uint8 sRGB and its `mean` (3,) in linear RGB."""

    picture: NDArray[np.uint8]
    mean: NDArray[np.float64]


def shades(species: Species, base: Lab, stain: Stain, finish: Finish) -> NDArray[np.uint8]:
    """Return the colours (n, 3) uint8 sRGB of a wood from `DARKEST` to `LIGHTEST` about its mean."""
    lightness = np.arange(DARKEST, LIGHTEST, 1 / SHADES)
    lost = -lightness
    chroma = np.clip((base.lightness + lightness) / base.lightness, 0.15, 1.3)  # black has no hue
    lab = np.stack(
        [
            np.maximum(base.lightness + lightness, 2),
            (base.a + species.shift[0] * np.clip(lost, -8, 12)) * np.sqrt(chroma),
            (base.b + species.shift[1] * np.clip(lost, -8, 12)) * np.sqrt(chroma),
        ],
        axis=-1,
    )
    linear = finished(lab_to_linear(lab), stain, finish, np.clip((lost - 3) / 8, 0, 1))
    return np.rint(255 * linear_to_srgb(linear)).astype(np.uint8)


@cache
def colour_table(timber: Timber) -> NDArray[np.uint8]:
    """Return the shades (`LEVELS`, n, 3) uint8 sRGB from clear boards' wood to the wood that grades keep out."""
    main, other = np.array(timber.species.main), np.array(timber.species.other)
    mixes = (Lab(*(main + share * (other - main))) for share in np.linspace(0, 1, LEVELS))
    return np.stack([shades(timber.species, mix, timber.stain, timber.finish) for mix in mixes])


def lightness_field(
    rng: np.random.Generator, timber: Timber, size: tuple[float, float], density: float, tile: F32
) -> tuple[F32, F32 | None]:
    """Return lightness about the mean (ny, nx) and, where the strip has it, the share of sapwood (ny, nx).

    `size` (length, width) metres at `density` pixels a metre; `tile` of `details.fibre_tile`.
    """
    from scipy.ndimage import gaussian_filter1d

    species, grade = timber.species, timber.grade
    nx, ny = (max(round(side * density), 1) for side in size)
    x, y = ((np.arange(n, dtype=np.float32) + np.float32(0.5)) / np.float32(density) for n in (nx, ny))
    # Each subject draws from a stream of its own, so that a change in one doesn't reshuffle the rest.
    sawing, growing, vessels, rays, fine, slow, faults = rng.spawn(7)
    face = log.saw(sawing, timber.cut, x, y, size[1])
    area = size[0] * size[1]
    knots = details.knots(faults, int(faults.poisson(grade.knots * area)), x, y, face.radial) if grade.knots else None
    # A log is grown from a fixed place so that the rings don't depend on how much of it the strip shows.
    table = log.grow(growing, species.rings, max(face.radius - 0.12, 0.005), float(face.radial.max()) + 2e-3)
    seen = gaussian_filter1d(table.lightness, 0.45 * max(np.sin(face.angle), 0.15) / density / log.STEP)
    light = np.take(seen, table.place(face.radial))
    light += species.cloud * details.cloud(slow, x, y)
    light += species.fibre * details.fibres(fine, tile, details.grain_rise(fine, x, density), (ny, nx))
    light -= details.pores(vessels, species.pores, face, table, size, density)
    if species.rays.share and np.cos(face.angle) < FLECK_LIMIT:
        light += details.ray_fleck(rays, species.rays, face, size[0], density)
    elif species.rays.share:
        light += details.ray_ends(rays, species.rays, (ny, nx), size, density)
    light -= light.mean()
    streaks = int(faults.poisson(species.streaks * grade.streaks * area))
    if streaks:
        light -= STREAK * details.streaks(faults, streaks, x, y, (ny, nx))
    if knots is not None:
        light -= KNOT * knots
    if faults.random() >= grade.sapwood:
        return light, None
    edge = np.quantile(face.radial[::8, ::8], faults.uniform(0.6, 0.95))
    return light, np.clip((face.radial - np.float32(edge)) / np.float32(0.003) + 0.15 * light / 3, 0, 1)


def draw(key: tuple[int, ...], timber: Timber, size: tuple[float, float], density: float, tile: F32) -> Strip:
    """Draw the strip that `key` (non-negative integers) names, `size` (length, width) metres."""
    rng = np.random.default_rng(np.random.SeedSequence(key))
    light, sapwood = lightness_field(rng, timber, size, density, tile)
    table = colour_table(timber)
    count = table.shape[1]
    light -= np.float32(DARKEST - 0.5 / SHADES)
    light *= np.float32(SHADES)
    place = np.clip(light, 0, count - 1, out=light).astype(np.int32)
    if sapwood is not None:
        place += np.rint(sapwood * (LEVELS - 1)).astype(np.int32) * count
    flat = table.reshape(-1, 3)
    share = np.bincount(place.reshape(-1), minlength=len(flat)) / place.size
    return Strip(np.take(flat, place, axis=0), share @ srgb_to_linear(flat / 255))
