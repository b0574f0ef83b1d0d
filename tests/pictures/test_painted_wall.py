"""A wall in flat light has the colour of its paint, as the scene gives it: from the file to the picture's bytes.

CIEDE2000 by colour-science 0.4.6, which tests it on the pairs of Sharma, Wu and Dalal (2005, doi:10.1002/col.20070).
"""

from dataclasses import replace

import colour
import numpy as np
import pytest

from preview.colour import linear_to_srgb
from preview.light.bake import light_room
from preview.light.sources.lamps import lamps_for
from preview.model.build import build_model
from preview.model.paints import paint_code, room_paints
from preview.picture.draw import empty_engine
from preview.picture.tone import START
from preview.picture.view.camera import Camera
from preview.scene import read_scene
from preview.scene.woods import wood_names
from preview.steps import lay_jobs
from tests.unit import model_values

SCENE = """
units = "m"
[room]
corners = [[0, 0], [3.2, 1.1], [2.6, 3.4], [-0.4, 2.4]]
height = 2.4
[floor]
board_width = "90 mm"
"""
LUX = 800.0
FURTHER = ("#b9b1a6", "#e0d4c1", "#c3d0d6", "#4a4c4e")


def bytes_of(code):
    return np.array([int(code[k : k + 2], 16) for k in (1, 3, 5)])


def difference(one, other):
    """The CIEDE2000 difference of two sRGB colours in bytes."""
    lab = [colour.XYZ_to_Lab(colour.sRGB_to_XYZ(np.asarray(each) / 255)) for each in (one, other)]
    return float(colour.delta_E(*lab, method="CIE 2000"))


@pytest.fixture(scope="module")
def drawn():
    """A function that returns what a picture shows of a wall in flat light, sRGB bytes."""
    floor = lay_jobs(read_scene(SCENE, "room.toml"))[0]
    boards = model_values.boards(floor.layout)
    model = build_model(floor.room, floor.layout, boards)
    lighting = light_room(model, floor.room, floor.job.light, lamps=lamps_for(floor.room, floor.job.light))
    flat = {name: np.full_like(each, LUX) for name, each in lighting.parts.items()}
    middle = np.array([1.35, 1.7, 1.3])
    view = Camera(
        "wall", middle, middle + np.array([-0.3, 0.9, 0.0]), np.array([0.0, 0, 1]), np.radians(40), 0.0, (96, 64)
    )

    even = replace(lighting, parts=flat)
    with empty_engine() as engine:

        def draw(paint):
            job = read_scene(f'{SCENE}[paint]\nwalls = "{paint}"\n', "room.toml")[0]
            painted = build_model(floor.room, floor.layout, boards, room_paints(job.paint))
            engine.show(replace(painted, floor=model.floor, bounds=model.bounds), boards, even)
            picture = engine.draw(view, np.pi / LUX)  # so that white is drawn white
            patch = picture.rgb[16:48, 32:64].reshape(-1, 3)
            assert np.ptp(patch, axis=0).max() <= 1  # one wall, flat
            return patch.mean(axis=0)

        yield draw


@pytest.mark.parametrize(
    "code",
    ["#d5d6d4", "#b5694c", "#3a5a78", *(pytest.param(each, marks=pytest.mark.slow) for each in FURTHER)],
)
def test_a_wall_has_the_colour_that_its_scene_gives(drawn, code):
    """To the rounding of a byte. A paint whose skin were forgotten, 4 % of the light, would be off by 0.8 or more."""
    assert difference(drawn(code), bytes_of(code)) < 0.5


@pytest.mark.parametrize(
    "paint",
    [
        pytest.param(each, marks=() if each in ("cream", "bottle green", "terracotta", "trim") else pytest.mark.slow)
        for each in sorted(set(wood_names()["paint"].values()))
    ],
)
def test_a_named_paint_has_the_colour_that_it_is_listed_with(drawn, paint):
    """To the rounding of a byte; whites as below."""
    code = bytes_of(paint_code(paint))
    compressed = code.max() > 255 * linear_to_srgb(START)
    assert difference(drawn(paint), code) < (2.0 if compressed else 0.5)


@pytest.mark.parametrize(
    ("code", "most"), [("#f4f4f1", 2.0), ("#ffffff", 4.0), ("#1f2a44", 2.0), ("#c00000", 4.0), ("#000000", 5.5)]
)
def test_whites_and_near_blacks_differ_as_the_tone_curve_and_the_skin_make_them(drawn, code, most):
    """The tone curve compresses what is over 0.76 of white, and none of a paint's primaries is seen under 0.01, since
    its skin returns 0.04 of the light. White itself is drawn as the whitest paint."""
    assert 0.5 < difference(drawn(code), bytes_of(code)) < most
