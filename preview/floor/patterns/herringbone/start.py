"""Where the first pair of boards goes, and the triangles that both ends then have.

An end cut square to the run crosses every board at 45 degrees. Along a seam the last piece is a right triangle or
ends like one. Write q = sqrt2 (t - t0) for an end at t along the run, with t0 the corner a pair shares. Board
k below the corner, right-leaning, keeps y in [-k W, -(k - 1) W] and x from q - y to L - k W: its longer side is
L - q - (2k - 1) W; a left-leaning one's is L - q - 2 k W. So at the near end the last pieces' longer sides are
L - q and L - q + W, each modulo 2 W; the one not above W belongs to a triangle, with legs

    near = (L - q) mod W,    and by the same count at the far end    far = q mod W,      (0 stands for W).

W is the most a leg can be: a full triangle, base W sqrt2, height W / sqrt2. Two places a pair's step apart by half
(W / sqrt2 along the run) give the same legs, on right-leaning boards the one, on left-leaning the other.
"""

from __future__ import annotations

from math import sqrt
from typing import Literal


def triangle_legs(near: float, far: float, corner: float, width: float, length: float) -> tuple[float, float]:
    """Return the legs of the triangles at the near and the far end, metres.

    Args:
        near, far: where the field begins and ends along the run.
        corner: a shared corner's place along the run.
        width, length: the board with its joint.
    """
    return (
        _leg(length - sqrt(2) * (near - corner), width),
        _leg(sqrt(2) * (far - corner), width),
    )


def start_corners(
    near: float, far: float, width: float, length: float, start: Literal["full", "both"] | float
) -> tuple[float, ...]:
    """Return the places along the run where a shared corner may lie, best first; all but the first exist
    only where the scene leaves a choice."""
    half = width / sqrt(2)
    if start == "full":
        corner = near - length / sqrt(2)
        return (corner, corner + half)
    if start == "both":
        balanced = near - (length - sqrt(2) * (far - near)) / (2 * sqrt(2))
        options = [balanced, balanced + half / 2]
        first = max(options, key=lambda corner: round(sum(triangle_legs(near, far, corner, width, length)), 9))
        return (first, first + half)
    return (near + float(start),)


def first_corner(near: float, corner: float, width: float) -> float:
    """Return the place along the run of the first shared corner at or past the near end."""
    step = sqrt(2) * width
    return corner + step * -((corner - near + 1e-9) // step)


def _leg(side: float, width: float) -> float:
    leg = side % width
    return width if min(leg, width - leg) < 1e-9 else leg
