"""A floor laid from the printed words alone: what a layer who has the text, a tape and the empty room would build.

Nothing of `preview.floor` or `preview.paper` is used: the text is read line by line, marks are taped from the room's
corners, the line is struck, boards of the printed sizes are laid from the start point (`tests.laying`), and sawn at the
border lines. The room's corners and the outlines of what stands in it are what the layer sees.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Polygon

from preview.units import parse_length

LENGTH = r"(?:-?(?:\d+' )?(?:\d+ )?\d+(?:/\d+)?\"|\d+'|-?[\d.]+ (?:mm|cm|m))(?: \(about [^)]*\))?"


SLIT = 0.001


class UnclearError(Exception):
    """The text leaves open, or contradicts, what is to be done."""


def length(text: str) -> float:
    """Return a printed length in metres."""
    return parse_length(text.split(" (about")[0].strip(), "m")


@dataclass
class Reading:
    """What the text says, by section and label; lines further in than a label go on with the one before."""

    sections: dict[str, list[tuple[str, str]]] = field(default_factory=dict)

    @classmethod
    def of(cls, text: str) -> Reading:
        found = cls()
        rows: list[tuple[str, str]] = []
        for line in text.splitlines():
            if line and not line.startswith(" "):
                rows = found.sections.setdefault(line, [])
            elif line.strip():
                inner = re.match(r"(?:  | {4})(\S.*?)(?: {2,}(.*))?$", line)
                if inner:
                    rows.append((inner[1], inner[2] or ""))
                elif rows:
                    rows[-1] = (rows[-1][0], f"{rows[-1][1]} {line.strip()}")
        return found

    def rows(self, section: str, label: str) -> list[str]:
        """Return the values under a label."""
        return [value for name, value in self.sections.get(section, []) if name == label]

    def one(self, section: str, label: str) -> str:
        """Return the value under a label that stands once."""
        values = self.rows(section, label)
        if len(values) != 1:
            raise UnclearError(f"{len(values)} things are said of {label}")
        return values[0]


FIRST = (
    *("Mitres", "Batten", "Straightedge", "First board", "First leg", r"Proof of [\d.]+°", "Back-up block"),
    *(
        "Second board",
        "Second leg",
        "Both",
        "Holding them",
        "Third board",
        "Third leg",
        "And so on",
        "First boards",
        "Every ten",
    ),
    *("Second column", "First row", "Rows", "End joints"),
)
"""Labels that the card may have under its first boards."""


def card_reading(words: str) -> Reading:
    """Return what the words of a card say, white space made single, as the same rows that the layer's text has."""

    def found(pattern: str) -> tuple[str, ...]:
        hit = re.search(pattern, words)
        if not hit:
            raise UnclearError(f"the card does not say: {pattern}")
        return hit.groups()

    block, shortest, long, wide, thick, saw = found(
        rf"(?:Stop block|Boards) (?:({LENGTH}) from the blade: every field board is cut to it|({LENGTH}) to ({LENGTH}) "
        rf"long), [\d,]+ of them, ({LENGTH}) wide, ({LENGTH}) thick\.(.*?) Joints:"
    )
    edge, away = found(r"\d (Border line|Edge line) and spacer block (.*?): a spacer block that long")
    near, far = found(r"\d Chalk line Near end: (.*?)\. Far end: (.*?)\. It lies")
    one, other = found(rf"Start point S On the line, ({LENGTH}) from its near end, ({LENGTH}) from its far end\.")
    rows = [("Stop block", f"{block}{saw}") if block else ("Lengths", f"{shortest} to {long}{saw}")]
    rows += [("Board", f"{block or long} × {wide} × {thick}")]
    rows += [("Joint", found(r"Joints: (.*?)\. (?:Expansion|Wood)")[0])]
    rows += [(edge, away), ("near end", near), ("far end", far)]
    rows += [("Feature strip", each) for each in re.findall(r"Feature strip: (.*? from .*?)\. \d", words)]
    rows.append(("Start point S", f"on the chalk line, {one} from its near end and {other} from its far end"))
    # The plan's own lettering may stand between two steps, so what follows the last label is not all of the step.
    (first,) = found(r"\d First boards(?: \(.*?\))? (.*?) \d+ Courses \d")
    labels = list(re.finditer(rf"(?:^|(?<=\. ))({'|'.join(FIRST)}): ", first))
    for hit, after in zip(labels, [*labels[1:], None], strict=True):
        rows.append((hit[1], first[hit.end() : after.start() if after else None].strip().removesuffix(".")))
    grilles = re.findall(
        r"(\S+) (frame .*?; its (?:longer|shorter|first) side (?:along|square to|turned).*? wall)", words
    )
    return Reading({"Setting out": rows, "Grilles": grilles})


