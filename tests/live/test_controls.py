"""Every key of a scene that can be chosen is a control; choosing changes the scene, and nothing else in its file."""

import pytest

from preview.live.controls import ELSEWHERE, LABELS, TABLES, controls
from preview.live.workspace import Change
from preview.scene.read import load_scene

CHOSEN = {
    "floor.pattern": "double herringbone",
    "floor.strips": 3,
    "floor.angle": "50",
    "floor.stagger": "8 in",
    "floor.center": {"opening": "east window"},
    "floor.courses": "odd",
    "floor.start": "full",
    "floor.run": "0",
    "floor.board_width": "3 1/4 in",
    "floor.board_length": "18, 20 in",
    "floor.thickness": "5/8 in",
    "floor.gap": "1/32",
    "border.width": "3",
    "border_wood.species": "cherry",
    "border_wood.cut": "plainsawn",
    "border_wood.stain": "dark",
    "border_wood.finish": "oil matt",
    "border_wood.grade": "rustic",
    "border.strip.width": "3/4",
    "border.strip.species": "cherry",
    "border.strip.cut": "plainsawn",
    "border.strip.stain": "black",
    "border.strip.finish": "gloss",
    "border.strip.grade": "rustic",
    "border.longest": "6 ft",
    "border.overlap": "1/8",
    "wood.species": "walnut",
    "wood.cut": "riftsawn",
    "wood.grade": "rustic",
    "wood.stain": "grey",
    "wood.finish": "oil satin",
    "wood.age": "4",
    "wood.seed": "11",
    "wood.moisture": "9, 12, 6",
    "wood.season": "winter",
    "title": "Den",
    "paint.walls": "cream",
    "paint.ceiling": "sage green",
    "paint.trim": "sage green",
    "paint.cabinets": "sage green",
    "light.sky": "clear",
    "light.sun.time": "2026-06-21T10:00:00-05:00",
    "light.sun.latitude": "41,5",
    "light.sun.longitude": "-73",
    "north": "30",
    "light.exposure": "9.5",
    "light.lamps": "300",
    "stock.lengths": "40 of 7 ft, 20 of 5 ft 6 in",
    "stock.shortest": "18 in",
    "stock.longest": "6 ft",
    "stock.bundle": "22 sq ft",
    "stock.kerf": "1/16",
    "stock.trim": "1",
}
BEFORE = {
    "floor.strips": ("floor.pattern", "double herringbone"),
    "floor.angle": ("floor.pattern", "chevron"),
    "floor.stagger": ("floor.pattern", "straight"),
    **{f"border.strip.{key}": ("border.strip.width", "1") for key in ("species", "cut", "stain", "finish", "grade")},
    **{f"light.sun.{key}": ("light.sky", "clear") for key in ("time", "latitude", "longitude")},
}
"""What has to be chosen first, for a key to mean anything."""


IN_A_VARIANT = ("floor.stagger", "floor.center", "border.strip.species", "wood.moisture", "light.sun.time")
SMALL = """
units = "in"
room.walk = ["E 90", "N 70", "W 90", "S 70"]
room.baseboard = 1
floor.board_width = 4
border.width = 4
wood.moisture = { install = 8, summer = 11, winter = 5 }
"""


def test_every_key_is_a_control_or_is_said_not_to_be():
    keys = {f"{table}.{key}" if table else key for table, own in TABLES.items() for key in own}
    labelled = {key for group in LABELS.values() for key in group}
    assert keys - set(TABLES) == labelled | (set(ELSEWHERE) - set(TABLES))
    assert labelled & set(ELSEWHERE) == set()
    assert labelled == set(CHOSEN)


