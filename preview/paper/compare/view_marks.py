"""What is drawn over a picture's floor in its own perspective: sight line, centre line, and another floor's seams."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.features import NEAR
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout
from preview.floor.seams import same_seams, seam_lines
from preview.floor.sight_lines import sight_end, sight_offset, sight_offsets
from preview.paper.compare.sheet_text import LABEL
from preview.paper.plan.labels import Spot
from preview.paper.plan.lettering import text_width
from preview.paper.plan.svg_sheet import INK, Sheet
from preview.paper.words.line_words import SEEN, TURNED
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.room.places import the
from preview.room.room import Room, RoomOpening
from preview.scene.job import Unit
from preview.units import format_length, round_length
from preview.vectors import unit

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]
MarkKind = Literal["sight", "centre", "seam"]

STEPS, STEP = 1200, 0.02  # places along a line that are looked at one by one, at least; metres between them, at most
CLOSEST = 0.05  # metres before the eye
BEHIND = 0.03  # metres that a place may lie behind what is seen there, for rounding and boards' eased edges
MOST_SEAMS = 8  # nearest to the centre line: more of them hide the floor
DASHES: dict[MarkKind, tuple[float, float]] = {"sight": (1.0, 1.0), "centre": (0.16, 0.24), "seam": (0.07, 0.14)}
"""Of each line, how long a dash is and how far on the next begins, metres on the floor; the sight line has none."""

USUAL = 6.0  # metres: along lines longer than this dashes are longer too, in a hall they are looked at from afar
ALIGNED = np.radians(4)  # lines turned against each other by more have no one distance
POINT = 25.4 / 72  # mm
HALO = "#ffffff"
INKS: dict[MarkKind, tuple[str, str, float]] = {
    "seam": ("#3a2c1c", HALO, 0.9),
    "sight": ("#d1342f", HALO, 1.5),
    "centre": ("#1b4f8f", HALO, 1.5),
}
"""Of each line, its colour, that of its rim, and its width in points; the first is drawn first. Seams swap their two
colours on a dark floor."""

RIM = 0.9  # points, of both sides together
LIGHT = 118  # of 255: on a floor that is lighter seams are drawn dark
DARK = 70  # of 255: what is darker is no place for a label
CELLS = 40  # across a picture, in which it is looked at for dark places


@dataclass(frozen=True, eq=False)
class Lines:
    """Two lines on the floor, (2, 2) plan metres each, from the way in to the far wall; `opening` is whose sight."""

    opening: RoomOpening
    sight: Array
    centre: Array


@dataclass(frozen=True, eq=False)
class LineMark:
    """A line as a picture shows it: dashes (n, 2, 2) in pixels, each from its near to its far end."""

    kind: MarkKind
    dashes: Array


@dataclass(frozen=True, eq=False)
class ViewMarks:
    """All lines of a picture of `size` pixels; `apart` (2, 2) pixels from the sight line to the centre line where they
    are last seen side by side, and `words` how far that is; None and nothing where they aren't."""

    size: tuple[int, int]
    marks: tuple[LineMark, ...]
    apart: Array | None
    words: str

    @property
    def kinds(self) -> set[MarkKind]:
        """Return which lines are to be seen."""
        return {each.kind for each in self.marks}


def floor_lines(room: Room, layout: Layout) -> list[Lines]:
    """Return the sight line of each way in that runs with the courses, with the floor's centre line beside it.

    The centre line runs from the wall of the opening to as far as the sight line does.
    """
    along = unit(layout.run)
    found = []
    for opening in room.openings:
        if not opening.passable or sight_offset(room, opening, layout.center_line[0], layout.run) is None:
            continue
        ends = np.array([opening.middle, sight_end(room, opening)])
        point = layout.center_line[0]
        found.append(Lines(opening, ends, point + ((ends - point) @ along)[:, None] * along))
    return found


def line_names(opening: str) -> dict[MarkKind, str]:
    """Return what the lines are, in words for who looks at a picture; `opening` is whose sight line it is."""
    return {"sight": f"straight in from {the(opening)}", "centre": "middle of the pattern"}


def sight_opening(floors: Sequence[LaidFloor]) -> str:
    """Return the name of the way in whose sight line one of the floors' centre lines lies nearest to; nothing where
    none runs with the courses, or all lie so far aside that nobody takes the floor for centred on one."""
    found = [
        (max(abs(each.at_opening), abs(each.at_far_wall)), each.opening)
        for floor in floors
        for each in sight_offsets(floor.room, floor.layout)
        if each.passable and abs(each.at_opening) <= NEAR
    ]
    return min(found)[1] if found else ""


