"""Boards laid from the printed words alone, by what the words say of each pattern: see `tests.reading`."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from tests.reading import (
    LENGTH,
    Reading,
    UnclearError,
    far_lines,
    field_by_words,
    length,
    marks,
    struck,
)

SETTING = "Setting out"
NUMBERS = {"two": 2, "three": 3}
NEAR = 0.02
"""Boards this near to the field, metres, are laid too: those of which only a joint lies in it."""

TOLD = 0.0005
"""A printed length that proves another agrees with it to this, metres."""


@dataclass
class Laid:
    """What the layer built: every board that meets the field, whole (n, 4, 2), and the field that is sawn to; `size`
    is a board's width, length and joint, `along` the way of the chalk line, `start` S, `others` the starts and ways
    of further lines, and `repeat` after how much the boards repeat along the line and across it."""

    boards: np.ndarray
    field: shapely.Geometry
    size: tuple[float, float, float]
    along: np.ndarray
    start: np.ndarray
    others: list[tuple[np.ndarray, np.ndarray]]
    repeat: tuple[float, float]
    rows: bool = False
    """Whether `boards` are whole rows: where their boards end is left to chance."""


@dataclass
class Begun:
    """What is known before the first board is laid: the words, S, the way of the chalk line and to the left of it, a
    board's width, length and joint, and the field."""

    said: Reading
    start: np.ndarray
    along: np.ndarray
    left: np.ndarray
    wide: float
    long: float
    gap: float
    field: shapely.Geometry

    def row(self, label: str) -> str:
        """Return what is said under a label of setting out."""
        return self.said.one(SETTING, label)

    def told(self, pattern: str, label: str) -> re.Match[str]:
        """Return what of the words under a label has this form."""
        found = re.search(pattern, self.row(label))
        if not found:
            raise UnclearError(f"{label}: {self.row(label)}")
        return found

    def proved(self, text: str, worked_out: float) -> None:
        """Raise where a printed length is not the one worked out from others."""
        if abs(length(text) - worked_out) > TOLD:
            raise UnclearError(f"{text} is said, {worked_out:.4f} m worked out")

    def counted(self, step: float) -> None:
        """Raise where every tenth board is not said to lie where as many steps along the line reach, metres; or where
        ten fit in the field and nothing is said."""
        said = re.findall(rf"(\d+) on ({LENGTH})", " ".join(self.said.rows(SETTING, "Every ten")))
        for count, text in said:
            self.proved(text, int(count) * step)
        if [int(count) for count, _ in said] != list(range(10, 10 * len(said) + 1, 10)):
            raise UnclearError("every ten")
        line = shapely.LineString([self.start, self.start + 1e3 * self.along])
        parts = shapely.get_parts(line.intersection(self.field.buffer(-0.01)))
        nearest = min(parts, key=lambda each: each.distance(shapely.Point(self.start)), default=None)
        if not said and nearest is not None and nearest.length > 10.5 * step:
            raise UnclearError("nothing of ten boards")

    def repeated(self, boards: np.ndarray, pair: np.ndarray, two: np.ndarray) -> np.ndarray:
        """Return boards (n, 4, 2) repeated by two steps (2,), as far as the field reaches."""
        reach = float(np.hypot(*(shapely.get_coordinates(self.field) - self.start).T).max()) + self.long
        m, n = (int(np.ceil(reach / np.hypot(*each))) + 1 for each in (pair, two))
        grid = np.stack(np.meshgrid(np.arange(-m, m + 1), np.arange(-n, n + 1), indexing="ij"), -1).reshape(-1, 2)
        shifts = grid[:, :1] * pair + grid[:, 1:] * two
        laid = np.concatenate([each[None] + shifts[:, None] for each in boards])
        return laid[shapely.dwithin(self.field, shapely.polygons(laid), NEAR)]


Way = Callable[[Begun], tuple[np.ndarray, tuple[float, float]]]


