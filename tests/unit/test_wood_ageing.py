"""Wood that has had years of daylight."""

import numpy as np
import pytest

from preview.paper.words.compare_rows import wood_text
from preview.scene.job import WoodChoice
from preview.scene.read import read_scene
from preview.wood.ageing import aged
from preview.wood.species import list_species, load_species

ROOM = """
units = "in"
[room]
corners = [[0, 0], [100, 0], [100, 90], [0, 90]]
height = 96
[floor]
board_width = 4
"""


def test_birch_comes_to_what_was_measured():
    """From 81.1, 7.2, 20.0 to 68.2, 13.1, 25.9 in 48 months of sunlight indoors: M. Dudiak and L. Dzurenda, Acta
    Facultatis Xylologiae Zvolen, abstract."""
    birch = load_species("birch")
    changed = np.array(aged(birch, 4).sapwood) - np.array(birch.sapwood)
    assert np.allclose(changed, np.subtract((68.2, 13.1, 25.9), (81.1, 7.2, 20.0)), atol=0.3)


@pytest.mark.parametrize("name", list_species())
def test_ageing_goes_one_way_and_slows(name):
    wood = load_species(name)
    assert aged(wood, 0) is wood
    tones = [aged(wood, years).main.lightness for years in (0, 1, 2, 3, 10, 50)]
    steps = np.diff(tones)
    assert (steps < 0).all() or (steps > 0).all()
    assert abs(steps[0]) > abs(steps[1]) > abs(steps[2])
    assert (steps[0] > 0) == (name == "walnut")


def test_what_the_file_tells_nothing_of_stays():
    import dataclasses

    plain = dataclasses.replace(load_species("walnut"), ageing=None)
    assert aged(plain, 30) is plain


def test_age_is_read_and_told():
    job = read_scene(ROOM + '[wood]\nspecies = "cherry"\nage = 5\n', "room.toml")[0]
    assert job.wood.age == job.border_wood.age == 5.0
    assert wood_text(job.wood) == "cherry, plainsawn, after 5 years"
    assert wood_text(WoodChoice("teak", "riftsawn", "select", "dark", "matt", 1, age=1.0)).endswith(
        "dark stain, after 1 year"
    )