def far_lines(said: Reading, corners: np.ndarray, clear: shapely.Geometry) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return the start and the way of each further line."""
    found, ends = [], []
    for label, value in said.sections["Setting out"]:
        if re.match(r"(near|far) end \d", label):
            ends.append(marks(value, corners, clear))
        if re.match(r"Start point S\d", label):
            one, other = (length(each) for each in re.findall(rf"({LENGTH}) from its (?:near|far) end", value))
            near, far = struck(*ends, one + other)
            ends = []
            along = (far - near) / np.hypot(*(far - near))
            found.append((near + one * along, along))
    return found


def struck(nears: list[np.ndarray], fars: list[np.ndarray], long: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the two marks, of those that were found, between which a line is as long as is said."""
    good = [(a, b) for a in nears for b in fars if abs(float(np.hypot(*(b - a))) - long) < 0.003]
    if len(good) != 1:
        raise UnclearError(f"{len(good)} pairs of marks stand {long:.4f} m apart")
    return good[0]


def marks(words: str, corners: np.ndarray, clear: shapely.Geometry) -> list[np.ndarray]:
    """Return the marks that a line of the text may mean: one on a wall, one or both where tapes cross."""
    tapes = [(length(a), _corner(b, len(corners))) for a, b in re.findall(rf"({LENGTH}) from (corner \d+/\d+)", words)]
    wall = re.match(r"on wall (\d+)", words)
    if wall:
        ends = int(wall[1]) - 1, int(wall[1]) % len(corners)
        places = []
        for taped, corner in tapes:
            if corner not in ends:
                raise UnclearError("a tape along a wall from a corner that it hasn't")
            other = ends[1 - ends.index(corner)]
            step = corners[other] - corners[corner]
            places.append(corners[corner] + taped * step / np.hypot(*step))
        if np.ptp(places, axis=0).max() > 0.003:
            raise UnclearError("two tapes along a wall don't meet")
        return places[:1]
    if not words.startswith("where two tapes cross"):
        raise UnclearError(f"a mark found by {words!r}")
    (a, first), (b, second), *check = tapes
    p, q = corners[first], corners[second]
    base = q - p
    d = float(np.hypot(*base))
    x = (a * a - b * b + d * d) / (2 * d)
    y = np.sqrt(max(a * a - x * x, 0.0))
    unit = base / d
    options = [p + x * unit + sign * y * np.array([-unit[1], unit[0]]) for sign in (1, -1)]
    good = [each for each in options if clear.distance(shapely.Point(each)) < 0.002]
    for taped, corner in check:
        good = [each for each in good if abs(float(np.hypot(*(each - corners[corner]))) - taped) < 0.005]
    if len(good) == 2 and np.hypot(*(good[0] - good[1])) < 0.003:
        good = good[:1]
    if not good or (check and len(good) > 1):
        raise UnclearError(f"two tapes cross in {len(good)} places")
    return good


def _corner(name: str, count: int) -> int:
    before, here = (int(each) for each in re.findall(r"\d+", name))
    if before % count + 1 != here:
        raise UnclearError(f"{name} is none")
    return here - 1


def field_by_words(
    said: Reading, outline: Polygon, obstacles: dict[str, Polygon], corners: np.ndarray, grilles: bool = True
) -> shapely.Geometry:
    """Return what is inside the border lines, grilles left out where they are asked for."""
    label = "Border line" if said.rows("Setting out", "Border line") else "Edge line"
    inner = _within(said.one("Setting out", label), outline, obstacles)
    for _, value in said.sections.get("Grilles", []) if grilles else []:
        inner = shapely.difference(inner, _grille(value, corners))
    return opened(inner)


