"""Which way the courses run is said in words that a person sees in the room: by its walls and its doors."""

import pytest

from preview.live.controls import controls
from preview.paper.words.check_text import check_text
from preview.paper.words.run_words import run_text
from preview.scene.read import read_scene
from preview.steps import lay_jobs

ELL = """
title = "Ell"
units = "mm"
room.walk = ["E 3000", "N 2000", "E 2000", "N 2500", "W 5000", "S 4500"]
floor.board_width = 90
openings = [{ name = "window", kind = "window", wall = 6, offset = 900, width = 900 },
            { name = "hall door", kind = "door", wall = 4, offset = 600, width = 850 },
            { name = "archway", kind = "cased opening", wall = 1, offset = 600, width = 1200 }]
"""
SKEW = """
title = "Skew"
units = "mm"
room.corners = [[0, 0], [4000, 0], [4600, 3000], [0, 3600]]
floor.board_width = 90
"""


def floor_of(text, changed=""):
    return lay_jobs(
        read_scene(text.replace("floor.board_width = 90", f"floor.board_width = 90\n{changed}"), "ell.toml")
    )[0]


@pytest.mark.parametrize(
    ("text", "changed", "said"),
    [
        (ELL, "", "straight in from the hall door, along walls 1, 3 and 5: by itself, the first door"),
        (
            ELL,
            'floor.center = { opening = "archway" }',
            "straight in from the archway, along walls 2, 4 and 6: with the sight line that the floor is centred on",
        ),
        (ELL, "floor.run = 0", "along walls 1, 3 and 5, the longest"),
        (ELL, "floor.run = 30", "at 30°, anticlockwise from E"),
        (SKEW, "", "along wall 3, the longest: by itself, for want of a door"),
    ],
)
def test_the_run_is_said_with_what_it_follows(text, changed, said):
    floor = floor_of(text, changed)
    assert run_text(floor) == said
    assert f"Courses run  {said}" in check_text([floor])


def test_the_choices_of_the_run_lay_the_courses_as_they_say():
    job = floor_of(ELL).job
    (control,) = (each for each in controls(job) if each.key == "floor.run")
    told = {each.label: each.value for each in control.options}
    assert told == {
        "straight in from the hall door, along walls 1, 3 and 5": 180,
        "straight in from the archway, along walls 2, 4 and 6": 90,
        "slantwise, 45° off the hall door": 225,
    }
    for label, value in told.items():
        words = run_text(floor_of(ELL, f"floor.run = {value}"))
        assert words in (label, "at 225°, anticlockwise from E")


def test_a_room_without_doors_offers_its_walls_the_longest_first():
    (control,) = (each for each in controls(floor_of(SKEW).job) if each.key == "floor.run")
    assert control.options[0].label.endswith(", the longest")
    assert sum(each.label.startswith("along wall ") for each in control.options) == 4
