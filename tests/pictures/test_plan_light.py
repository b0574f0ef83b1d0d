"""A plan picture is lit evenly: whatever the daylight, each quarter of its floor is as bright as another."""

import numpy as np
import pytest

from preview.scene.read import read_scene
from preview.session import draw_floors
from preview.steps import lay_jobs

SCENE = """
title = "Lit from one corner"
units = "mm"
[room]
corners = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
height = 2500
[[openings]]
name = "window"
kind = "window"
wall = 4
offset = 1800
width = 1100
height = 1500
sill = 400
[floor]
board_width = 40
run = 90
[border]
width = 0
[wood]
species = "white oak"
finish = "gloss"
[[viewpoints]]
name = "plan"
kind = "plan"
"""


SUNNY = '[light]\nsky = "clear"\nsun = { latitude = 50, longitude = 0, time = 2026-06-21T17:00:00+00:00 }\n'


@pytest.mark.parametrize("light", [SUNNY, pytest.param("", marks=pytest.mark.slow)], ids=["in sun", "overcast"])
def test_each_quarter_of_a_plan_is_as_bright(light):
    """Boards differ: a quarter has some 200 of them, whose mean varies by a per cent or two."""
    (drawn,) = draw_floors(lay_jobs(read_scene(SCENE + light, "lit.toml")), ["plan"], (480, 400))
    camera = drawn.picture.camera
    low, high = camera.project(np.array([[0.1, 2.9, 0], [3.9, 0.1, 0]])).round().astype(int)
    floor = drawn.picture.hdr[low[1] : high[1], low[0] : high[0]].mean(axis=2)
    line = abs(np.arange(low[0], high[0]) + 0.5 - camera.project(np.array([[2.0, 1.5, 0]]))[0, 0]) > 8
    floor = floor[:, line]
    down, across = (size // 2 for size in floor.shape)
    quarters = [part.mean() for half in (floor[:down], floor[down:]) for part in (half[:, :across], half[:, across:])]
    assert max(quarters) / min(quarters) < 1.05
