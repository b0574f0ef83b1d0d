"""How many bundles of random lengths to buy: lots are drawn by a fixed seed, and each is sawn.

Lengths are even between the shortest and the longest. The long sticks are set aside for the border first: each border
piece, long ones first, comes from the shortest of them that still holds it; what remains of them, and every other
stick, is sawn into boards. Lots are the same whatever is asked of them, so that the same scene has the same answer.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from preview.floor.stock.needs import EXACT, Needs, Saw

Array = NDArray[np.float64]

SEED = 20
LOTS = (100, 1000)
"""So many lots are drawn, fewer of large ones."""

MOST_STICKS = 2_000_000
"""No more sticks than this are drawn in all, unless it takes more for the fewest lots."""

SURE = 0.95


@dataclass(frozen=True)
class RandomPlan:
    """What to buy of random lengths: `expected` bundles are enough in half of the lots, `sure` in 95 of 100.

    A bundle is `length` metres of sticks. `share` is what part of the sticks' length becomes boards where nothing is
    taken for the border, `left` the boards beyond those needed that `sure` bundles give on average, and `lots` how
    many were drawn.
    """

    expected: int
    sure: int
    length: float
    share: float
    left: float
    lots: int


def buy_random(needs: Needs, shortest: float, longest: float, bundle: float, saw: Saw) -> RandomPlan | None:
    """Return what to buy where a bundle is `bundle` metres of sticks, or None where no stick can be long enough."""
    rate = blocks_per_stick(needs, shortest, longest, saw) / ((shortest + longest) / 2)
    most = longest - 2 * saw.trim
    if rate <= 0 or (needs.border and needs.border[0][0] > most + EXACT):
        return None
    border = sum(saw.takes(length) * count for length, count in needs.border)
    guess = ceil((needs.blocks / rate + border) / bundle)
    for widened in (1.3, 2.0, 4.0, 16.0, 256.0):
        lots = _draw_lots(ceil(guess * widened) + 3, bundle, shortest, longest)
        enough = ceil(guess * widened) + 2
        if _served(needs, lots, enough * bundle, saw)[0] >= SURE:
            break
    else:
        return None
    expected = _fewest(needs, lots, bundle, enough, 0.5, saw)
    sure = _fewest(needs, lots, bundle, enough, SURE, saw)
    _, made = _served(needs, lots, sure * bundle, saw)
    return RandomPlan(expected, sure, bundle, rate * needs.length, made - needs.blocks, len(lots))


def blocks_per_stick(needs: Needs, shortest: float, longest: float, saw: Saw) -> float:
    """Return how many boards a stick gives on average: the sum over j of the chance that it is long enough for j."""
    total, count = 0.0, 1
    while (least := count * needs.takes(saw) + needs.lost(saw) - saw.kerf + 2 * saw.trim) <= longest + EXACT:
        spread = longest - shortest
        total += 1.0 if least <= shortest + EXACT else (longest - least) / spread if spread > EXACT else 0.0
        count += 1
    return total


def _draw_lots(bundles: int, bundle: float, shortest: float, longest: float) -> Array:
    """Return lots of sticks, (lots, sticks) metres, each lot no shorter than so many bundles, nor than four spreads of
    its length's deviation more."""
    mean, spread = (shortest + longest) / 2, (longest - shortest) / np.sqrt(12)
    count = bundles * bundle / mean
    sticks = ceil(count + 4 * spread / mean * np.sqrt(count)) + 2
    lots = int(np.clip(MOST_STICKS // sticks, *LOTS))
    return np.random.default_rng(SEED).uniform(shortest, longest, (lots, sticks))


def _served(needs: Needs, lots: Array, length: float, saw: Saw) -> tuple[float, float]:
    """Return in what share of the lots the sticks within their first `length` metres suffice, and how many boards they
    give on average."""
    bought = np.cumsum(lots, axis=1) <= length + EXACT
    room = np.where(bought, lots - 2 * saw.trim + saw.kerf, 0.0)
    blocks = np.floor((room - needs.lost(saw) + EXACT) / needs.takes(saw)).clip(0)
    made = blocks.sum(axis=1)
    enough = np.ones(len(lots), bool)
    if needs.border:
        pieces = [saw.takes(each) for each, count in needs.border for _ in range(count)]
        aside = min(room.shape[1], 3 * len(pieces))
        longest = np.sort(np.partition(room, -aside, axis=1)[:, -aside:], axis=1)
        for lot, sticks in enumerate(longest.tolist()):
            before = sum(needs.blocks_in(stick, saw) for stick in sticks)
            enough[lot] = _set_aside(sticks, pieces)
            made[lot] += sum(needs.blocks_in(stick, saw) for stick in sticks) - before
    return float((enough & (made >= needs.blocks)).mean()), float(made.mean())


def _set_aside(sticks: list[float], pieces: list[float]) -> bool:
    """Take every piece from the shortest of `sticks` (rooms, ascending) that holds it, in place; False where none
    does."""
    for piece in pieces:
        place = bisect_left(sticks, piece - EXACT)
        if place == len(sticks):
            return False
        insort(sticks, sticks.pop(place) - piece)
    return True


def _fewest(needs: Needs, lots: Array, bundle: float, enough: int, share: float, saw: Saw) -> int:
    """Return the fewest bundles that suffice in `share` of the lots, by halving; `enough` do."""
    low, high = 0, enough
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _served(needs, lots, middle * bundle, saw)[0] >= share else (middle, high)
    return high
