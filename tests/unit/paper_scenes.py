"""Scenes that the tests of what goes on paper lay out: a plain room, one out of square, one with everything."""

from __future__ import annotations

from functools import cache

from preview.floor.laid import LaidFloor
from preview.scene.read import read_scene
from preview.steps import lay_jobs

PLAIN = """
title = "Plain room"
units = "in"
[room]
corners = [[0, 0], [180, 0], [180, 144], [0, 144]]
height = 96
baseboard = 1
[[openings]]
name = "archway"
kind = "cased opening"
wall = 1
offset = 40
width = 60
height = 82
[floor]
board_width = 4
run = 90
[border]
width = 4
[wood]
species = "white oak"
[[variants]]
name = "On the archway"
floor.center = { opening = "archway" }
"""

ASKEW = """
title = "Œuvre <“Erker”> & كوخ"
units = "mm"
north = 30
[room]
corners = [[0, 0], [4000, 0], [4300, 3000], [0, 3000]]
height = 2500
[[openings]]
name = "Flurtür"
kind = "door"
wall = 1
offset = 600
width = 900
height = 2050
[[openings]]
name = "window"
kind = "window"
wall = 3
offset = 600
width = 900
sill = 800
height = 1200
[[obstacles]]
name = "pillar"
kind = "column"
corners = [[1500, 1500], [1800, 1500], [1800, 1800], [1500, 1800]]
height = 2500
[[vents]]
name = "V1"
center = [3000, 700]
size = [300, 100]
[floor]
board_width = 90
run = 90
[border]
width = 90
longest = 2000
[wood]
species = "walnut"
"""


def laid(scene: str) -> list[LaidFloor]:
    return list(_laid(scene))


@cache
def _laid(scene: str) -> tuple[LaidFloor, ...]:
    return tuple(lay_jobs(read_scene(scene, "scene.toml")))
