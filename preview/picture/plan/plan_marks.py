"""What a plan picture carries besides the floor: walls cut, windows, names of the ways in, main dimensions, the middle
of the pattern, a scale bar, north."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from preview.fonts import font
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.room.main_walls import main_walls
from preview.room.outline import inward
from preview.room.room import Room, RoomOpening
from preview.scene.job import Unit
from preview.units import format_length

Array = NDArray[np.float64]

PAPER = (250, 249, 247)
INK = (52, 50, 48)
WALL = (92, 89, 86)
CUT = (205, 202, 197)
CENTRE = (27, 79, 143)
MIDDLE = "middle of the pattern"
FINE = 2  # marks are drawn this much larger and brought down, for smooth edges
STEPS = {"ft": (0.3048, (1, 2, 5, 10, 20, 50, 100)), "m": (1.0, (0.25, 0.5, 1, 2, 5, 10, 20, 50))}


def mark_plan(
    picture: Picture, room: Room, units: Unit, north: float | None = None, center_line: Array | None = None
) -> Picture:
    """Return a plan picture with its marks.

    Args:
        picture: drawn by a `plan_camera`.
        room: whose plan it is.
        units: of the job, for dimensions; the scale bar is in feet for inches and feet, otherwise in metres.
        center_line: (2, 2) metres, the middle of the pattern; None leaves it out.
        north: radians from +y to north, clockwise; None leaves the arrow out.
    """
    width, height = picture.camera.size
    picture_image = Image.fromarray(picture.rgb).convert("RGB")
    overlay = Image.new("RGBA", (width * FINE, height * FINE), (0, 0, 0, 0))
    pen = ImageDraw.Draw(overlay)
    _walls(pen, room, picture.camera)
    _obstacles(pen, room, picture.camera)
    size = letter_size(picture.camera) * FINE
    face = font(size)
    for opening in room.openings:
        if opening.kind == "window":
            _window(pen, opening, picture.camera)
    marks = Image.new("RGBA", overlay.size, (0, 0, 0, 0))
    ended = _scale_bar(ImageDraw.Draw(marks), picture.camera, units, face, size)
    if north is not None:
        _north(ImageDraw.Draw(marks), picture.camera, north, face, size)
    for wall in main_walls(room):
        _dimension(marks, room, wall, picture.camera, units, face)
    if center_line is not None:
        _center_line(pen, center_line, picture.camera, size)
        _tell_center_line(ImageDraw.Draw(marks), ended, north is not None, face, size)
    overlay.alpha_composite(marks)
    house = Image.new("RGBA", overlay.size, (0, 0, 0, 0))
    _fill(ImageDraw.Draw(house), _with_walls(room), picture.camera, (*WALL, 255))
    taken = (np.asarray(marks.getchannel("A")) > 0) | (np.asarray(house.getchannel("A")) > 0)
    for text, place in placed_names(room, picture.camera, face, taken):
        overlay.alpha_composite(text, place)
    small = overlay.resize((width, height), Image.Resampling.BOX)
    picture_image.paste(small.convert("RGB"), mask=small.getchannel("A"))
    return replace(picture, rgb=np.asarray(picture_image))


def letter_size(camera: Camera) -> int:
    """Return how large letters are on a plan picture, pixels."""
    return max(11, round(0.02 * max(camera.size)) + 2)


def scale_bar(camera: Camera, units: Unit) -> tuple[float, str]:
    """Return the scale bar's length in metres and its label: the longest round one under a quarter of the width."""
    name = "ft" if units in ("in", "ft") else "m"
    unit, steps = STEPS[name]
    fitting = [step for step in steps if step * unit <= camera.span / 4] or [steps[0]]
    return fitting[-1] * unit, f"{fitting[-1]:g} {name}"


def _pixels(points: Array, camera: Camera) -> list[tuple[float, float]]:
    places = np.column_stack([points, np.zeros(len(points))])
    return [(float(x), float(y)) for x, y in camera.project(places) * FINE]


def _fill(pen: ImageDraw.ImageDraw, shape: BaseGeometry, camera: Camera, colour: tuple[int, ...]) -> None:
    """Fill polygons; holes are filled with nothing again."""
    for polygon in getattr(shape, "geoms", [shape]):
        if not isinstance(polygon, Polygon) or polygon.is_empty:
            continue
        pen.polygon(_pixels(np.asarray(polygon.exterior.coords), camera), fill=colour)
        for hole in polygon.interiors:
            pen.polygon(_pixels(np.asarray(hole.coords), camera), fill=(0, 0, 0, 0))


def _with_walls(room: Room) -> BaseGeometry:
    return room.outline.buffer(room.wall_thickness, join_style="mitre")