def view_marks(picture: Picture, floor: LaidFloor, opening: str, base: Layout | None = None) -> ViewMarks:
    """Return the lines on what a picture shows of a floor: the sight line of the way in called `opening`, if there is
    one, and the floor's centre line.

    Where `base` is of the same pattern and its courses run the same way but meet elsewhere, its seams too, those
    nearest to its centre line.
    What stands before the floor hides the lines.
    """
    room, layout = floor.room, floor.layout
    lines = [each for each in floor_lines(room, layout) if each.opening.name == opening]
    shown: list[tuple[MarkKind, Array]] = []
    if base is not None and seams_moved(base, layout):
        shown += [("seam", each) for each in seam_lines(base, MOST_SEAMS)]
    centre = lines[0].centre if lines else layout.center_line
    shown += [("sight", each.sight) for each in lines[:1]] + [("centre", centre)]
    marks = []
    for kind, line in shown:
        dashes = _dashes(picture, room, line, *DASHES[kind])
        if len(dashes):
            marks.append(LineMark(kind, dashes))
    aligned = lines and _turn(lines[0]) < ALIGNED
    apart, words = _apart(picture, room, lines[0], floor.job.units) if aligned else (None, "")
    return ViewMarks(picture.camera.size, tuple(marks), apart, words)


def _turn(lines: Lines) -> float:
    """Return by how much the sight line and the centre line are turned against each other, radians."""
    x0, y0 = lines.sight[1] - lines.sight[0]
    x1, y1 = lines.centre[1] - lines.centre[0]
    return float(np.arctan2(abs(x0 * y1 - y0 * x1), x0 * x1 + y0 * y1))


def seams_moved(base: Layout, layout: Layout) -> bool:
    """Return whether two layouts of one pattern run the same way, and their courses meet elsewhere."""
    turned = abs(np.sin(base.run - layout.run)) > TURNED
    return base.facts.name == layout.facts.name and not turned and not same_seams(base, layout)


def cropped(marks: ViewMarks, top: int) -> ViewMarks:
    """Return the lines of a picture of which `top` rows of pixels are cut off above."""
    shift = np.array([0.0, top])
    cut = tuple(replace(each, dashes=each.dashes - shift) for each in marks.marks)
    size = (marks.size[0], marks.size[1] - top)
    return replace(marks, size=size, marks=cut, apart=None if marks.apart is None else marks.apart - shift)


def marks_svg(marks: ViewMarks, rgb: Pixels, width: float, height: float) -> bytes:
    """Return a drawing of `width` x `height` mm to lay over a picture (h, w, 3): its lines, and how far apart two of
    them are, written where nothing is crossed and nothing dark lies under it."""
    sheet = Sheet(width, height, 1.0, np.zeros(2), np.zeros(2), boxed=True, ground=False)
    scale = width / marks.size[0]
    for kind, (ink, rim, wide) in INKS.items():
        own = [each.dashes * scale for each in marks.marks if each.kind == kind]
        if not own:
            continue
        dashes = np.concatenate(own)
        if kind == "seam" and _lightness(rgb, dashes / scale) < LIGHT:
            ink, rim = rim, ink
        path = "".join(f"M{a[0]:.3f},{a[1]:.3f}L{b[0]:.3f},{b[1]:.3f}" for a, b in dashes)
        for number, (colour, more) in enumerate(((rim, RIM), (ink, 0.0))):
            style = {"fill": "none", "stroke": colour, "stroke_width": round((wide + more) * POINT, 3)}
            sheet.path(path, f"{kind}-rim" if number == 0 else kind, stroke_opacity=0.55 if number == 0 else 1, **style)
        if kind != "seam":  # a label may stand on seams, of which there are many
            sheet.lines += [shapely.LineString(each) for each in dashes if (each[0] != each[1]).any()]
    if marks.apart is not None:
        _write_apart(sheet, marks.apart * scale, marks.words, rgb)
    return sheet.svg("lines", marks.words)


def _lightness(rgb: Pixels, dashes: Array) -> float:
    """Return how light a picture (h, w, 3) is where dashes (n, 2, 2) lie on it, 0 to 255."""
    limit = np.array(rgb.shape[1::-1]) - 1
    x, y = np.clip(dashes.reshape(-1, 2).astype(int), 0, limit).T
    return float(rgb[y, x].mean())


