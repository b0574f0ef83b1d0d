"""A flat plan as a picture: every piece, those that differ marked, the sight lines and the centre line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.floor.differing import differing
from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, Role
from preview.paper.compare.line_marks import CENTRE, HALO, SIGHT, floor_lines
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.room.places import shows_north
from preview.room.room import Room
from preview.scene.job import Viewpoint

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]

FINE = 3  # drawn this much larger and brought down, for smooth edges
PAPER, JOINT = "#fbfaf7", "#8a7759"
LEFT, RIGHT, STRIP, GRILLE, OBSTACLE = "#f3e7d0", "#ead9ba", "#c9ab7c", "#b99b6b", "#ffffff"
MARKED_LEFT, MARKED_RIGHT = "#e8a05c", "#dd8f48"


def plan_picture(floor: LaidFloor, base: Layout | None, size: tuple[int, int]) -> Pixels:
    """Return a plan of `size` pixels in which the pieces that differ from those of `base` are orange."""
    room, job = floor.room, floor.job
    from preview.picture import camera_for, mark_plan

    view = Viewpoint("plan", "plan", None, 1.6, None, 1.0)
    camera = camera_for(view, room, size)
    fine = (size[0] * FINE, size[1] * FINE)
    large = Camera(camera.name, camera.position, camera.target, camera.up, None, camera.span, fine)
    image = Image.new("RGB", fine, PAPER)
    pen = ImageDraw.Draw(image)
    _pieces(pen, large, floor.layout, base)
    for obstacle in room.obstacles:
        pen.polygon(_pixels(np.asarray(obstacle.polygon.exterior.coords), large), OBSTACLE, JOINT, FINE)
    small = np.asarray(image.resize(size, Image.Resampling.BOX))
    nothing = np.zeros((size[1], size[0]), np.float32)
    flat = Picture(camera, job.title, job.variant, small, np.zeros((*nothing.shape, 3), np.float32), nothing)
    marked = mark_plan(flat, room, job.units, room.north if shows_north(room, job) else None)
    return _lines(marked.rgb, camera, room, floor.layout)


def _pieces(pen: ImageDraw.ImageDraw, camera: Camera, layout: Layout, base: Layout | None) -> None:
    pieces = layout.pieces
    marked = differing(layout, base).pieces if base is not None else np.zeros(len(pieces), bool)
    leans_left = np.sin(2 * (pieces.grain - layout.run)) > 0
    for number, polygon in enumerate(pieces.polygons):
        if pieces.role[number] == Role.BOARD:
            tints = (MARKED_RIGHT, MARKED_LEFT) if marked[number] else (RIGHT, LEFT)
            fill = tints[int(leans_left[number])]
        else:
            fill = GRILLE if pieces.role[number] == Role.GRILLE else STRIP
        pen.polygon(_pixels(np.asarray(polygon.exterior.coords), camera), fill, JOINT, 1)
    for slot in layout.slots:
        pen.polygon(_pixels(np.asarray(slot.exterior.coords), camera), "#5a5148")


def _lines(rgb: Pixels, camera: Camera, room: Room, layout: Layout) -> Pixels:
    height, width = rgb.shape[:2]
    image = Image.fromarray(rgb).resize((width * 2, height * 2), Image.Resampling.BICUBIC)
    pen = ImageDraw.Draw(image)
    thick = 2 * max(2, round(height / 300))
    found = floor_lines(room, layout)
    centre = found[0].centre if found else layout.center_line
    for line, ink in [*((each.sight, SIGHT) for each in found), (centre, CENTRE)]:
        points = np.array(_pixels(line, camera)) * 2
        reach = float(np.hypot(*(points[1] - points[0])))
        along = (points[1] - points[0]) / max(reach, 1.0)
        dashes = np.arange(0, reach, 7.0 * thick) if ink == CENTRE else np.array([0.0])
        for start in dashes:
            end = min(start + 4.5 * thick, reach) if ink == CENTRE else reach
            ends = [tuple(points[0] + place * along) for place in (start, end)]
            pen.line(ends, fill=HALO, width=2 * thick)
        for start in dashes:
            end = min(start + 4.5 * thick, reach) if ink == CENTRE else reach
            ends = [tuple(points[0] + place * along) for place in (start, end)]
            pen.line(ends, fill=ink, width=thick)
    return np.asarray(image.resize((width, height), Image.Resampling.BOX))


def _pixels(points: Array, camera: Camera) -> list[tuple[float, float]]:
    places = np.column_stack([points, np.zeros(len(points))])
    return [(float(x), float(y)) for x, y in camera.project(places)]
