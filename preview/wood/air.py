"""Which air keeps wood at which moisture: Hailwood and Horrobin's equation as the Wood Handbook has it."""

from __future__ import annotations

ROOM = 21.1
"""A lived-in room, 70 degrees Fahrenheit, in degrees Celsius."""


def equilibrium(humidity: float, celsius: float = ROOM) -> float:
    """Return the moisture content, per cent, at which wood settles in air of a relative humidity (a share of one).

    Equation 4-5 of the USDA *Wood Handbook*, FPL-GTR-190 (2010), read in open copies of it.
    """
    t = celsius
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * humidity
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


def humidity_for(moisture: float, celsius: float = ROOM) -> float:
    """Return the relative humidity (a share of one) in which wood settles at `moisture` per cent; the reverse."""
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if equilibrium(middle, celsius) < moisture else (low, middle)
    return (low + high) / 2