def lay_by_words(said: Reading, corners: np.ndarray, obstacles: dict[str, Polygon]) -> Laid:
    """Return what is built from what is said in the room with these corners (n, 2) and obstacles."""
    outline = shapely.orient_polygons(Polygon(corners))
    clear = shapely.difference(outline, shapely.union_all(list(obstacles.values())))
    long, wide, _ = (length(each) for each in said.one(SETTING, "Board").split(" to ")[-1].split(" × "))
    if not said.rows(SETTING, "Lengths") and long != length(re.match(LENGTH, said.one(SETTING, "Stop block"))[0]):
        raise UnclearError("two lengths of board")
    joint = said.one(SETTING, "Joint")
    gap = 0.0 if joint.startswith("none") else length(re.match(LENGTH, joint)[0])
    ends = [marks(said.one(SETTING, f"{end} end"), corners, clear) for end in ("near", "far")]
    one, other, inside = (
        length(each) if each else None
        for each in re.match(
            rf"on the chalk line, ({LENGTH}) from its near end and ({LENGTH}) from its far end"
            rf"(?:; ({LENGTH}) past the)?",
            said.one(SETTING, "Start point S"),
        ).groups()
    )
    near, far = struck(*ends, one + other)
    along = (far - near) / np.hypot(*(far - near))
    point = near + one * along
    field = field_by_words(said, outline, obstacles, corners)
    entered = shapely.intersection(
        shapely.LineString([near - along, point]), field_by_words(said, outline, obstacles, corners, grilles=False)
    )
    if inside is not None and not entered.is_empty:
        entry = [g for g in shapely.get_parts(entered) if g.distance(shapely.Point(point)) < 0.003]
        if entry and abs(entry[0].length - inside) > 0.015 and inside < one:
            raise UnclearError(f"S is {entry[0].length:.4f} m into the field, not {inside:.4f} m")
    begun = Begun(said, point, along, np.array([-along[1], along[0]]), wide, long, gap, field)
    ways = [way for label, way in WAYS.items() if said.rows(SETTING, label)]
    if len(ways) != 1:
        raise UnclearError(f"{len(ways)} ways to lay the first boards")
    boards, repeat = ways[0](begun)
    return Laid(
        boards, field, (wide, long, gap), along, point, far_lines(said, corners, clear), repeat, ways[0] is _rows
    )


def _legs(begun: Begun) -> tuple[np.ndarray, tuple[float, float]]:
    """Lay legs of boards at 45 degrees to the line, ends against sides."""
    wide, long, gap = begun.wide, begun.long, begun.gap
    legs = begun.said.rows(SETTING, "First leg")
    count, what, apart = 1, "board", gap
    if legs:
        found = re.match(
            rf"(two|three) boards side by side make a leg: the others? on the left side of the first"
            rf"(?:, joints of ({LENGTH}) between them)?, near ends flush$",
            legs[0],
        )
        if not found or bool(found[2]) != (gap > 0) or (found[2] and length(found[2]) != gap):
            raise UnclearError("what a leg is")
        count, what = NUMBERS[found[1]], "leg"
    first = begun.row("First board")
    if "from S forward to the left, at 45°" not in first or "the right corner of its near end lies on S" not in first:
        raise UnclearError("how the first board lies on S")
    proof = begun.told(rf" lies ({LENGTH}) forward of S .*, and ({LENGTH}) to the left", "Proof of 45°")
    for each in proof.groups():
        begun.proved(each, long / np.sqrt(2))
    if count == 1:
        second = "its end against the first board's right side.*, flush with the first board's near end"
    else:
        second = (
            "the end of its first board against the first leg's right side.*, flush with the first leg's near end; the "
            "others? on the far side of that one, ends against the first leg too"
        )
    begun.told(second, f"Second {what}")
    up, over = (begun.along + begun.left) / np.sqrt(2), (begun.along - begun.left) / np.sqrt(2)
    boards = []
    for number in range(count):
        aside = number * (wide + gap)
        corner = begun.start - (aside + wide) * over
        boards.append(corner + np.array([0 * up, wide * over, wide * over + long * up, long * up]))
        corner = begun.start + apart * over + aside * up
        boards.append(corner + np.array([0 * up, long * over, long * over + wide * up, wide * up]))
    # The next leg that leans left stands on the far side of the second one, a joint away, right of the first.
    pair, two = count * (wide + gap) * (up + over), (long + gap) * (over - up)
    third = begun.told(rf"lies on the line, ({LENGTH}) forward of S", f"Third {what}")
    begun.proved(third[1], float(np.hypot(*pair)))
    begun.told("about", "And so on")
    begun.counted(float(np.hypot(*pair)))
    return begun.repeated(np.array(boards), pair, two), (float(np.hypot(*pair)), float(np.hypot(*two)))


