"""Least squares adjustment of a room's corners from taped lengths between them: a trilateration network.

The observations are lengths from corner to corner and, where those alone leave the shape open, the bearings of the
walls. The unknowns are the corners; the first and the direction of the first wall are fixed, which changes no length
(a free network with the least constraints). Each observation equation is divided by its standard deviation, so that
the sum of the squared residuals is what is made least. After C. D. Ghilani and P. R. Wolf, *Adjustment Computations:
Spatial Data Analysis*, chapters 14 (trilateration), 15.2 (the azimuth equation) and 21 (blunder detection); numbers of
chapters as in the fourth edition, its equations from memory.

A residual is told as normalized, ``w = v / (s sqrt(r))``, where ``r`` is the observation's redundancy number: the
share of an error in it that shows in its own residual (W. Baarda, *A testing procedure for use in geodetic networks*,
1968: data snooping). With one spare observation all of them have the same w apart from its sign, so that none can be
told from another (J. Guo, "A note on the conventional outlier detection test procedures", *Boletim de Ciências
Geodésicas* 21(2), 2015).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.vectors import steps_round, turned

Array = NDArray[np.float64]

RIGID = 0.05
"""Tapes fix a shape where each way of bending it changes them, together, by at least this share of the corners' move:
an error in a tape can then move a corner by twenty times itself at most (by choice)."""

UNCONTROLLED = 1e-3
"""An observation whose redundancy number is no larger is checked by no other (by choice)."""

CONVERGED = 1e-12
"""Corners are found to this share of the room's size (by choice)."""

MOST_STEPS = 200
"""Measures that fit one another need thirty steps at most; those that don't are refused all the same (by choice)."""


@dataclass(frozen=True, eq=False)
class Network:
    """What was observed between corners counted from 0.

    `ends` (m, 2) are the corners of each length, `lengths` (m,) metres, `spreads` (m,) their standard deviations.
    `bearings` (n,) are the walls' directions as said, radians anticlockwise from +x, wall i from corner i to the next;
    `bearing_spread` is their standard deviation, radians, or None where they are not held.
    """

    ends: NDArray[np.intp]
    lengths: Array
    spreads: Array
    bearings: Array
    bearing_spread: float | None

    def without(self, length: int) -> Network:
        """Return the network without one of its lengths."""
        kept = np.arange(len(self.lengths)) != length
        return Network(self.ends[kept], self.lengths[kept], self.spreads[kept], self.bearings, self.bearing_spread)


@dataclass(frozen=True, eq=False)
class Solution:
    """An adjusted network: `corners` (n, 2) metres, and for each observation, lengths first, then held bearings.

    `residuals` adjusted less observed, metres and radians; `redundancies` their redundancy numbers, 0 to 1;
    `normalized` residuals, next to 0 where nothing checks the observation, unless it is one that no shape can meet;
    `squares` the weighted sum of squared residuals;
    `spare` how many more observations there are than unknowns.
    """

    corners: Array
    residuals: Array
    redundancies: Array
    normalized: Array
    squares: float
    spare: int


def adjust(network: Network, guess: Array) -> Solution:
    """Return the corners that fit a network best, from a guess (n, 2) near them.

    Of shapes that fit alike, such as a corner mirrored in the line between its neighbours, it is the one the guess is
    nearest to. The first corner stays where it is, and the first wall runs as its bearing says.
    """
    from scipy.optimize import least_squares

    start, directions = _datum(guess, float(network.bearings[0]))
    size = float(np.ptp(guess, axis=0).max())

    def corners(unknown: Array) -> Array:
        return start + (directions @ (unknown * size)).reshape(-1, 2)

    found = least_squares(
        lambda unknown: _misclosures(network, corners(unknown)),
        np.zeros(directions.shape[1]),
        lambda unknown: _design(network, corners(unknown)) @ directions * size,
        method="trf",
        x_scale="jac",
        xtol=CONVERGED,
        ftol=CONVERGED,
        gtol=CONVERGED,
        max_nfev=MOST_STEPS,
    )
    best = corners(found.x)
    design = _design(network, best) @ directions
    scaled = _misclosures(network, best)
    redundancies = np.clip(1.0 - np.einsum("ij,ji->i", design, np.linalg.pinv(design)), 0.0, 1.0)
    return Solution(
        corners=best,
        residuals=scaled * _spreads(network),
        redundancies=redundancies,
        normalized=scaled / np.sqrt(np.maximum(redundancies, UNCONTROLLED)),
        squares=float(scaled @ scaled),
        spare=len(scaled) - int(np.linalg.matrix_rank(design)),
    )


