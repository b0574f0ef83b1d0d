"""Names and numbers round and on a plan can be read: none is set over another, none too small."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from paper_scenes import PLAIN, laid
from shapely import affinity, box

from preview.data import data_folder
from preview.paper.plan.fitted_plan import customer_plan, layer_plan, room_plan
from preview.paper.plan.lettering import text_width
from preview.paper.plan.right_angle import right_angle
from preview.scene.read import load_scene
from preview.steps import lay_jobs

TEXT = "{http://www.w3.org/2000/svg}text"
NORTH = """
[[openings]]
name = "window {0}, looking north"
kind = "window"
wall = 3
offset = {1}
width = 20
"""
WINDOWS = PLAIN.replace("[floor]", "".join(NORTH.format(n, 10 + 60 * n) for n in range(3)) + "[floor]", 1)


def floors():
    scenes = (data_folder("scenes") / f"{name}.toml" for name in ("dining-room", "kitchen"))
    return [laid(WINDOWS)[0], *(lay_jobs(load_scene(each))[0] for each in scenes)]


def texts(svg):
    """The box that each text of a plan fills, with the text, its size and whether it is an opening's name."""
    found = []
    for each in ET.fromstring(svg).iter(TEXT):
        x, y, size = (float(each.get(key)) for key in ("x", "y", "font-size"))
        wide = 0.8 * text_width(each.text, size)  # the estimate is a wide one
        left = x - wide / 2 if each.get("text-anchor") == "middle" else x
        shape = box(left, y - 0.66 * size, left + wide, y + 0.1 * size)
        turn = float(each.get("transform", "rotate(0 ").split("(")[1].split()[0])
        found.append((affinity.rotate(shape, turn, origin=(x, y)), each.text, size, each.get("font-style") == "italic"))
    return found


def on_paper(plan, shape):
    scale = 1000 / plan.ratio
    (x, y), (left, top) = plan.corner, plan.origin
    return affinity.affine_transform(shape, [scale, 0, 0, -scale, left - scale * x, top + scale * y])


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.title)
@pytest.mark.parametrize("space", [(134.0, 165.0), (189.0, 135.0)], ids=["beside", "above"])
def test_names_of_openings_and_the_start_stand_clear_of_everything(floor, space):
    angle = right_angle(floor.room, floor.layout, floor.job.units)
    for plan in (
        layer_plan(floor, angle, *space),
        customer_plan(floor, *space),
    ):
        written = texts(plan.svg)
        clear = [each for each in written if each[3] or each[1].endswith(" to S")]
        assert len([each for each in clear if each[3]]) == len(floor.room.openings)
        house = on_paper(plan, floor.room.outline.buffer(floor.room.wall_thickness, join_style="mitre"))
        for shape, words, _, is_name in clear:
            assert not (is_name and shape.intersects(house)), words
            assert box(0, 0, plan.width, plan.height).covers(shape), words
            over = [each[1] for each in written if each[1] != words and each[0].intersection(shape).area > 0.05]
            assert not over, (words, over)


def test_a_room_walked_clockwise_is_dimensioned_outside_and_numbered_in_its_walls_too():
    corners = "corners = [[0, 0], [180, 0], [180, 144], [0, 144]]"
    assert corners in PLAIN
    clockwise = PLAIN.replace(corners, "corners = [[180, 0], [0, 0], [0, 144], [180, 144]]")
    clockwise = clockwise.replace("offset = 40", "offset = 80")
    for scene in (PLAIN, clockwise):
        floor = laid(scene)[0]
        plan = customer_plan(floor, 185.0, 220.0)
        written = {words: shape for shape, words, *_ in texts(plan.svg)}
        inside = on_paper(plan, floor.room.outline)
        house = on_paper(plan, floor.room.outline.buffer(floor.room.wall_thickness, join_style="mitre"))
        assert not any(written[words].intersects(house) for words in ("15'", "12'", "archway"))
        assert all(written[words].within(house) and not written[words].within(inside) for words in "1234")


@pytest.mark.parametrize("floor", floors(), ids=lambda each: each.job.title)
def test_the_number_of_a_wall_can_be_read_however_thin_the_wall(floor):
    plan = layer_plan(floor, None, 134.0, 165.0)
    numbers = {str(number + 1) for number in range(len(floor.room.corners))}
    sizes = {words: size for _, words, size, _ in reversed(texts(plan.svg)) if words in numbers}
    assert set(sizes) == numbers and min(sizes.values()) >= 1.9


def test_the_triangle_and_the_distance_to_the_start_lie_on_two_sides_of_the_chalk_line():
    for floor in floors():
        angle = right_angle(floor.room, floor.layout, floor.job.units)
        plan = layer_plan(floor, angle, 134.0, 165.0)
        written = {words: shape.centroid.coords[0] for shape, words, *_ in texts(plan.svg)}
        (words,) = (each for each in written if each.endswith(" to S"))
        start, far, aside = (np.array(written[each]) for each in ("S", *angle.names))
        along = (far - start) / np.hypot(*(far - start))
        across = np.array([-along[1], along[0]])
        assert ((np.array(written[words]) - start) @ across) * ((aside - start) @ across) < 0


THINGS = """
title = "Snug"
units = "mm"
room.walk = ["E 4000", "N 5000", "W 4000", "S 5000"]
floor.board_width = 90
border.width = 90
openings = [{ name = "door", kind = "door", wall = 1, offset = 700, width = 850 }]
obstacles = [{ name = "hearth", kind = "hearth", corners = [[3550, 1210], [4000, 1210], [4000, 2260], [3550, 2260]] },
             { name = "island", kind = "island", corners = [[930, 3120], [1940, 3120], [1940, 3740], [930, 3740]] }]
vents = [{ center = [310, 2070], size = [330, 110], angle = 90 }]
"""


@pytest.mark.parametrize("wide", [110.0, 150.0])
def test_what_stands_in_the_room_and_vents_have_their_measures_as_taped(wide):
    """How large each is, from which corner of its wall, and how far off that wall."""
    floor = laid(THINGS)[0]
    for plan in (customer_plan(floor, wide, 1.2 * wide), room_plan(floor.room, floor.job, wide, 1.2 * wide)):
        written = [words for _, words, *_ in texts(plan.svg)]
        for measure in ("1050 × 450", "1210", "1010 × 620", "1260", "930", "330 × 110", "310", "2070"):
            assert measure in written, (measure, written)


def test_a_narrow_plan_keeps_its_words_apart():
    plan = customer_plan(laid(THINGS)[0], 80.0, 96.0)
    written = texts(plan.svg)
    over = [
        (one[1], other[1])
        for n, one in enumerate(written)
        for other in written[n + 1 :]
        if one[0].intersection(other[0]).area > 0.05
    ]
    assert over == []
    assert "centre line of the floor" in [words for _, words, *_ in written]
