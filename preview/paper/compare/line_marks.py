"""The sight line and the floor's centre line, drawn on the floor of a picture in its own perspective."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.floor.layout import Layout
from preview.floor.sight_lines import sight_end, sight_offset
from preview.fonts import font
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.room.room import Room, RoomOpening
from preview.scene.job import Unit
from preview.units import format_length, round_length
from preview.vectors import unit

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]

SIGHT, CENTRE, HALO = "#d1342f", "#1b4f8f", "#ffffff"
STEPS = 1200  # places along a line that are looked at one by one
FINE = 2  # drawn this much larger and brought down, for smooth edges
NEAREST = 0.05  # metres before the eye
BEHIND = 0.03  # metres that a place may lie behind what is seen there, for rounding and boards' eased edges


@dataclass(frozen=True, eq=False)
class Lines:
    """Two lines on the floor, (2, 2) plan metres each, from the way in to the far wall; `opening` is whose sight."""

    opening: RoomOpening
    sight: Array
    centre: Array


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


def mark_lines(picture: Picture, room: Room, layout: Layout, units: Unit) -> Pixels | None:
    """Return the picture's pixels with both lines drawn on what is seen of the floor, and how far apart they end.

    None where neither line is in the picture. What stands before the floor hides the lines.
    """
    width, height = picture.camera.size
    image = Image.fromarray(picture.rgb).resize((width * FINE, height * FINE), Image.Resampling.BICUBIC)
    pen = ImageDraw.Draw(image)
    thick = max(2, round(height / 190)) * FINE
    drawn = False
    for lines in floor_lines(room, layout):
        seen = [_seen(picture, room, line) for line in (lines.sight, lines.centre)]
        if not any(each.any() for each in seen):
            continue
        drawn = True
        for line, visible, colour in zip((lines.sight, lines.centre), seen, (SIGHT, CENTRE), strict=True):
            for ink, wide in ((HALO, thick + 2 * FINE), (colour, thick)):
                _stroke(pen, picture.camera, line, visible, ink, wide, dashed=colour == CENTRE)
        _tell(pen, picture.camera, lines, seen, units, height)
    if not drawn:
        return None
    return np.asarray(image.resize((width, height), Image.Resampling.BOX))


def _places(line: Array) -> Array:
    shares = np.linspace(0, 1, STEPS)[:, None]
    plan = line[0] + shares * (line[1] - line[0])
    return np.column_stack([plan, np.zeros(STEPS)])


def _seen(picture: Picture, room: Room, line: Array) -> NDArray[np.bool_]:
    """Return which places along a line are floor that the picture shows."""
    places = _places(line)
    camera = picture.camera
    away = camera.ahead(places)
    seen: NDArray[np.bool_] = away > NEAREST
    seen[seen] = shapely.intersects_xy(room.floor, places[seen, 0], places[seen, 1])
    pixels = np.floor(camera.project(places[seen])).astype(int)
    width, height = camera.size
    inside = ((pixels >= 0) & (pixels < [width, height])).all(axis=1)
    depth = np.zeros(len(pixels))
    depth[inside] = picture.depth[pixels[inside, 1], pixels[inside, 0]]
    seen[seen] = inside & (depth >= away[seen] - BEHIND - 0.02 * away[seen])
    return seen


def _stroke(
    pen: ImageDraw.ImageDraw,
    camera: Camera,
    line: Array,
    seen: NDArray[np.bool_],
    ink: str,
    wide: int,
    dashed: bool,
) -> None:
    """Draw what is seen of a line; dashes are of one length on the floor, so that they too are in perspective."""
    places = _places(line)
    on = seen.copy()
    if dashed:
        metres = np.linspace(0, float(np.hypot(*(line[1] - line[0]))), STEPS)
        on &= metres % 0.24 < 0.16
    for start, end in _stretches(on):
        points = camera.project(places[start:end]) * FINE
        if len(points) > 1:
            pen.line([(float(x), float(y)) for x, y in points], fill=ink, width=wide, joint="curve")


def _stretches(on: NDArray[np.bool_]) -> list[tuple[int, int]]:
    turns = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    return list(zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True))


def _tell(
    pen: ImageDraw.ImageDraw,
    camera: Camera,
    lines: Lines,
    seen: list[NDArray[np.bool_]],
    units: Unit,
    height: int,
) -> None:
    """Say how far apart the lines are at the furthest place where both are seen."""
    both = np.flatnonzero(seen[0] & seen[1])
    if not len(both):
        return
    ends = np.array([_places(line)[both[-1]] for line in (lines.sight, lines.centre)])
    apart = round_length(float(np.hypot(*(ends[1] - ends[0])[:2])), units)
    words = f"{format_length(apart, units)} apart" if apart else "in line"
    (x0, y0), (x1, y1) = camera.project(ends) * FINE
    face = font(max(14, round(height / 21)) * FINE, "Semibold")
    edge = max(2, round(height / 300)) * FINE
    if apart:
        pen.line([(x0, y0), (x1, y1)], fill=HALO, width=4 * edge // 2 + 2)
        pen.line([(x0, y0), (x1, y1)], fill="#26231f", width=edge)
    half = face.getlength(words) / 2 + 2 * edge
    right = camera.size[0] * FINE - half
    at = (float(np.clip((x0 + x1) / 2, half, max(right, half))), min(y0, y1) - 0.5 * face.size)
    pen.text(at, words, font=face, fill="#26231f", anchor="ms", stroke_width=edge + FINE, stroke_fill=HALO)
