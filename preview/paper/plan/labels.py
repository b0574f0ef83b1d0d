"""Labels that never stand on one another: each has places where it may stand, and takes the first that is free.

Lines can be read through, texts can't: a place is free where no text stands, and better where no line crosses it too.
A label none of whose places is free is moved to the nearest free spot, and a leader shows what it belongs to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from preview.paper.plan.lettering import text_box, text_width
from preview.prepared import prepared
from preview.vectors import unit

Array = NDArray[np.float64]
MIDDLE = 0.35  # of its size, how far under its middle a text's line lies
REACH, STEP, WAYS = 90.0, 1.5, 24  # mm a label may be moved, in which steps, and in how many directions
CLEAR, LATER = 0.3, 0.6  # mm of lines through a text that don't count; what a later place counts as
SMALLER = 0.85  # of its size, at which a label is tried where it fits nowhere


class Spot(NamedTuple):
    """Where a label may stand: the middle of its text on paper, mm, and degrees clockwise that it is turned."""

    x: float
    y: float
    turn: float = 0.0

    @classmethod
    def of(cls, point: Array, turn: float = 0.0) -> Spot:
        """Return a spot at a paper point (2,)."""
        return cls(float(point[0]), float(point[1]), turn)


@dataclass(frozen=True, eq=False)
class Label:
    """A text that waits for its place.

    `spots` come best first; `anchor` (2,) mm is what a leader would lead to, which one more than `near` mm away gets;
    `off` is what the label must not stand on (it may as a last resort); one that is not `needed` is left out where it
    has no free spot. `style` are attributes.
    """

    text: str
    size: float
    spots: Sequence[Spot]
    anchor: Array
    rank: int = 0
    halo: bool = False
    off: BaseGeometry | None = None
    needed: bool = True
    near: float = np.inf
    style: dict[str, object] = field(default_factory=dict)

    def baseline(self, spot: Spot, size: float) -> Array:
        """Return where the middle of the text's line lies for its middle to be at a spot, (2,) mm."""
        turn = np.radians(spot.turn)
        return np.array([spot.x, spot.y]) + MIDDLE * size * np.array([-np.sin(turn), np.cos(turn)])

    def box(self, spot: Spot, size: float) -> Polygon:
        """Return what the text takes at a spot."""
        return text_box(self.baseline(spot, size), self.text, size, spot.turn, {**self.style, "text_anchor": "middle"})


class Placed(NamedTuple):
    """A label with its place; `leader` (2, 2) mm runs from its anchor, None where it stands beside what it names."""

    label: Label
    spot: Spot
    size: float
    box: Polygon
    leader: Array | None


def place_labels(
    labels: Iterable[Label], written: Iterable[Polygon], lines: Iterable[BaseGeometry], frame: Polygon
) -> list[Placed]:
    """Return a place for each label inside `frame`, those of low rank first; `written` are the boxes of texts that have
    theirs, `lines` what is drawn."""
    taken = list(written)
    drawn = prepared(shapely.union_all(list(lines)) if lines else LineString())
    found = []
    for label in sorted(labels, key=lambda each: each.rank):
        placed = _place(label, np.array(taken, dtype=object), drawn, frame)
        if placed is not None:
            found.append(placed)
            taken.append(placed.box)
            if placed.leader is not None:
                drawn = prepared(shapely.union(drawn, LineString(placed.leader)))
    return found


def _place(label: Label, taken: NDArray[np.object_], drawn: BaseGeometry, frame: Polygon) -> Placed | None:
    good: list[tuple[float, Placed]] = []
    for spot in label.spots:
        box = label.box(spot, label.size)
        if not _free(box, taken, frame) or (label.off is not None and shapely.intersects(box, label.off)):
            continue
        leader = _leader(label, box) if np.isfinite(label.near) else None
        if leader is not None and np.hypot(*(leader[1] - leader[0])) <= label.near:
            leader = None
        if leader is not None and not _runs_free(leader, taken):
            continue
        placed, crossed = Placed(label, spot, label.size, box, leader), _crossed(box, drawn)
        if crossed < CLEAR:
            return placed
        good.append((crossed + LATER * len(good), placed))
    if good:
        return min(good, key=lambda each: each[0])[1]
    if not label.needed:
        return None
    for size in (label.size, SMALLER * label.size):
        for which in (label.off, None):
            moved = _moved(label, size, which, taken, drawn, frame)
            if moved is not None:
                return moved
    return None


def _free(box: Polygon, taken: NDArray[np.object_], frame: Polygon) -> bool:
    return bool(frame.covers(box)) and not (len(taken) and shapely.intersects(taken, box).any())