def fixes_shape(ends: NDArray[np.intp], corners: Array) -> bool:
    """Return whether lengths between `ends` (m, 2) fix the shape of `corners` (n, 2), and not only barely.

    Where they do, every way of moving the corners but shifting and turning them all changes some length.
    """
    if len(ends) < 2 * len(corners) - 3:
        return False
    rows = _length_rows(ends, corners)
    return bool(np.linalg.svd(rows, compute_uv=False)[2 * len(corners) - 4] > RIGID)


def least_known_first(network: Network, corners: Array, candidates: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return pairs of corners (k, 2), ordered so that each is the one about whose length the most is still open.

    What is known before is what the network observes, its bearings among it; each pair in turn then counts as taped.
    """
    _, directions = _datum(corners, float(network.bearings[0]))
    design = _design(network, corners) @ directions
    information = design.T @ design
    spread = float(np.median(network.spreads))
    left, order = list(range(len(candidates))), []
    rows = _length_rows(candidates, corners) @ directions / spread
    while left:
        variances = [float(rows[each] @ np.linalg.solve(information, rows[each])) for each in left]
        best = left[int(np.argmax(np.round(variances, 6)))]
        left.remove(best)
        order.append(best)
        information = information + np.outer(rows[best], rows[best])
    return candidates[order]


def _datum(guess: Array, bearing: float) -> tuple[Array, Array]:
    """Return the guess turned so that the first wall has its bearing, and how each unknown moves (2n,) coordinates."""
    step = guess[1] - guess[0]
    turn = bearing - np.arctan2(step[1], step[0])
    start = guess[0] + turned(guess - guess[0], turn)
    directions = np.eye(2 * len(guess))[:, 3:]
    directions[2:4, 0] = np.cos(bearing), np.sin(bearing)
    return start, directions


def _misclosures(network: Network, corners: Array) -> Array:
    """Return computed less observed, in standard deviations."""
    step = corners[network.ends[:, 1]] - corners[network.ends[:, 0]]
    lengths = (np.hypot(*step.T) - network.lengths) / network.spreads
    if network.bearing_spread is None:
        return lengths
    walls = steps_round(corners)
    off = np.arctan2(walls[:, 1], walls[:, 0]) - network.bearings
    return np.concatenate([lengths, ((off + np.pi) % (2 * np.pi) - np.pi)[1:] / network.bearing_spread])


def _spreads(network: Network) -> Array:
    if network.bearing_spread is None:
        return network.spreads
    return np.concatenate([network.spreads, np.full(len(network.bearings) - 1, network.bearing_spread)])


def _length_rows(ends: NDArray[np.intp], corners: Array) -> Array:
    """Return how each length (m) changes with each coordinate (2n): the unit vector along it, either way."""
    step = corners[ends[:, 1]] - corners[ends[:, 0]]
    along = step / np.maximum(np.hypot(*step.T), 1e-9)[:, None]
    rows = np.zeros((len(ends), len(corners), 2))
    row = np.arange(len(ends))
    rows[row, ends[:, 1]] = along
    rows[row, ends[:, 0]] = -along
    return rows.reshape(len(ends), -1)


def _design(network: Network, corners: Array) -> Array:
    """Return how each observation changes with each coordinate, in standard deviations a metre, (m, 2n)."""
    lengths = _length_rows(network.ends, corners) / network.spreads[:, None]
    if network.bearing_spread is None:
        return lengths
    count = len(corners)
    step = steps_round(corners)
    across = np.stack([-step[:, 1], step[:, 0]], axis=1) / np.maximum((step**2).sum(axis=1), 1e-18)[:, None]
    rows = np.zeros((count, count, 2))
    wall = np.arange(count)
    rows[wall, (wall + 1) % count] = across
    rows[wall, wall] -= across
    return np.concatenate([lengths, rows.reshape(count, -1)[1:] / network.bearing_spread])
