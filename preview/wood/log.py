"""A simple solid log, and the face of a board sawn from it.

The log has a pith that wanders and a taper; what a face shows follows from where it lies in the log. In the log's
cross-section, with the pith as origin, a board's face is a straight line at distance `radius` from the pith whose
middle meets the rings at `angle`: 0 is tangential (plainsawn, cathedral figure), 90 degrees radial (quartersawn,
straight grain, ray fleck). Ring angles of the cuts: plain 0-30, rift 30-60, quarter 60-90 degrees, as the Architectural
Woodwork Institute's standards are usually quoted.

Fields over a face are (ny, nx) float32: x along the grain in columns, y across the face in rows, metres. In the
cross-section rho is the direction from the pith to the middle of the face and tau the one square to it; the face runs
along turn (sin angle, cos angle) and looks to bark (cos angle, -sin angle), turn and bark being 1 or -1.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from preview.wood.material_types import Figure, Rings
from preview.wood.smooth import Grid, smooth_field, smooth_line

F32 = NDArray[np.float32]

# Ring angles drawn for each cut, degrees: inside the trade's bounds, so that a ring's curve seldom leaves them.
ANGLES = {"plainsawn": (0.0, 20.0), "riftsawn": (34.0, 56.0), "quartersawn": (68.0, 89.5)}

# Distances from pith to the middle of a face, metres: boxed heart is left out; logs are seldom over 0.6 m.
RADII = (0.09, 0.24)

STEP = 5e-5  # of the table of rings along the radius, metres
VIGOUR = 0.2  # by which trees differ in the width of their rings, standard deviation of its logarithm; an estimate
WEAVE = (0.4, 1.8)  # how much a tree's rays weave, times the usual; an estimate


@dataclass(frozen=True, eq=False)
class SawnFace:
    """A sawn face.

    grid: its pixels. radial (ny, nx) distance from the pith, tangential (ny, nx) length along the ring from the
    middle of the face, both metres. angle between ring and face at the middle, radians; radius there, metres; turn,
    bark as the module says. towards, along (nx,) are rho and tau of the face's middle line.
    """

    grid: Grid
    radial: F32
    tangential: F32
    angle: float
    radius: float
    turn: float
    bark: float
    towards: F32
    along: F32


def saw(rng: np.random.Generator, cut: str, grid: Grid) -> SawnFace:
    """Saw a face out of a log of its own."""
    low, high = ANGLES[cut]
    angle = float(np.radians(rng.uniform(low, high)))
    radius = float(rng.uniform(*RADII))
    taper = float(rng.uniform(0.003, 0.016) * rng.choice([-1.0, 1.0]))
    lean = float(rng.uniform(0.004, 0.04) * rng.choice([-1.0, 1.0]))
    turn, bark = map(float, rng.choice([-1.0, 1.0], 2))
    # The pith wanders a few millimetres in a metre, both towards the face and along it.
    towards = (radius + taper * grid.x + 0.003 * smooth_line(rng, grid, 0.35)).astype(np.float32)
    along = np.float32(0.003) * smooth_line(rng, grid, 0.35)
    rho, tau = section(angle, turn, grid, towards, along)
    radial = np.sqrt(rho * rho + tau * tau)
    # Rings are not circles: they swell over centimetres, and their edges are ragged over millimetres.
    radial += 0.0009 * smooth_field(rng, grid, 0.22, 0.03)
    radial += 0.00030 * smooth_field(rng, grid, 0.055, 0.009)
    radial += 0.00009 * smooth_field(rng, grid, 0.012, 0.0025)
    # Rays lean and weave along the grain; a face that is all but radial cuts them in ribbons that cross it.
    weave = 0.0006 * smooth_field(rng, grid, 0.045, 0.015) + 0.00012 * smooth_field(rng, grid, 0.011, 0.004)
    weave *= np.float32(rng.uniform(*WEAVE))
    tangential = np.float32(radius) * tau / rho + (lean * grid.x)[None, :].astype(np.float32) + weave
    return SawnFace(grid, radial, tangential.astype(np.float32), angle, radius, turn, bark, towards, along)


def section(angle: float, turn: float, grid: Grid, towards: F32, along: F32) -> tuple[F32, F32]:
    """Return rho and tau (ny, nx) over a face."""
    across = np.float32(turn) * (grid.y - np.float32(grid.size[1] / 2))
    return (
        (np.float32(np.sin(angle)) * across)[:, None] + towards,
        (np.float32(np.cos(angle)) * across)[:, None] + along,
    )


def depths(face: SawnFace, column: int, into: F32) -> F32:
    """Return the distance from the pith (ny, m) over a board's end at a column of its face, `into` (m,) metres deep."""
    rho, tau = section(
        face.angle, face.turn, face.grid, face.towards[column : column + 1], face.along[column : column + 1]
    )
    ragged = face.radial[:, column : column + 1] - np.hypot(rho, tau)
    rho = rho - np.float32(face.bark * np.cos(face.angle)) * into
    tau = tau + np.float32(face.bark * np.sin(face.angle)) * into
    return np.asarray(np.hypot(rho, tau) + ragged, dtype=np.float32)


