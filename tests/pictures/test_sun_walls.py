"""Sunshine on walls: as far as the pane lets it, with the shadow of a bar where the sun's rays put it."""

from dataclasses import replace

import numpy as np
import pytest
from synthetic_room import DEPTH, part, room

from preview.light.result.lighting import SunBeam, SunLight
from preview.picture.draw import open_engine
from preview.picture.sun.shadow_map import shadow_map_view
from preview.picture.view.camera import Camera

WAY = np.array([0.06, 0.95, 0.22]) / np.linalg.norm([0.06, 0.95, 0.22])
RADIUS = np.radians(0.265)
BAR = (1.35, 1.41)
UP = np.array([0.0, 0, 1])
SHIFT = DEPTH * WAY[0] / WAY[1]  # a shadow on the near wall lies this much nearer to x = 0 than what casts it


@pytest.fixture(scope="module")
def row():
    """Sunshine along a level line on the near wall, over that in the open, and the places x where it was seen."""
    model, boards, lighting = room()
    bar = part(
        "bar", "trim", [(BAR[0], DEPTH, 0.9), (BAR[1], DEPTH, 0.9), (BAR[1], DEPTH, 2.2), (BAR[0], DEPTH, 2.2)],
        (0, -1, 0), (0.8, 0.8, 0.8),
    )  # fmt: skip
    model = replace(model, parts=(*model.parts, bar))
    dark = {each.name: np.ones_like(each.vertices) for each in model.parts}
    beam = SunBeam("left", model.panes[0].corners, np.float32([6e4, 6e4, 6e4]), ())
    sunlight = SunLight(WAY, RADIUS, (beam,))
    lit = replace(lighting, parts=dark, emitters=(), sun=sunlight, mean_floor_lux=6e4)
    level = 1.55 - DEPTH * WAY[2] / WAY[1]
    eye = Camera("wall", np.array([1.2, 2.0, level]), np.array([1.2, 0.0, level]), UP, 0.75, 0.0, (601, 41))
    with open_engine(model, boards, lit) as engine:
        seen = engine.draw(eye, 1e-5).hdr[20, :, 1] * np.pi / (0.04 + 0.96 * 0.70) / (6e4 * WAY[1])
    x = 1.2 - 2.0 * (np.arange(601) + 0.5 - 300.5) / (300.5 / np.tan(0.375))
    return x[::-1], seen[::-1]


def test_a_wall_is_lit_through_the_pane_and_shaded_by_its_bar(row):
    x, seen = row
    lit = (x > 0.95 - SHIFT) & (x < 1.85 - SHIFT)
    shaded = (x > BAR[0] - SHIFT + 0.025) & (x < BAR[1] - SHIFT - 0.025)
    by_bar = (x > BAR[0] - SHIFT - 0.04) & (x < BAR[1] - SHIFT + 0.04)
    assert seen[lit & ~by_bar] == pytest.approx(1, abs=0.02)
    assert seen[(x < 0.85 - SHIFT) | (x > 1.95 - SHIFT)].max() < 0.01
    assert seen[shaded].max() < 0.1


def test_the_edges_of_shadow_lie_within_a_pixel_of_the_suns_view(row):
    x, seen = row
    inside = (x > BAR[0] - SHIFT - 0.1) & (x < BAR[1] - SHIFT + 0.1)
    x, seen = x[inside], seen[inside]
    dark = x[seen < 0.5]
    pixel = 1 / shadow_map_view(WAY, np.array([[0, 0, 0], [4.7, 3.8, 2.6]])).uniforms["sun_window"][2]
    assert dark.min() == pytest.approx(BAR[0] - SHIFT, abs=pixel)
    assert dark.max() == pytest.approx(BAR[1] - SHIFT, abs=pixel)
