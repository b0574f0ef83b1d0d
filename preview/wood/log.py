"""A simple solid log, and the face of a board sawn from it.

The log has a pith that wanders and a taper; what a face shows follows from where it lies in the log. In the log's
cross-section, with the pith as origin, a board's face is a straight line at distance `radius` from the pith whose
middle meets the rings at `angle`: 0 is tangential (plainsawn, cathedral figure), 90 degrees radial (quartersawn,
straight grain, ray fleck). Ring angles of the cuts: plain 0-30, rift 30-60, quarter 60-90 degrees, as the Architectural
Woodwork Institute's standards are usually quoted.

Fields over a face are (ny, nx) float32: x along the grain in columns, y across the face in rows, metres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.wood.smooth import smooth_field, smooth_line
from preview.wood.species import Rings

F32 = NDArray[np.float32]

# Ring angles drawn for each cut, degrees: inside the trade's bounds, so that a ring's curve seldom leaves them.
ANGLES = {"plainsawn": (0.0, 20.0), "riftsawn": (34.0, 56.0), "quartersawn": (73.0, 89.0)}

# Distances from pith to the middle of a face, metres: boxed heart is left out; logs are seldom over 0.6 m.
RADII = (0.09, 0.24)

STEP = 5e-5  # of the table of rings along the radius, metres


@dataclass(frozen=True, eq=False)
class Face:
    """A sawn face: `radial` (ny, nx) distance from the pith, `tangential` (ny, nx) length along the ring from the
    middle of the face, both metres; `angle` between ring and face at the middle, radians; `radius` there, metres."""

    radial: F32
    tangential: F32
    angle: float
    radius: float


def saw(rng: np.random.Generator, cut: str, x: F32, y: F32, width: float) -> Face:
    """Saw the face of a board of `width` out of a log of its own, seen at x (nx,) and y (ny,), metres from 0."""
    low, high = ANGLES[cut]
    angle = float(np.radians(rng.uniform(low, high)))
    radius = float(rng.uniform(*RADII))
    taper = float(rng.uniform(0.003, 0.016) * rng.choice([-1.0, 1.0]))
    lean = float(rng.uniform(0.012, 0.035) * rng.choice([-1.0, 1.0]))
    turn = float(rng.choice([-1.0, 1.0]))
    # The pith wanders a few millimetres in a metre, both towards the face and along it.
    towards = radius + taper * x + 0.003 * smooth_line(rng, x, 0.35)
    along = 0.003 * smooth_line(rng, x, 0.35)
    across = turn * (y - width / 2)
    rho = (np.sin(angle) * across)[:, None] + towards.astype(np.float32)
    tau = (np.cos(angle) * across)[:, None] + along.astype(np.float32)
    radial = np.sqrt(rho * rho + tau * tau)
    # Rings are not circles: they swell over centimetres, and their edges are ragged over millimetres.
    radial += 0.0009 * smooth_field(rng, x, y, 0.22, 0.03)
    radial += 0.00030 * smooth_field(rng, x, y, 0.055, 0.009)
    radial += 0.00009 * smooth_field(rng, x, y, 0.012, 0.0025)
    # Rays lean and weave along the grain; a face that is all but radial cuts them in ribbons that cross it.
    weave = 0.0006 * smooth_field(rng, x, y, 0.045, 0.015) + 0.00012 * smooth_field(rng, x, y, 0.011, 0.004)
    tangential = np.float32(radius) * tau / rho + (lean * x)[None, :].astype(np.float32) + weave
    return Face(radial.astype(np.float32), tangential.astype(np.float32), angle, radius)


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

    Widths follow a log-normal first-order autoregression: good and lean years come in runs. Earlywood keeps its width
    and latewood takes the rest, as in ring-porous oak; tones resemble their neighbours'.
    """
    count = int((high - low) / rings.width * 2.5) + 8
    widths = rings.width * np.exp(rings.spread * _runs(rng, count, 0.6) - rings.spread**2 / 2)
    widths = np.clip(widths, 0.3 * rings.width, 3 * rings.width)
    tones = rings.tone * _runs(rng, count, rings.drift)
    strength = np.exp(0.3 * rng.standard_normal(count))
    edges = low - rng.uniform(0, rings.width) + np.concatenate([[0.0], np.cumsum(widths)])
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
    from scipy.signal import lfilter

    deviates = rng.standard_normal(count) * (1 - likeness**2) ** 0.5
    deviates[0] /= (1 - likeness**2) ** 0.5
    return np.asarray(lfilter([1.0], [1.0, -likeness], deviates))