def fibre_directions(rng: np.random.Generator, face: SawnFace, figure: Figure) -> tuple[F32, F32]:
    """Return the fibres' angle in the face to the board's length, towards growing y, and their lean out of it, both
    radians, in pixels twice as large as the face's.

    Fibres keep to their ring, so that they turn with the pith, the taper and the ring's own swells: along a board the
    wood at one place moves away from the pith as fast as `radial` falls. Besides, they wave in both directions, curl,
    and spiral round the trunk by the interlock, which turns with the radius. The lean is what makes ribbons shine on
    a radial face, where it is the spiral's, and curl on any.
    """
    grid = face.grid.coarser
    radial = face.radial.reshape(grid.shape[0], 2, grid.shape[1], 2).mean(axis=(1, 3))
    outward = -np.gradient(radial, axis=1) * np.float32(grid.density)
    wave = np.float32(np.radians(figure.wave))
    outward += wave * smooth_field(rng, grid, 0.09, 0.012)
    spiral = wave * smooth_field(rng, grid, 0.14, 0.02)
    if figure.interlock:
        phase = rng.uniform(0, 2 * np.pi)
        turns = np.sin(radial * np.float32(2 * np.pi / figure.interlock_span) + np.float32(phase))
        spiral += np.float32(np.radians(figure.interlock)) * turns
    if rng.random() < figure.curly:
        strength = np.clip(0.6 + 0.6 * smooth_field(rng, grid, 0.15, 0.05), 0, 1.5)
        phase_field = 2.6 * smooth_field(rng, grid, 0.045, 0.018) + (2 * np.pi / figure.curl_span) * grid.x
        curl = np.float32(np.radians(figure.curl)) * strength * np.sin(phase_field)
        outward, spiral = outward + curl, spiral + 0.5 * curl
    towards, along = (each.reshape(-1, 2).mean(axis=1) for each in (face.towards, face.along))
    rho, tau = section(face.angle, face.turn, grid, towards, along)
    sine, cosine = np.float32(np.sin(face.angle)), np.float32(np.cos(face.angle))
    flat, steep = (cosine * rho - sine * tau) / radial, (sine * rho + cosine * tau) / radial
    angle = np.float32(face.turn) * (outward * steep + spiral * flat)
    lean = np.float32(face.bark) * (outward * flat - spiral * steep)
    return angle.astype(np.float32), lean.astype(np.float32)


@dataclass(frozen=True, eq=False)
class RingTable:
    """What the wood is at a distance from the pith, in steps of `STEP` from `start`: `lightness` (n,) CIELAB
    lightness against the middle of the rings, `early` (n,) 1 in earlywood and 0 in latewood, `ring` (n,) its number."""

    start: float
    lightness: F32
    early: F32
    ring: NDArray[np.int32]

    def place(self, radial: F32) -> NDArray[np.int32]:
        """Return the index into the table of each distance from the pith, metres."""
        place = ((radial - np.float32(self.start)) * np.float32(1 / STEP)).astype(np.int32)
        return np.clip(place, 0, len(self.lightness) - 1, out=place)


def grow(rng: np.random.Generator, rings: Rings, low: float, high: float) -> RingTable:
    """Grow rings from `low` to `high` metres from the pith.

    Trees grow fast or slowly, their rings as wide as the species' in the mean. Widths follow a log-normal first-order
    autoregression: good and lean years come in runs. Earlywood keeps its width and latewood takes the rest, as in
    ring-porous oak; tones resemble their neighbours'.
    """
    usual = rings.width * np.exp(VIGOUR * np.clip(rng.standard_normal(), -2, 2) - VIGOUR**2 / 2)
    count = int((high - low) / usual * 2.5) + 8
    widths = usual * np.exp(rings.spread * _runs(rng, count, 0.6) - rings.spread**2 / 2)
    widths = np.clip(widths, 0.3 * usual, 3 * usual)
    tones = rings.tone * _runs(rng, count, rings.drift)
    strength = np.exp(0.3 * rng.standard_normal(count))
    edges = low - rng.uniform(0, usual) + np.concatenate([[0.0], np.cumsum(widths)])
    r = np.arange(low, high + STEP, STEP)
    ring = np.clip(np.searchsorted(edges, r, side="right") - 1, 0, count - 1)
    inside, width = r - edges[ring], widths[ring]
    earlywood = np.minimum(rings.earlywood, 0.6 * width)
    early = 1 / (1 + np.exp(np.clip((inside - earlywood) / (0.25 * rings.turn), -30, 30)))
    late = np.clip(inside / width, 0, 1) ** 3
    line = np.exp(-(((width - inside) / 1.5e-4) ** 2))
    lightness = tones[ring] - strength[ring] * (rings.early * early + rings.late * late + rings.line * line)
    return RingTable(low, lightness.astype(np.float32), early.astype(np.float32), ring.astype(np.int32))


def _runs(rng: np.random.Generator, count: int, likeness: float) -> NDArray[np.float64]:
    """Return a first-order autoregressive series (count,) of unit variance with the given lag-one correlation."""
    deviates = rng.standard_normal(count) * (1 - likeness**2) ** 0.5
    deviates[0] /= (1 - likeness**2) ** 0.5
    return np.array(list(accumulate(deviates.tolist(), lambda before, own: own + likeness * before)))
