"""Panels of a few boards, seen straight from above under the same even light and drawn in their own colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.layout import Board, Layout, Pieces, Role
from preview.light.coat import coat_of
from preview.light.result.lighting import FloorLight, Lighting
from preview.model.floor import floor_meshes
from preview.model.model import Model
from preview.picture.device.mipmaps import halved
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera
from preview.scene.job import WoodChoice
from preview.wood.boards import cut_boards

Pixels = NDArray[np.uint8]

WIDTH, HEIGHT = 0.61, 0.225
"""A panel's size, metres: three boards of 3 in, 24 in long, which is a whole cathedral."""

BOARD = Board(0.075, 1.01, 0.019, 0.0)  # over a metre, of which a stock has few strips to draw
STARTS = (-0.60, -0.20, -0.85)  # where the first board of each row begins, metres from the panel's left edge
FINER = 2  # panels are drawn so many times larger and brought down, so that pores don't sparkle
RIM = 3  # pixels cut off all round, where the outer boards are eased
LUX = 1000.0


def panel_layout(origin: tuple[float, float] = (0.0, 0.0)) -> Layout:
    """Return the boards of one panel with its lower left corner at `origin`: rows along x, joints staggered."""
    boxes, blanks, keys = [], [], []
    for row, start in enumerate(STARTS):
        for number in range(2):
            left = start + number * BOARD.length
            near, far = max(left, 0.0), min(left + BOARD.length, WIDTH)
            if far - near > 1e-9:
                low = row * BOARD.width
                boxes.append(shapely.box(near, low, far, low + BOARD.width))
                blanks.append((left, low))
                keys.append((row, number))
    count, shift = len(boxes), np.array(origin, dtype=float)
    pieces = Pieces(
        polygons=np.array([shapely.transform(each, lambda points: points + shift) for each in boxes], dtype=object),
        role=np.full(count, Role.BOARD, dtype=np.int8),
        course=np.full(count, -1, dtype=np.int32),
        grain=np.zeros(count),
        origin=np.array(blanks) + shift,
        size=np.tile([BOARD.length, BOARD.width], (count, 1)),
        whole=np.zeros(count, dtype=bool),
        key=np.array(keys, dtype=np.int32),
        hand=np.full(count, -1, dtype=np.int8),
        skew=np.zeros(count),
    )
    line = np.zeros((2, 2))
    return Layout(
        title="", variant="", board=BOARD, run=0.0, count=len(STARTS), course_width=BOARD.width, center_line=line,
        lines=(), chalk_offset=0.0, first=(), border_line=0.0, border_width=0.0,
        field=shapely.box(*shift, *np.add(shift, (WIDTH, HEIGHT))), pieces=pieces, slots=(), beyond=no_pieces(),
        measures={}, warnings=(),
    )  # fmt: skip


def no_pieces() -> Pieces:
    """Return no pieces at all."""
    flat = np.zeros((0, 2))
    return Pieces(
        np.zeros(0, dtype=object), np.zeros(0, np.int8), np.zeros(0, np.int32), np.zeros(0), flat, flat,
        np.zeros(0, bool), np.zeros((0, 2), np.int32), np.zeros(0, np.int8), np.zeros(0),
    )  # fmt: skip


def draw_panels(woods: Sequence[WoodChoice], width: int, materials: Path | None = None) -> list[Pixels]:
    """Return a picture (h, w, 3) `width` pixels wide of a panel of each wood, of one or more.

    Exposed so that a board seen under its coat has the wood's own colour: white paper would be white.

    Raises:
        UsageError: a name isn't known. RenderError: no picture can be drawn on this machine.
    """
    panels = [panel_layout((number * WIDTH, 0.0)) for number in range(len(woods))]
    finest = 0.9 * width / WIDTH
    cut = [cut_boards(layout, wood, wood, materials, finest) for layout, wood in zip(panels, woods, strict=True)]
    first = np.cumsum([0, *(len(each.pages) for each in cut)])
    meshes = [
        replace(mesh, page=mesh.page + int(start))
        for layout, boards, start in zip(panels, cut, first[:-1], strict=True)
        for mesh in floor_meshes(layout, boards)
    ]
    pages, grain = (tuple(page for each in cut for page in getattr(each, name)) for name in ("pages", "grain"))
    boards = replace(cut[0], pages=pages, grain=grain)
    span = len(woods) * WIDTH
    model = Model(tuple(meshes), (), (), np.array([[0, 0, 0], [span, HEIGHT, 1]]), (0.3, 0.3, 0.3))
    coat = coat_of(boards.finish.roughness, boards.finish.ior)
    lux = np.full((1, 1, 3), LUX, np.float32)
    even = FloorLight((0.0, 0.0), span, lux, np.float32(coat.mean_passed) * lux, np.zeros((1, 1, 3), np.float32))
    wide = FINER * (width + 2 * RIM)
    high = round(wide * HEIGHT / WIDTH)
    middle = np.array([span / 2, HEIGHT / 2, 0.0])
    above = np.add(middle, (0.0, 0.0, 1.0))
    camera = Camera("above", above, middle, np.array([0.0, 1.0, 0.0]), None, span, (wide * len(woods), high))
    with open_engine(model, boards, Lighting(even, {}, (), LUX)) as engine:
        picture = engine.draw(camera, np.pi / LUX / coat.mean_passed).rgb
    edge = FINER * RIM
    return [
        halved(picture[edge:-edge, number * wide + edge : (number + 1) * wide - edge]) for number in range(len(woods))
    ]