def _write_apart(sheet: Sheet, ends: Array, words: str, rgb: Pixels) -> None:
    a, b = ends[np.argsort(ends[:, 0])]
    if np.hypot(*(b - a)) > 0.5:
        for colour, wide in ((HALO, 1.8), (INK, 0.9)):
            sheet.line(a, b, stroke=colour, stroke_width=round(wide * POINT, 3))
    middle = (a + b) / 2
    half = np.array([text_width(words, LABEL, "Semibold") / 2, 0.6 * LABEL])
    spots = []
    for gap in (1.6, 3.0, 5.0, 8.0, 12.0):
        reach = abs(b[0] - a[0]) / 2 + half[0] + gap
        spots += [Spot.of(middle + np.array([side * reach, drop])) for drop in (0.0, 2.0, 4.0) for side in (1, -1)]
        spots += [Spot.of(middle + np.array([0.0, sign * (half[1] + gap)])) for sign in (-1, 1)]
    sheet.label(words, LABEL, spots, middle, halo=True, off=dark_places(rgb, sheet.width), font_weight=600, near=6.0)


def dark_places(rgb: Pixels, width: float) -> shapely.Geometry:
    """Return where a picture (h, w, 3), drawn `width` wide, is too dark for a label, in the units of `width`."""
    cell = max(1, rgb.shape[1] // CELLS)
    down, across = rgb.shape[0] // cell, rgb.shape[1] // cell
    cells = rgb[: down * cell, : across * cell].reshape(down, cell, across, cell, 3).mean(axis=(1, 3, 4))
    rows, columns = np.nonzero(cells < DARK)
    side = cell * width / rgb.shape[1]
    return shapely.union_all(shapely.box(columns * side, rows * side, (columns + 1) * side, (rows + 1) * side))


def _places(line: Array) -> Array:
    """Return places (n, 3) on the floor along a line, metres."""
    length = float(np.hypot(*(line[1] - line[0])))
    shares = np.linspace(0, 1, max(STEPS, int(length / STEP)))[:, None]
    plan = line[0] + shares * (line[1] - line[0])
    return np.column_stack([plan, np.zeros(len(plan))])


def _seen(picture: Picture, room: Room, places: Array) -> NDArray[np.bool_]:
    """Return which places (n, 3) on the floor the picture shows."""
    camera = picture.camera
    away = camera.ahead(places)
    seen: NDArray[np.bool_] = away > CLOSEST
    seen[seen] = shapely.intersects_xy(room.floor, places[seen, 0], places[seen, 1])
    pixels = np.floor(camera.project(places[seen])).astype(int)
    width, height = camera.size
    inside = ((pixels >= 0) & (pixels < [width, height])).all(axis=1)
    depth = np.zeros(len(pixels))
    depth[inside] = picture.depth[pixels[inside, 1], pixels[inside, 0]]
    seen[seen] = inside & (depth >= away[seen] - BEHIND - 0.02 * away[seen])
    return seen


def _dashes(picture: Picture, room: Room, line: Array, dash: float, pitch: float) -> Array:
    """Return what is seen of a line, (n, 2, 2) pixels; dashes are of one length on the floor, so that they too are in
    perspective."""
    places = _places(line)
    on = _seen(picture, room, places)
    if pitch > dash:
        length = float(np.hypot(*(line[1] - line[0])))
        larger = max(1.0, length / USUAL)
        on &= np.linspace(0, length, len(places)) % (larger * pitch) < larger * dash
    turns = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    ends = np.stack([turns[::2], turns[1::2] - 1], axis=1)
    ends = ends[ends[:, 1] > ends[:, 0]]
    return picture.camera.project(places[ends.ravel()]).reshape(-1, 2, 2)


def _apart(picture: Picture, room: Room, lines: Lines, units: Unit) -> tuple[Array | None, str]:
    """Return where both lines are last seen side by side, (2, 2) pixels, and how far apart they are there, or at the
    way in where that is no other distance to the eye: sentences tell that one."""
    places = [_places(line) for line in (lines.sight, lines.centre)]
    count = min(map(len, places))
    places = [each[np.linspace(0, len(each) - 1, count).astype(int)] for each in places]
    both = np.flatnonzero(_seen(picture, room, places[0]) & _seen(picture, room, places[1]))
    if not len(both):
        return None, ""
    ends = np.array([each[both[-1]] for each in places])
    here, there = (float(np.hypot(*(each[1] - each[0])[:2])) for each in ([line[0] for line in places], ends))
    apart = round_length(here if abs(there - here) < SEEN else there, units)
    words = f"{format_length(apart, units)} apart" if apart > SEEN else "both in line"
    return picture.camera.project(ends), words


def lines_in_frame(camera: Camera, floors: Sequence[LaidFloor]) -> float:
    """Return the least share of a floor's centre line that a camera's picture has inside its frame."""
    shares = []
    for floor in floors:
        places = _places(floor.layout.center_line)
        ahead = camera.ahead(places) > CLOSEST
        pixels = camera.project(places[ahead])
        inside = ((pixels >= 0) & (pixels < camera.size)).all(axis=1)
        shares.append(float(inside.sum()) / len(places))
    return min(shares)
