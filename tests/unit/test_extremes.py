"""Rooms at the edge of what there is: laid, or refused in words; the program fails on none of them."""

import pytest

from preview.commands.reading import read_size
from preview.errors import SceneError, UsageError
from preview.scene import load_scene
from preview.scene.woods import wood_names
from preview.steps import lay_jobs
from tests.soak.trial import trial

ROOM = "[[0, 0], [5, 0], [5, 4], [0, 4]]"
SCENE = """units = "m"
[room]
corners = {corners}
{room}
[floor]
board_width = 0.07
{more}
"""
VENT = "[[vents]]\ncenter = [1, 1]\nsize = [{size}, {size}]\n"
ISLAND = """[[obstacles]]
name = "i"
kind = "island"
corners = [[{0}, {0}], [{1}, {0}], [{1}, {2}], [{0}, {2}]]
"""


def scene(more="", corners=ROOM, room=""):
    return SCENE.format(corners=corners, room=room, more=more)


def box(width, depth):
    return f"[[0, 0], [{width}, 0], [{width}, {depth}], [0, {depth}]]"


def island(gap):
    return ISLAND.format(gap, 5 - gap, 4 - gap)


TINY = {
    "a vent as large as the room": scene(VENT.format(size=2), box(2, 2)),
    "a vent just smaller": scene(VENT.format(size=1.99), box(2, 2)),
    "an island an inch from every wall": scene(island(0.0254)),
    "an island a millimetre from every wall": scene(island(0.001) + "[border]\nwidth = 0.003"),
    "a room of 2 mm": scene(corners=box(0.002, 0.002)),
    "a room 2 mm wide": scene('pattern = "straight"', corners=box(5, 0.002)),
    "a border that leaves a hair": scene("[border]\nwidth = 1.99999999999"),
    "a baseboard of nothing": scene(room="baseboard = 1e-12"),
    "an overlap all but the baseboard": scene(
        "[border]\nwidth = 0.1\noverlap = 0.0199999999999", room="baseboard = 0.02"
    ),
    "a step of a hair": scene(corners="[[0, 0], [5, 0], [5, 2], [5.0000001, 2], [5.0000001, 4], [0, 4]]"),
}


@pytest.mark.parametrize("name", TINY)
def test_the_program_does_not_fail(name):
    outcome = trial("scene", TINY[name].encode())
    assert outcome.fault == "", outcome.trace


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            scene(VENT.format(size=2), box(2, 2)),
            "room.toml, line 7: vents: the grilles leave nothing of the field; check their sizes, or make the border "
            "narrower",
        ),
        (
            scene("[border]\nwidth = 1e-9"),
            "room.toml, line 8: border.width: a border of 1e-09 m; give one between 3 mm and 2.000 m, or 0 for none",
        ),
        (
            scene("[border]\nwidth = 1.99999999999"),
            "room.toml, line 8: border.width: a border 2.000 m wide leaves no field; give a width under 2.000 m",
        ),
    ],
)
def test_what_is_refused_is_told(text, message):
    with pytest.raises(SceneError) as found:
        lay_jobs(load_scene("room.toml", text))
    assert str(found.value) == message


@pytest.mark.parametrize("size", ["8192x8192", "4097x4096", "8192x2049"])
def test_a_picture_that_would_fill_the_memory_is_refused(size):
    with pytest.raises(UsageError, match=r"16\.8 million are the most, such as 4096x4096"):
        read_size(size)
    assert read_size("4096x4096") == (4096, 4096)
    assert read_size("8192x2048") == (8192, 2048)


@pytest.mark.parametrize("aliases", ["5", '"oak"', "[[1]]", "{ a = 1 }"])
def test_aliases_that_are_no_names(tmp_path, aliases):
    (tmp_path / "stains.toml").write_text(f"[bog]\naliases = {aliases}\n")
    assert "bog" in wood_names(tmp_path)["stain"]