def strip_by_words(said: Reading, corners: np.ndarray, obstacles: dict[str, Polygon]) -> shapely.Geometry:
    """Return the feature strip that is laid in the room: what lies between the strip line and the border line; nothing
    where no strip is told of."""
    outline = shapely.orient_polygons(Polygon(corners))
    told = said.rows("Setting out", "Feature strip")
    if not told:
        return Polygon()
    found = re.match(
        rf"({LENGTH}) wide, laid along the outside of the border line .*; its outer edge is the strip line, (.*)",
        told[0],
    )
    lines = said.one("Setting out", "Border line")
    inner, outer = _within(lines, outline, obstacles), _within(found[2], outline, obstacles)
    walls = [length(re.match(rf"({LENGTH}) from the walls", each)[1]) for each in (found[2], lines)]
    if abs(walls[1] - walls[0] - length(found[1])) > 1e-6:
        raise UnclearError("a feature strip that does not fill the space between its lines")
    return shapely.difference(outer, inner)


def _within(words: str, outline: Polygon, obstacles: dict[str, Polygon]) -> shapely.Geometry:
    """Return what is inside a line that runs so far from the walls and from each obstacle."""
    walls = length(re.match(rf"({LENGTH}) from the walls", words)[1])
    inner = shapely.buffer(outline, -walls, join_style="mitre", mitre_limit=1e6)
    away = {}
    for part in words.split("; ")[1:]:
        far, names = re.match(rf"(?:right at|({LENGTH}) from) (.*)", part).groups()
        away |= {name.removeprefix("the "): length(far) if far else 0.0 for name in re.split(r", | and ", names)}
    if set(away) != set(obstacles):
        raise UnclearError("an obstacle without a border line, or the other way round")
    for name, shape in obstacles.items():
        inner = shapely.difference(inner, shapely.buffer(shape, away[name], join_style="mitre", mitre_limit=1e6))
    return inner


def opened(shape: shapely.Geometry) -> shapely.Geometry:
    """Return a field without what is narrower than 2 mm, as behind a hearth that isn't quite against the wall: nobody
    lays a board there."""
    less = shapely.buffer(shape, -SLIT, join_style="mitre", mitre_limit=1e6)
    return shapely.buffer(less, SLIT, join_style="mitre", mitre_limit=1e6)


def _grille(words: str, corners: np.ndarray) -> Polygon:
    """Return the frame that a line of the text describes."""
    found = re.match(
        rf"frame ({LENGTH}) × ({LENGTH}); its middle ({LENGTH}) from wall (\d+).*, square to it, at ({LENGTH}) from "
        rf"(corner \d+/\d+); its (longer|shorter|first) side (.*)",
        words,
    )
    if not found:
        raise UnclearError(f"where a grille lies: {words}")
    size = np.array([length(found[1]), length(found[2])])
    wall, corner = int(found[4]) - 1, _corner(found[6], len(corners))
    a, b = corners[wall], corners[(wall + 1) % len(corners)]
    step = (b - a) / np.hypot(*(b - a))
    way = step if corner == wall else -step
    ring = Polygon(corners).exterior.is_ccw
    inward = np.array([-step[1], step[0]]) * (1 if ring else -1)
    middle = corners[corner] + length(found[5]) * way + length(found[3]) * inward
    turned = found[8]
    turn = {"along the wall": 0.0, "square to the wall": 90.0}.get(turned)
    if turn is None:
        degrees, sense = re.match(r"turned ([\d.]+)° (anticlockwise|clockwise) from the wall", turned).groups()
        turn = float(degrees) * (1 if sense == "anticlockwise" else -1)
    angle = np.arctan2(step[1], step[0]) + np.radians(turn)
    if (found[7] == "longer") != (size[0] > size[1]) and found[7] != "first":
        raise UnclearError("which side of the grille is meant")
    u = np.array([np.cos(angle), np.sin(angle)])
    v = np.array([-u[1], u[0]])
    half = size / 2
    return Polygon([middle + s * half[0] * u + t * half[1] * v for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
