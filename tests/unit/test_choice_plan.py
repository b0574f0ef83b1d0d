"""The plan that one chooses by names everything however small it is, and no word stands on another."""

import re
import xml.etree.ElementTree as ET

import pytest
from paper_scenes import laid
from shapely import affinity, box

from preview.data import data_folder
from preview.paper.compare.choice_plan import choice_plan
from preview.paper.plan.lettering import WIDER, text_width
from preview.scene.read import load_scene
from preview.steps import lay_jobs

BAY = """
title = "Bay"
units = "mm"
room.walk = ["E 3600", "S 1400", "E 2400", "N 1900", "NE 900", "N 1500", "NW 900", "N 1200", "W 6000", "S 4472"]
floor.board_width = 90
openings = [{ name = "hall door", kind = "door", wall = 1, offset = 700, width = 850 },
            { name = "archway", kind = "cased opening", wall = 9, offset = 2200, width = 1400 }]
obstacles = [{ name = "hearth", kind = "hearth", corners = [[0, 200], [450, 200], [450, 1150], [0, 1150]] }]
"""


def words_on(svg):
    found = []
    for each in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        x, y, size = (float(each.get(key)) for key in ("x", "y", "font-size"))
        half = text_width(each.text, size) / WIDER / 2
        turn = re.match(r"rotate\((\S+)", each.get("transform", "rotate(0 "))
        shape = box(x - half, y - 0.66 * size, x + half, y + 0.1 * size)
        found.append((affinity.rotate(shape, float(turn[1]), origin=(x, y)), each.text))
    return found


@pytest.mark.parametrize("size", [(60, 55), (45, 40), (34, 30)])
@pytest.mark.parametrize("scene", ["bay", "dining-room"])
def test_openings_obstacles_and_walls_are_named_on_small_plans_too(scene, size):
    floor = laid(BAY)[0] if scene == "bay" else lay_jobs(load_scene(data_folder("scenes") / f"{scene}.toml"))[0]
    walls = range(1, len(floor.room.corners) + 1)
    written = words_on(choice_plan(floor, *size, "archway", walls))
    told = [words for _, words in written]
    for each in (*(o for o in floor.room.openings if o.passable), *floor.room.obstacles):
        assert any(words.startswith(each.name[:6]) for words in told), (each.name, told)
    assert {str(wall) for wall in walls} <= set(told)
    over = [
        (one, other)
        for n, (shape, one) in enumerate(written)
        for further, other in written[n + 1 :]
        if shape.intersection(further).area > 0.05
    ]
    assert over == []
