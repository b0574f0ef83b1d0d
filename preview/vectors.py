"""Plan vectors: unit vectors by their angle, and what lies square to them. Angles in radians, anticlockwise from +x."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalar = TypeVar("Scalar", bound=np.generic)


def unit(angle: float | Array) -> Array:
    """Return the unit vector at an angle, or those at angles (...), as (..., 2)."""
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def left_of(vectors: Array) -> Array:
    """Return vectors (..., 2) turned a quarter anticlockwise: what lies to the left of who looks along them."""
    return np.stack([-vectors[..., 1], vectors[..., 0]], axis=-1)


def right_of(vectors: Array) -> Array:
    """Return vectors (..., 2) turned a quarter clockwise: what lies to the right of who looks along them."""
    return np.stack([vectors[..., 1], -vectors[..., 0]], axis=-1)


def turned(points: Array, angle: float) -> Array:
    """Return points or vectors (..., 2) turned anticlockwise about the origin."""
    along = unit(angle)
    return points @ np.stack([along, left_of(along)])


def mitre(before: Array, after: Array, least: float = 1e-9) -> Array:
    """Return how far a mitred corner moves, (..., 2), where the edges before and after it move by one along their unit
    normals a and b, (..., 2): along the bisector by (a + b) / (1 + a . b).

    least: what the divisor is kept above, so that an edge that turns back upon itself does not move out of sight.
    """
    return (before + after) / np.maximum(1 + (before * after).sum(-1, keepdims=True), least)


def axes(run: float) -> Array:
    """Return the plan axes of courses as rows (2, 2): the unit vector along their run, and the one to its right."""
    along = unit(run)
    return np.stack([along, right_of(along)])


def following(ring: NDArray[Scalar]) -> NDArray[Scalar]:
    """Return what comes after each of a ring's n entries, (n, ...): of the last, the first."""
    return np.concatenate([ring[1:], ring[:1]])  # numpy.roll does the same in ten times as long


def steps_round(ring: Array) -> Array:
    """Return the vector from each corner of an open ring (n, 2) to the next, (n, 2): its sides, in their order."""
    return following(ring) - ring