def _walls(pen: ImageDraw.ImageDraw, room: Room, camera: Camera) -> None:
    """Cover what lies outside the walls with paper, and fill the walls but for the ways through."""
    pen.rectangle((0, 0, camera.size[0] * FINE, camera.size[1] * FINE), fill=(*PAPER, 255))
    _fill(pen, _with_walls(room), camera, (*WALL, 255))
    _fill(pen, room.outline, camera, (0, 0, 0, 0))
    for opening in room.openings:
        if opening.passable:
            _fill(pen, _gap(opening), camera, (0, 0, 0, 0))


def _obstacles(pen: ImageDraw.ImageDraw, room: Room, camera: Camera) -> None:
    """Fill what the plan cuts through: columns, islands, cabinets. What is lower, such as a hearth, is a picture."""
    for obstacle in room.obstacles:
        if obstacle.kind != "hearth" or obstacle.height > camera.position[2]:
            _fill(pen, obstacle.polygon, camera, (*WALL, 255))
            _fill(pen, obstacle.polygon.buffer(-1.5 * camera.span / camera.size[0]), camera, (*CUT, 255))


def _gap(opening: RoomOpening) -> Polygon:
    outer = -opening.depth * opening.inward
    inner = 1e-3 * opening.inward
    return Polygon([opening.a + inner, opening.b + inner, opening.b + outer, opening.a + outer])


def _window(pen: ImageDraw.ImageDraw, opening: RoomOpening, camera: Camera) -> None:
    """A window in plan: the gap in white with the glass as two lines, common practice on drawn plans."""
    _fill(pen, _gap(opening), camera, (*PAPER, 255))
    for share in (0.0, 0.42, 0.58, 1.0):
        ends = np.array([opening.a, opening.b]) - share * opening.depth * opening.inward
        pen.line(_pixels(ends, camera), fill=(*INK, 255), width=FINE)


def placed_names(
    room: Room, camera: Camera, face: ImageFont.FreeTypeFont, taken: NDArray[np.bool_]
) -> list[tuple[Image.Image, tuple[int, int]]]:
    """Return the name of each way in, written along its wall, and the corner (x, y) of the picture that is marked where
    it stands: outside the wall, moved along it or further out from what is `taken` (h, w) and from other names. One for
    which there is no free place is left out: the plan to scale has it."""
    taken = taken.copy()
    found = []
    for opening in (each for each in room.openings if each.passable):
        text = _written(opening, face, min(taken.shape))
        ink = np.asarray(text.filter(ImageFilter.MaxFilter(2 * FINE + 1)).getchannel("A")) > 0
        for x, y in _places(opening, camera, face.size, text):
            inside = x >= 0 and y >= 0 and x + text.width <= taken.shape[1] and y + text.height <= taken.shape[0]
            if inside and not (taken[y : y + text.height, x : x + text.width] & ink).any():
                taken[y : y + text.height, x : x + text.width] |= ink
                found.append((text, (x, y)))
                break
    return found


def _written(opening: RoomOpening, face: ImageFont.FreeTypeFont, longest: float) -> Image.Image:
    """Return the name of an opening as an image turned along its wall, cut with an ellipsis where it is too long."""
    name = opening.name
    while len(name) > 4 and face.getlength(name) > 0.9 * longest:
        name = name[:-2].rstrip("… ") + "…"
    return _along(name, face, opening.b - opening.a)


def _along(words: str, face: ImageFont.FreeTypeFont, along: Array) -> Image.Image:
    """Return words as an image turned along a plan direction."""
    left, top, right, bottom = face.getbbox(words)
    text = Image.new("RGBA", (int(right - left) + 4, int(bottom - top) + 4), (*INK, 0))
    ImageDraw.Draw(text).text((2 - left, 2 - top), words, font=face, fill=(*INK, 255))
    angle = (np.degrees(np.arctan2(along[1], along[0])) + 90) % 180 - 90
    return text.rotate(-90 if abs(angle + 90) < 1e-6 else angle, expand=True, resample=Image.Resampling.BICUBIC)


def _places(opening: RoomOpening, camera: Camera, size: float, text: Image.Image) -> Iterator[tuple[int, int]]:
    """Yield where the corner of an opening's name may stand, best first: outside its middle, aside, further out."""
    away = -opening.inward * [1, -1]
    along = np.array([away[1], -away[0]])
    edge = np.array(_pixels((opening.middle - opening.depth * opening.inward)[None], camera)[0])
    half = 0.5 * np.array(text.size)
    for row in range(5):
        for shift in (0, 1, -1, 2, -2, 4, -4, 7, -7, 11, -11):
            reach = np.abs(away) @ half + (0.35 + 1.2 * row) * size
            x, y = edge + reach * away + shift * size * along - half
            yield round(x), round(y)


