"""The walls along the run, by which boards are fitted."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Side:
    """A wall along the run: `name`; `half`, metres from the centre line outwards to the field's edge along it, below
    zero where it lies across the line; `length` of that edge, metres; `right`, whether it bounds the right side."""

    name: str
    half: float
    length: float
    right: bool
