"""The scene's JSON Schema: it takes every scene that the program reads, and refuses slips in keys, types and values."""

import json
import re
import tomllib

import pytest
from bad_scenes import EDITS
from good_scene import GOOD
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from preview import unit_patterns
from preview.data import data_folder
from preview.errors import SceneError, UsageError
from preview.scene import read_scene, schema
from preview.scene.json_schema import scene_schema
from preview.units import UNITS, MeasureError, parse_angle, parse_area, parse_leg, parse_length

SCENES = [path for path in sorted(data_folder("scenes").glob("*.toml")) if not path.stem.endswith("details")]
SCHEMA = json.loads(json.dumps(scene_schema()))
VALIDATOR = Draft202012Validator(SCHEMA)

BEYOND_A_SCHEMA = {
    "how large a length is that is written as a text": ["absurd length"],
    "nan and inf, for which JSON has no words": ["a number that is no number"],
    "a control character that an engine of expressions takes for a space": ["a control character in a length"],
    "what a name or a number refers to": [
        "centre on nothing",
        "looking at nothing",
        "a wall too many",
        "a diagonal from no corner",
        "a diagonal that is a wall",
        "a diagonal to its own corner",
    ],
    "that two have one name": [
        "two openings of one name",
        "two variants of one name",
        "two variants of one name but for case",
        "two viewpoints of one name but for case",
        "a variant with the name of the base",
        "a diagonal given twice",
    ],
    "keys that need one another, or exclude one another": [
        "clear sky without its sun",
        "a viewpoint without a place",
        "a feature strip without a border",
        "a feature strip whose year is its own",
        "corners and a walk",
    ],
    "values that contradict one another": [
        "board wider than long",
        "an opening through the ceiling",
        "wood into the wall",
        "a variant that changes nothing",
    ],
    "the room as built": [
        "a diagonal that the corners deny",
        "a diagonal longer than its walls",
        "a diagonal too short for its walls",
        "diagonals that disagree",
        "walls that cross",
        "a walk that does not close",
        "an opening off its wall",
        "two openings in one place",
        "an obstacle outside",
        "a vent in a wall",
        "a vent under the baseboard",
        "a border wider than the room",
        "a feature strip wider than what the border leaves",
        "a vent of a variant in a wall",
    ],
}
"""What no schema can know of a scene, with the slips in `bad_scenes` that are of this kind."""

SLIPS = {name: GOOD.replace(*edit) for name, edit, message in EDITS if "not valid TOML" not in message}


def faults(toml):
    """The places that an editor marks in a scene; it hands a time on as a text."""
    document = json.loads(json.dumps(tomllib.loads(toml), default=lambda moment: moment.isoformat()))
    return [each.json_path for each in VALIDATOR.iter_errors(document)]


def is_read(toml):
    try:
        read_scene(toml, "room.toml")
    except SceneError:
        return False
    return True


def test_it_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_demo_scenes_are_valid(path):
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("name", SLIPS)
def test_slips_in_keys_types_and_values_are_marked(name):
    beyond = [why for why, names in BEYOND_A_SCHEMA.items() if name in names]
    assert (faults(SLIPS[name]) == []) == bool(beyond), "say in BEYOND_A_SCHEMA why no schema can know this, if so"


def test_only_slips_are_excused():
    assert {name for names in BEYOND_A_SCHEMA.values() for name in names} <= SLIPS.keys()


@given(st.data())
def test_what_is_read_is_never_marked(data):
    scene = data.draw(st.sampled_from([path.read_text(encoding="utf-8") for path in SCENES] + [GOOD]))
    at, gone = data.draw(st.integers(0, len(scene))), data.draw(st.integers(0, 12))
    typed = data.draw(st.text("\"'[]{}=.,#\n 0123456789-+eabcxmftE×½″", max_size=4))
    edited = scene[:at] + typed + scene[at + gone :]
    if is_read(edited):
        assert faults(edited) == []


@pytest.mark.parametrize(
    "written",
    ["White Oak", "white_oak", "wall-nut", "WALNUT", "Hard  maple", "sugar maple"],
)
def test_names_of_woods_are_valid_as_they_are_read(written):
    toml = GOOD.replace('"white oak"', f'"{written}"')
    assert (faults(toml) == []) == is_read(toml)