def _mitred(begun: Begun) -> tuple[np.ndarray, tuple[float, float]]:
    """Lay mitred boards in columns, ends against ends."""
    wide, long, gap = begun.wide, begun.long, begun.gap
    sawn = begun.told(
        r"^saw both ends of every board parallel, ([\d.]+)° between end and long edge \(the saw at ([\d.]+)°\)",
        "Mitres",
    )
    stop = begun.told(r"[Tt]he saw stands at ([\d.]+)°, both ends parallel", "Stop block")
    first = begun.told(
        r"^left-leaning: its near end lies along the chalk line from S forward, its nearer long edge runs from S to "
        r"the left, at ([\d.]+)° to the line",
        "First board",
    )
    if sawn[1] != first[1] or not float(sawn[2]) == float(stop[1]) == 90 - float(first[1]):
        raise UnclearError("how boards are sawn and lie")
    angle = np.radians(float(first[1]))
    edge = long + gap / np.sin(angle)
    proof = begun.told(
        rf"^that edge ends ({LENGTH}) forward of S along the chalk line and ({LENGTH}) to the left of it; by tape, "
        rf"({LENGTH}) from S",
        f"Proof of {first[1]}°",
    )
    for text, worked_out in zip(proof.groups(), (edge * np.cos(angle), edge * np.sin(angle), edge), strict=True):
        begun.proved(text, worked_out)
    rise, column = (wide + gap) / np.sin(angle), edge * np.sin(angle)
    begun.proved(begun.told(rf"its near end begins on the line ({LENGTH}) forward of S", "Second board")[1], rise)
    begun.proved(begun.told(rf"the mirror image.* seams about ({LENGTH}) apart", "Second column")[1], column)
    begun.proved(begun.told(rf"five of them ({LENGTH})", "Second column")[1], 5 * column)
    begun.counted(rise)
    boards = []
    for side in (begun.left, -begun.left):
        grain = np.cos(angle) * begun.along + np.sin(angle) * side
        ring = begun.start + np.array([0 * grain, edge * grain, edge * grain + rise * begun.along, rise * begun.along])
        wood = shapely.orient_polygons(Polygon(ring)).buffer(-gap / 2, join_style="mitre") if gap else Polygon(ring)
        boards.append(np.array(wood.exterior.coords)[:4])
    pair, two = rise * begun.along, 2 * column * begun.left
    return begun.repeated(np.array(boards), pair, two), (rise, 2 * column)


def _rows(begun: Begun) -> tuple[np.ndarray, tuple[float, float]]:
    """Lay rows along the line, each as long as the field: where their boards end is left to chance."""
    begun.told(
        "^right of the chalk line, its left edge along it; the left corner of its near end lies on S", "First board"
    )
    step = begun.told(
        rf"side by side to the right, .*edges about ({LENGTH}) on from row to row, ({LENGTH}) on after ten", "Rows"
    )
    begun.proved(step[1], begun.wide + begun.gap)
    begun.proved(step[2], 10 * (begun.wide + begun.gap))
    pitch = begun.wide + begun.gap
    away = shapely.get_coordinates(begun.field) - begun.start
    low, high = (float(each) for each in ((away @ begun.along).min(), (away @ begun.along).max()))
    aside = -away @ begun.left
    rows = []
    for number in range(int(np.floor(aside.min() / pitch)), int(np.ceil(aside.max() / pitch)) + 1):
        left, right = number * pitch, number * pitch + begun.wide
        places = ((low, right), (high, right), (high, left), (low, left))
        rows.append([begun.start + r * begun.along - c * begun.left for r, c in places])
    return np.array(rows), (1e-9, pitch)


WAYS: dict[str, Way] = {"Third board": _legs, "Third leg": _legs, "Mitres": _mitred, "Rows": _rows}
"""How boards are laid, by a label that only their words have."""
