"""The finishes on one floor in one room: seen at a slant beside a window, whose image on the floor tells a sheen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.light.bake import light_room
from preview.model.build import build_model
from preview.picture.draw import open_engine
from preview.picture.exposure import exposure_for
from preview.picture.view.footprint import floor_density
from preview.picture.view.viewpoints import camera_for
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from preview.wood.boards import Boards, cut_boards
from preview.wood.species import load_finish

Pixels = NDArray[np.uint8]

ROOM = """
title = "A room with one window"
units = "cm"

[room]
corners = [[0, 0], [320, 0], [320, 360], [0, 360]]
height = 250
baseboard = 1.5

[[openings]]
name = "window"
kind = "window"
wall = 3
offset = 100
width = 120
sill = 60
height = 150

[floor]
board_width = 9
board_length = 50
run = 90

[border]
width = 0

[[viewpoints]]
name = "beside the window"
at = [70, 50]
look = [168, 228, 0]
eye = 140
fov = 48
"""

BRIGHTEST = 1.1  # of white: the brightest thousandth of the glossiest floor, before highlights are held


def draw_sheens(
    finishes: Sequence[str],
    species: str,
    size: tuple[int, int],
    materials: Path | None = None,
    drawn: Callable[[str], None] = lambda name: None,
) -> list[Pixels]:
    """Return a picture (h, w, 3) of the same floor under each finish, by the same light and exposure: so much of what
    the room is metered to that nothing on the glossiest floor is burnt out.

    drawn: called with the name of each finish as soon as it is drawn.

    Raises:
        UsageError: a name isn't known. RenderError: no picture can be drawn on this machine.
    """
    job = read_scene(ROOM, "the room of the sheens", materials=materials)[0]
    floor = lay_jobs([job])[0]
    camera = camera_for(job.viewpoints[0], floor.room, size)
    finest = floor_density([camera], floor.room)
    dyed: dict[object, Boards] = {}
    light, exposure = None, np.zeros(3)
    found: dict[str, Pixels] = {}
    for name in sorted(finishes, key=lambda name: load_finish(name, materials).roughness):
        finish = load_finish(name, materials)
        tone = (finish.deepening, finish.amber)
        if tone not in dyed:
            wood = replace(job.wood, species=species, cut="plainsawn", finish=name)
            dyed[tone] = cut_boards(floor.layout, wood, wood, materials, finest)
        boards = replace(dyed[tone], finish=finish, border_finish=finish)
        model = build_model(floor.room, floor.layout, boards)
        if light is None:
            light = light_room(model, floor.room, job.light)
        with open_engine(model, boards, light) as engine:
            if not found:
                metered = exposure_for(light, "auto", model.floor_albedo, model.bounds)
                brightest = np.quantile((engine.draw(camera, metered).hdr * metered).max(axis=-1), 0.999)
                exposure = metered * min(1.0, BRIGHTEST / float(brightest))
            found[name] = engine.draw(camera, exposure).rgb
        drawn(name)
    return [found[name] for name in finishes]