@pytest.mark.parametrize("unit", UNITS)
@given(st.floats(-10, 1500))
def test_limits_of_numbers_go_by_the_unit(unit, number):
    number = round(number, 3)
    toml = GOOD.replace('units = "in"', f'units = "{unit}"').replace("floor.board_width = 5", f"floor.gap = {number}")
    marked = [place for place in faults(toml) if place == "$.variants[1].floor.gap"]
    metres = parse_length(number, unit)
    if min(abs(metres), abs(metres - 0.01)) > 1e-4 * parse_length(1, unit):
        assert bool(marked) != (0 <= metres <= 0.01)


FIGURES = st.sampled_from(["3", "0.5", "1,5", "7 1/2", "7½", "½", "7-1/2", "¾", "3⁄4", "12"])
UNIT = st.sampled_from(["", *"'\"′″", "in", "Feet", "ft.", "mm", "cm", "M", "metres", "sq ft", "Sq. M.", "m²", "°"])
BEFORE = st.sampled_from(["", "", "-", "−", "+", "E ", "ssw ", "North-East ", "112.5 ", "90°", "8 × ", "8 x "])
BETWEEN = st.sampled_from(["", " ", "-", "+", " + ", " × "])
PART = st.tuples(FIGURES, st.sampled_from(["", " "]), UNIT, BETWEEN).map("".join)
TEXTS = st.tuples(BEFORE, PART, PART | st.just(""), PART | st.just(""), st.sampled_from(["", " "])).map("".join)


@pytest.mark.parametrize(
    ("read", "pattern"),
    [
        (lambda text: parse_length(text, "in"), unit_patterns.LENGTH),
        (lambda text: parse_length(text, "mm"), unit_patterns.LENGTH),
        (lambda text: parse_leg(text, "in"), unit_patterns.LEG),
        (lambda text: parse_area(text, "m"), unit_patterns.AREA),
        (parse_angle, unit_patterns.ANGLE),
    ],
    ids=["lengths", "metric lengths", "walls", "areas", "angles"],
)
@given(TEXTS)
def test_expressions_take_every_text_that_is_read(read, pattern, text):
    try:
        read(text)
    except MeasureError:
        return
    assert re.search(pattern, text)


@pytest.mark.parametrize("text", ["wide", "3 m 85", "10 km", "in", "", "4 in 3", "8 × in", "= 4", "4 in,"])
def test_expressions_refuse_what_is_no_length(text):
    with pytest.raises(MeasureError):
        parse_length(text, "in")
    assert not re.search(unit_patterns.LENGTH, text)


def test_every_key_says_what_it_is():
    tables = {name: table for name, table in vars(schema).items() if isinstance(table, dict) and name.isupper()}
    assert [f"{name}: {key}" for name, table in tables.items() for key, each in table.items() if not each.says] == []
    for name in schema.SCENE.keys() - schema.VARYING.keys():
        assert SCHEMA["properties"][name]["description"] == schema.SCENE[name].says
    height = SCHEMA["$defs"]["room"]["properties"]["height"]
    assert height["description"] == "Height of the ceiling; 8' or 2.5 m where left out"
    assert SCHEMA["$defs"]["wood"]["properties"]["grade"]["default"] == "select"


def test_woods_of_ones_own_are_known(tmp_path):
    oak = (data_folder("materials") / "white-oak.toml").read_text(encoding="utf-8")
    (tmp_path / "bog-oak.toml").write_text(oak.replace('name = "white oak"', 'name = "bog oak"'), encoding="utf-8")
    toml = tomllib.loads(GOOD.replace('"white oak"', '"Bog Oak"'))
    assert [each.json_path for each in VALIDATOR.iter_errors(toml)] == ["$.wood.species"]
    assert Draft202012Validator(scene_schema(tmp_path)).is_valid(toml)


def test_a_folder_of_materials_that_is_none_is_refused(tmp_path):
    with pytest.raises(UsageError):
        scene_schema(tmp_path / "nothing")