def _dimension(
    marks: Image.Image, room: Room, wall: int, camera: Camera, units: Unit, face: ImageFont.FreeTypeFont
) -> None:
    """Draw the length of a wall (from 0) outside it, its number in the middle of the line; nothing where the picture
    has no space for that beside the wall, or the wall none for the number."""
    a, b = room.corners[wall], room.corners[(wall + 1) % len(room.corners)]
    out = -inward(room.corners)[wall]
    way, size = out * [1, -1], face.size
    ends = np.array(_pixels(np.array([a, b]) + room.wall_thickness * out, camera)) + 2.1 * size * way
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    text = _along(format_length(float(np.hypot(*(b - a))), units), face, b - a)
    middle, half = ends.mean(axis=0), 0.5 * np.array(text.size)
    reach = face.getlength(format_length(float(np.hypot(*(b - a))), units)) / 2 + 0.35 * size
    low, high = (op([*ends, middle - half, middle + half], axis=0) for op in (np.min, np.max))
    if (low < 0).any() or (high > marks.size).any() or np.hypot(*(ends[1] - ends[0])) < 2 * reach + size:
        return
    pen = ImageDraw.Draw(marks)
    for end, sign in zip(ends, (1, -1), strict=True):
        pen.line([tuple(end), tuple(middle - sign * reach * along)], fill=(*INK, 255), width=FINE)
        pen.line([tuple(end - 0.4 * size * way), tuple(end + 0.4 * size * way)], fill=(*INK, 255), width=FINE)
    x, y = middle - half
    marks.alpha_composite(text, (round(x), round(y)))


def _center_line(pen: ImageDraw.ImageDraw, line: Array, camera: Camera, size: float) -> None:
    """Draw the middle of the pattern, dashed, with a light rim."""
    ends = np.array(_pixels(line, camera))
    _dashed(pen, ends, size)


def _dashed(pen: ImageDraw.ImageDraw, ends: Array, size: float) -> None:
    length = float(np.hypot(*(ends[1] - ends[0])))
    along = (ends[1] - ends[0]) / max(length, 1e-9)
    wide = max(FINE, round(0.14 * size))
    for ink, more in ((PAPER, wide), (CENTRE, 0)):
        for start in np.arange(0.0, length, 1.2 * size):
            dash = [tuple(ends[0] + place * along) for place in (start, min(start + 0.8 * size, length))]
            pen.line(dash, fill=(*ink, 255), width=wide + more)


def _tell_center_line(
    pen: ImageDraw.ImageDraw, left: float, north: bool, face: ImageFont.FreeTypeFont, size: float
) -> None:
    """Say beside the scale bar, which ends at `left`, what the dashed line is, where there is space for that."""
    width, height = pen.im.size
    start = left + 2.0 * size
    if start + 2.6 * size + face.getlength(MIDDLE) > width - (5.0 if north else 1.0) * size:
        return
    level = height - 1.44 * size
    _dashed(pen, np.array([[start, level], [start + 2.0 * size, level]]), size)
    pen.text((start + 2.6 * size, level), MIDDLE, font=face, fill=(*INK, 255), anchor="lm")


def _scale_bar(
    pen: ImageDraw.ImageDraw, camera: Camera, units: Unit, face: ImageFont.FreeTypeFont, size: float
) -> float:
    """Draw the scale bar in the lower left corner, and return where it ends."""
    length, label = scale_bar(camera, units)
    width, height = camera.size[0] * FINE, camera.size[1] * FINE
    x0, y0, thick = 0.04 * width, height - 1.6 * size, 0.32 * size
    pixels = length / camera.span * width
    for part in range(4):
        box = (x0 + pixels * part / 4, y0, x0 + pixels * (part + 1) / 4, y0 + thick)
        pen.rectangle(box, fill=(*INK, 255) if part % 2 == 0 else (*PAPER, 255), outline=(*INK, 255), width=FINE)
    pen.text((x0, y0 - 0.25 * size), "0", font=face, fill=(*INK, 255), anchor="mb")
    pen.text((x0 + pixels, y0 - 0.25 * size), label, font=face, fill=(*INK, 255), anchor="mb")
    return x0 + pixels + face.getlength(label) / 2


def _north(pen: ImageDraw.ImageDraw, camera: Camera, north: float, face: ImageFont.FreeTypeFont, size: float) -> None:
    """An arrow in the lower right corner; north lies `north` radians clockwise of the picture's up."""
    width, height = camera.size[0] * FINE, camera.size[1] * FINE
    middle = np.array([width - 2.6 * size, height - 2.2 * size])
    way = np.array([np.sin(north), -np.cos(north)])
    side = np.array([-way[1], way[0]])
    tip, tail = middle + 1.1 * size * way, middle - 1.1 * size * way
    for sign, fill in ((1, (*INK, 255)), (-1, (*PAPER, 255))):
        corners = [tip, tail + sign * 0.55 * size * side, middle - 0.65 * size * way]
        pen.polygon([tuple(each) for each in corners], fill=fill, outline=(*INK, 255), width=FINE)
    pen.text(tuple(tip + 0.75 * size * way), "N", font=face, fill=(*INK, 255), anchor="mm")