def _crossed(box: Polygon, drawn: BaseGeometry) -> float:
    """Return how many mm of lines run through a text."""
    return float(shapely.length(shapely.intersection(box, drawn)))


def _runs_free(leader: Array, taken: NDArray[np.object_]) -> bool:
    """Return whether a leader crosses no text but one that stands on its very anchor."""
    if not len(taken):
        return True
    crossed = taken[shapely.intersects(taken, LineString(leader))]
    return not (shapely.distance(crossed, shapely.Point(leader[0])) > 0).any()


def _leader(label: Label, box: Polygon) -> Array:
    """Return the shortest line (2, 2) from a label's anchor to its box."""
    found: Array = shapely.get_coordinates(shapely.shortest_line(shapely.Point(label.anchor), box))
    return found


def _moved(
    label: Label, size: float, off: BaseGeometry | None, taken: NDArray[np.object_], drawn: BaseGeometry, frame: Polygon
) -> Placed | None:
    """Return the nearest free place round the anchor, level: one that no line crosses if there is one not much further
    away; its leader crosses no text."""
    half = np.array([text_width(label.text, size) / 2, 0.5 * size])
    crossing: Placed | None = None
    for reach in np.arange(2.0, REACH, STEP):
        if crossing is not None and crossing.leader is not None:
            x, y = crossing.leader[1] - crossing.leader[0]
            if reach > np.hypot(x, y) + 12:
                break
        for turn in np.arange(WAYS) * 2 * np.pi / WAYS + np.pi / 4:
            way = np.array([np.cos(turn), -np.sin(turn)])
            spot = Spot.of(label.anchor + way * (reach + half))
            box = label.box(spot, size)
            if not _free(box, taken, frame) or (off is not None and box.intersects(off)):
                continue
            leader = _leader(label, box)
            if not _runs_free(leader, taken):
                continue
            placed = Placed(label, spot, size, box, leader)
            if _crossed(box, drawn) < CLEAR:
                return placed
            crossing = crossing or placed
    return crossing


def dimension_spots(a: Array, b: Array, text: str, size: float, upright: Callable[[float], float]) -> list[Spot]:
    """Return where the number of a dimension line may stand: over its middle, else nearer to its ends, else under it;
    one that is longer than the line under it, so clear of its neighbours in a chain, past its ends, or further off."""
    along = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
    turn = upright(float(np.degrees(np.arctan2(along[1], along[0]))))
    along = unit(np.radians(turn))
    up = np.array([along[1], -along[0]])
    width, length = text_width(text, size), float(np.hypot(*(b - a)))
    over, under = 0.8 + MIDDLE * size, -(0.9 + (0.72 - MIDDLE) * size)
    middle, row = (a + b) / 2, 1.15 * size
    slack = max(0.0, (length - width - 1.0) / 2)
    beyond = (length + width) / 2 + 1.2
    if width <= length - 1.0:
        aside = [0.0, *(sign * share * slack for share in (0.3, 0.6, 0.9) for sign in (1, -1))]
        places = [(shift, height) for height in (over, under) for shift in aside]
    else:
        places = [(0.0, under), (0.0, over), (beyond, 0.0), (-beyond, 0.0), (beyond, under), (-beyond, under)]
        places += [(shift, under) for shift in (width / 4, -width / 4, width / 2, -width / 2)]
    places += [(shift, height) for height in (under - row, over + row) for shift in (0.0, width / 3, -width / 3)]
    points = [middle + shift * along + height * up for shift, height in places]
    return [Spot.of(each, turn) for each in points]


def spots_round(low: Array, high: Array, text: str, size: float) -> list[Spot]:
    """Return where the name of a thing may stand that fills the paper from `low` (2,) to `high` (2,): over, under,
    right or left of it, moved aside a little, or along its upright sides."""
    wide, tall = text_width(text, size) / 2, 0.5 * size
    (x, y), (w, h) = (low + high) / 2, (high - low) / 2
    gap = 0.5
    over, under = y - h - tall - gap, y + h + tall + gap
    spots = [Spot(x, over), Spot(x, under), Spot(x + w + wide + gap, y), Spot(x - w - wide - gap, y)]
    spots += [Spot(x + shift * wide, level) for level in (over, under) for shift in (0.5, -0.5, 0.9, -0.9)]
    spots += [Spot(x + sign * (w + tall + gap), y, -90.0) for sign in (1, -1)]
    return spots


def spots_at(point: Array, text: str, size: float) -> list[Spot]:
    """Return where the name of a point may stand: beside it, up and right first, a little further off as well."""
    half = np.array([text_width(text, size) / 2, 0.4 * size])
    ways = ((1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1))
    reach = (0.9, 2.4)
    return [Spot.of(point + np.array(way) * (half + gap)) for gap in reach for way in ways]