@pytest.mark.parametrize(
    ("key", "variant"), [*((key, None) for key in CHOSEN), *((key, "On the archway") for key in IN_A_VARIANT)]
)
def test_each_control_changes_the_scene_and_its_file(firm, work, scene, key, variant):
    name = variant or "On the room"
    if key in BEFORE:
        assert firm.change((variant, *BEFORE[key])).status_code == 200
    before = firm.state()["values"][name][key]
    was = scene.read_text().splitlines()
    answer = firm.change((variant, key, CHOSEN[key]))
    assert answer.status_code == 200, answer.json()["words"]
    after = answer.json()["values"][name][key]
    assert after["text"] != before["text"]
    assert after["own"]
    shown = [job for job in work.now.jobs if job.variant == name]
    assert firm.post_json("/api/save").status_code == 200
    assert [job for job in load_scene(scene) if job.variant == name] == shown
    gone = [line for line in was if line not in scene.read_text().splitlines()]
    names = {each.rpartition(".")[2] for each in (key, *BEFORE.get(key, (key,))[:1])}
    assert all(any(f"{name} = " in line for name in names) for line in gone)
    comments = [line.partition("#")[2] for line in was if "#" in line]
    assert [line.partition("#")[2] for line in scene.read_text().splitlines() if "#" in line] == comments


def test_a_key_is_taken_out_again(opened, tmp_path):
    room = tmp_path / "small.toml"
    room.write_text(SMALL)
    work = opened(room)

    def change(key, value):
        work.change(work.revision, "a", [Change(None, key, value)])

    for key, value in CHOSEN.items():
        if key in ("floor.board_width", "border.width", "floor.center", "wood.moisture") or key.startswith(
            "light.sun."
        ):
            continue  # one has to be there
        before = work.revision
        if key in BEFORE:
            change(*BEFORE[key])
        change(key, value)
        assert work.state()["values"]["As drawn"][key]["own"], key
        change(key, None)
        assert not work.state()["values"]["As drawn"][key]["own"], key
        for _ in range(work.revision - before):
            work.undo()


@pytest.mark.parametrize("key", ["time", "latitude", "longitude"])
def test_a_sun_has_all_its_parts(firm, key):
    firm.change((None, "light.sky", "clear"))
    answer = firm.change((None, f"light.sun.{key}", None))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["key"] == "light.sun"


@pytest.mark.slow
def test_options_can_be_sent_as_they_are_given(firm, work):
    """Whatever a control offers can be read."""
    for each in controls(work.now.jobs[0]):
        if each.key in BEFORE:
            continue
        for option in each.options:
            answer = firm.change((None, each.key, option.value))
            told = answer.json().get("words", "")
            assert answer.status_code == 200 or "laid" in told or "courses" in told, (each.key, option, told)
            if answer.json().get("undo"):
                firm.post_json("/api/undo")


def test_lengths_are_told_in_the_units_of_the_scene(opened, tmp_path):
    metric = tmp_path / "metric.toml"
    metric.write_text('units = "mm"\nroom.walk = ["E 3000", "N 2000", "W 3000", "S 2000"]\nfloor.board_width = 90\n')
    work = opened(metric)
    state = work.state()
    (values,) = state["values"].values()
    assert values["floor.board_width"]["text"] == "90 mm"
    widths = next(each for each in state["controls"] if each["key"] == "floor.board_width")
    assert [each["label"] for each in widths["options"]] == ["70 mm", "90 mm", "120 mm"]
    assert widths["unit"] == "mm"


def test_a_point_on_the_plan_becomes_a_point_of_the_scene(firm, work):
    state = firm.change((None, "floor.center", {"metres": [2.0, 1.0]})).json()
    point = state["values"]["On the room"]["floor.center"]
    assert point["value"] == {"point": [78.75, 39.375]}  # the nearest eighths of an inch
    assert point["text"] == "a point, 6' 6 3/4\" and 3' 3 3/8\""


def test_what_means_nothing_is_not_shown(firm):
    values = firm.state()["values"]["On the room"]
    for key in ("floor.angle", "floor.stagger", "border.strip.species", "light.sun.time", "paint.cabinets"):
        assert not values[key]["shown"], key
    values = firm.change((None, "floor.pattern", "chevron")).json()["values"]["On the room"]
    assert values["floor.angle"]["shown"]
    assert not values["floor.strips"]["shown"]
