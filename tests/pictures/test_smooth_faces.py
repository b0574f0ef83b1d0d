"""Walls and ceiling are drawn as even as the light on them: no smudges and no bands of what a few rays have missed.

Each picture is held against one of the same room whose wide faces are lit by 64 times the rays, nothing filtered. What
a person sees as smudges are differences that change slowly over a face; those of whole faces, which nobody sees without
the other picture, are asked for as well. Eyes tell about 1 % (Weber's fraction in good light; from memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import binary_erosion, gaussian_filter

from preview.colour import luminance
from preview.light.bake import light_room
from preview.light.geometry import irradiance_filter, visibility
from preview.light.sources.lamps import lamps_for
from preview.model.build import build_model
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera
from preview.scene import read_scene
from preview.steps import lay_jobs
from tests.unit import model_values

ROOM = """
units = "m"
room.corners = [[0, 0], [4.8, 0], [4.8, 3.2], [0, 3.2]]
room.height = 2.7
room.baseboard = 0.018
floor.board_width = 0.1
openings = [{ name = "window", kind = "window", wall = 1, offset = 1.5, width = 1.2, sill = 0.8, height = 1.5 }]
obstacles = [{ name = "column", kind = "column", corners = [[2.9, 1.2], [3.2, 1.2], [3.2, 1.5], [2.9, 1.5]] }]
"""
HALL = """
units = "m"
room.corners = [[0, 0], [18, 0], [18, 12], [0, 12]]
room.height = 5
room.baseboard = 0.018
floor.board_width = 0.2
openings = [
    { name = "south", kind = "window", wall = 1, offset = 2.4, width = 1.8, sill = 0.9, height = 3.2 },
    { name = "south too", kind = "window", wall = 1, offset = 11.7, width = 1.8, sill = 0.9, height = 3.2 },
    { name = "north", kind = "window", wall = 3, offset = 7.4, width = 1.8, sill = 0.9, height = 3.2 },
]
obstacles = [
    { name = "column", kind = "column", corners = [[5.7, 5.7], [6.3, 5.7], [6.3, 6.3], [5.7, 6.3]] },
    { name = "other column", kind = "column", corners = [[11.7, 5.7], [12.3, 5.7], [12.3, 6.3], [11.7, 6.3]] },
]
"""
SIZE = (480, 320)


def lit(floor, model, folder):
    return light_room(model, floor.room, floor.job.light, folder=folder, lamps=lamps_for(floor.room, floor.job.light))


def shown(floor, model, boards, lighting):
    """What is drawn from a corner, looking along the room and a little up: luminance, and metres from the eye."""
    _, (x, y, z) = model.bounds
    eye = np.array([0.06 * x, 0.1 * y, 1.5])
    camera = Camera("corner", eye, np.array([x, 0.8 * y, 0.62 * z]), np.array([0, 0, 1.0]), np.radians(85), 0.0, SIZE)
    with open_engine(model, boards, lighting) as engine:
        picture = engine.draw(camera, np.full(3, 1e-3))
    pixels = np.stack(np.meshgrid(np.arange(SIZE[0]) + 0.5, np.arange(SIZE[1]) + 0.5), axis=-1).reshape(-1, 2)
    place = eye + picture.depth.reshape(-1, 1) * camera.rays(pixels)
    return luminance(picture.hdr), place.reshape(*SIZE[::-1], 3)


def wide_faces(place, model):
    """Pixels of the ceiling and of each wall, a few pixels off what borders on them."""
    low, high = model.bounds
    faces = [np.abs(place[..., axis] - end[axis]) < 0.01 for axis in (0, 1) for end in (low, high)]
    faces.append(np.abs(place[..., 2] - high[2]) < 0.01)
    return [binary_erosion(each & (place[..., 2] > 0.2), iterations=4) for each in faces]


def cache_once(work):
    """A function that does its work once, whatever it is given."""
    found = []

    def done(*given):
        if not found:
            found.append(work(*given))
        return found[0]

    return done


def difference(floor, finer, tmp_path, monkeypatch):
    """Root mean square parts by which walls and ceiling differ from finely lit ones, of all and of what of it changes
    over a tenth of the picture's width."""
    boards = model_values.boards(floor.layout)
    model = build_model(floor.room, floor.layout, boards)
    for name in ("form_factors", "find_pane_visibility", "find_emitter_factors"):  # the same for both
        monkeypatch.setattr(visibility, name, cache_once(getattr(visibility, name)))
    drawn, place = shown(floor, model, boards, lit(floor, model, tmp_path / "plain"))
    monkeypatch.setattr(irradiance_filter, "ERROR", 1e-9)
    for name, value in (("BROAD_RAYS", 10**9), ("MOST_ROWS", finer), ("MOST_AGAIN", 10**10)):
        monkeypatch.setattr(visibility, name, value)
    reference, _ = shown(floor, model, boards, lit(floor, model, tmp_path / "finer"))
    whole, smudges = [], []
    for face in wide_faces(place, model):
        if face.sum() > 1000:
            off = np.where(face, drawn / np.maximum(reference, 1e-9) - 1, 0.0)
            near = gaussian_filter(face.astype(float), SIZE[0] / 20)
            level = gaussian_filter(off, SIZE[0] / 20) / np.maximum(near, 1e-9)
            whole.append(off[face])
            smudges.append((off - level)[face])
    assert sum(map(len, whole)) > 0.3 * drawn.size
    return [float(np.sqrt((np.concatenate(each) ** 2).mean())) for each in (whole, smudges)]


@pytest.mark.slow
def test_walls_and_ceiling_are_as_even_as_their_light(tmp_path, monkeypatch):
    """Measured are 0.30 and 0.24 %; with every node's rays alike and nothing filtered or looked at again, 0.70 and
    0.56 %."""
    floor = lay_jobs(read_scene(ROOM, "room.toml"))[0]
    whole, smudges = difference(floor, 16, tmp_path, monkeypatch)
    assert whole < 0.0034 and smudges < 0.0027


@pytest.mark.slow
def test_a_halls_walls_and_ceiling_are_as_even_as_their_light(tmp_path, monkeypatch):
    """Measured are 0.43 and 0.37 %; as they were 1.04 and 0.93 %."""
    floor = lay_jobs(read_scene(HALL, "hall.toml"))[0]
    whole, smudges = difference(floor, 64, tmp_path, monkeypatch)
    assert whole < 0.0052 and smudges < 0.0045
