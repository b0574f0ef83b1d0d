"""A scene file edited key by key: what it says is as asked, all else stays as it was written."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import strategies as st

from preview.errors import SceneError
from preview.live.new_room import new_room
from preview.scene.edit import Edit, edited, value_at
from tests.strategies import checked

SCENES = Path(__file__).resolve().parents[2] / "scenes"
TEXTS = {path.name: path.read_text() for path in SCENES.glob("*.toml") if "units" in tomllib.loads(path.read_text())}
TEXTS["dotted.toml"] = """\
title = "Back parlour"
units = "in"   # a number without a unit is in inches
# The walls from one corner round to it again.
room.walk = ["E 13 ft 2 in", "N 16 ft 10 in", "W 13 ft 2 1/4 in", "S 16 ft 10 in"]
room.height = "8 ft 2 in"
floor.board_width = "4"
border.width = "4"
wood.species = "white oak"
openings = [{ name = "hall door", kind = "door", wall = 1, offset = 49, width = 32, height = "6 ft 8 in" },
            { name = "window", kind = "window", wall = 2, offset = "5 ft 8 in", width = "5 ft" }]
variants = [{ name = "On the door", floor.center = { opening = "hall door" } }]
"""
VALUES = {
    "floor.board_width": ("3/4 in", 7),
    "floor.center": ("room", {"opening": "hall door"}, {"point": [1, "2 in"]}),
    "floor.courses": ("odd", 12),
    "border.strip": ("none", {"width": "3/4 in", "species": "walnut"}),
    "border_wood.species": ("walnut",),
    "wood.stain": ("dark",),
    "wood.moisture": ({"install": 8, "summer": 11, "winter": 5},),
    "paint.walls": ("sage green",),
    "light.sky": ("clear",),
    "stock.lengths": ([{"length": "7 ft", "count": 3}, {"length": 60, "count": 4}],),
    "title": ('A "quoted" name, Ωé',),
}


@st.composite
def edits(draw):
    name = draw(st.sampled_from(sorted(TEXTS)))
    count = len(tomllib.loads(TEXTS[name]).get("variants", []))
    made = []
    for _ in range(draw(st.integers(1, 5))):
        key = draw(st.sampled_from(sorted(VALUES)))
        value = draw(st.sampled_from([*VALUES[key], None]))
        number = draw(st.integers(0, count)) if key != "title" else 0
        made.append(Edit(f"variants[{number}].{key}" if number else key, value))
    return name, made


@checked(50, 300, edits())
def test_what_is_set_is_there_and_comments_stay(made):
    name, wanted = made
    text = TEXTS[name]
    after = edited(text, wanted, name)
    document = tomllib.loads(after)
    for number, edit in enumerate(wanted):
        if not any(later.key.startswith(edit.key) or edit.key.startswith(later.key) for later in wanted[number + 1 :]):
            assert value_at(document, edit.key) == edit.value
    keys = {edit.key.rpartition(".")[2] for edit in wanted}
    for line in text.splitlines():
        if "#" in line and not any(key in line for key in keys):
            assert line in after.splitlines()


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_set_is_nothing_changed(name):
    assert edited(TEXTS[name], [], name) == TEXTS[name]


def test_line_ends_stay():
    text = TEXTS["dining-room.toml"].replace("\n", "\r\n")
    after = edited(text, [Edit("floor.board_width", 5), Edit("paint.walls", "cream")], "room.toml")
    assert after.count("\n") == after.count("\r\n")


def test_a_variant_is_added_and_taken_out():
    text = TEXTS["dining-room.toml"]
    count = len(tomllib.loads(text)["variants"])
    settings_ = {"wood": {"species": "walnut"}, "floor": {"center": {"opening": "hall archway"}}, "name": "Dark"}
    after = edited(text, [Edit(f"variants[{count + 1}]", settings_)], "room.toml")
    assert tomllib.loads(after)["variants"][-1] == settings_
    assert after.startswith(text)
    back = edited(after, [Edit(f"variants[{count + 1}]", None)], "room.toml")
    assert back.rstrip("\n") == text.rstrip("\n")


def test_a_first_variant_is_added_where_there_is_none():
    settings_ = {"name": "Dark", "wood": {"species": "walnut"}}
    for text in (new_room("in"), 'title = "Box"\nvariants = []\n'):
        after = edited(text, [Edit("variants[1]", settings_)], "room.toml")
        assert tomllib.loads(after)["variants"] == [settings_]
        again = edited(after, [Edit("variants[2]", {"name": "Light"})], "room.toml")
        assert [each["name"] for each in tomllib.loads(again)["variants"]] == ["Dark", "Light"]


def test_what_can_not_be_set_is_told_with_its_key():
    with pytest.raises(SceneError) as told:
        edited(TEXTS["dining-room.toml"], [Edit("openings[9].offset", 3)], "room.toml")
    assert told.value.place.key == "openings[9].offset"
