"""options, run as a user runs it."""

import json
import tomllib

import pytest
from PIL import Image
from running import SMALL, preview


@pytest.fixture
def scene(tmp_path):
    path = tmp_path / "box room.toml"
    path.write_text("# taped on a Tuesday\n" + SMALL)
    return path


KEPT = ("--keep", "border", "--keep", "width")


def test_it_shows_five_and_why(scene):
    ran = preview("options", scene, *KEPT, "--prefer", "sightline")
    told = ran.stdout.decode()
    assert ran.returncode == 0, ran.stderr.decode()
    assert "rejected" in told and "gives up" in told and "The scene's own layout (As drawn)" in told
    ranked = told.index("Ranked by")
    assert told.index("sightline", ranked) < told.index("symmetry", ranked)
    assert max(map(len, told.splitlines())) <= 200
    lines = told.splitlines()
    heads = [number for number, line in enumerate(lines) if line[:3].strip().isdigit() and line[3:5] == "  "]
    assert [lines[number][:3].strip() for number in heads] == ["1", "2", "3", "4", "5"]
    assert all(lines[number + 1].strip().startswith("place ") for number in heads)


def test_a_length_that_is_kept_stays_in_every_layout(scene):
    ran = preview("options", scene, *KEPT, "--keep", "length", "--keep", "courses", "--format", "json")
    told = json.loads(ran.stdout)
    laid = json.loads(preview("lay", scene, "--format", "json").stdout)
    every = told["options"] + told["thrown_out"]
    assert {round(each["board_length"], 6) for each in every} == {round(laid["board"]["length"], 6)}
    assert len(every) > 3 and all(each["changes"] or each["own"] for each in every)


def test_json_gives_all(scene):
    ran = preview("options", scene, *KEPT, "--format", "json")
    told = json.loads(ran.stdout)
    assert told["tried"] == len(told["options"]) + len(told["thrown_out"])
    assert [each["name"] for each in told["criteria"]] == ["symmetry", "sightline", "less-waste", "fewer-cuts"]
    places = [each["place"] for each in told["options"]]
    assert places == sorted(places) and places[0] == 1
    assert sum(each["own"] for each in told["options"] + told["thrown_out"]) == 1


def test_a_choice_is_saved_into_the_scene(scene):
    before = scene.read_text()
    ran = preview("options", scene, *KEPT, "--choose", 3, "--choose", 2, "--save", scene)
    assert ran.returncode == 0, ran.stderr.decode()
    after = scene.read_text()
    assert after.startswith(before.rstrip("\n"))
    names = [each["name"] for each in tomllib.loads(after)["variants"]]
    assert len(names) == 3 and names[0] == "On the archway"
    laid = preview("lay", scene, "--variant", names[1], "--format", "json")
    assert laid.returncode == 0, laid.stderr.decode()
    measures = json.loads(laid.stdout)["measures"]
    assert measures["symmetry"] > 0 and measures["blanks_reused"] <= measures["blanks"]


def test_pictures_of_the_chosen(scene, tmp_path):
    out = tmp_path / "best.png"
    ran = preview("options", scene, *KEPT, "--choose", 1, "--pictures", out, "--size", "160x100")
    assert ran.returncode == 0, ran.stderr.decode()
    assert ran.stdout.decode().splitlines()[-1] == str(out)
    with Image.open(out) as image:
        assert image.width > 320


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--prefer", "symetry"], 'did you mean "symmetry"?'),
        (["--keep", "walls"], "accepted: "),
        (["--choose", "100000"], "counted from 1"),
        (["--pictures", "a.jpg"], "does not end in .png"),
    ],
)
def test_wrong_use(scene, tmp_path, arguments, told):
    ran = preview("options", scene, *KEPT, *arguments, folder=tmp_path)
    assert ran.returncode == 2
    assert told in ran.stderr.decode()
    assert [each.name for each in tmp_path.iterdir()] == [scene.name]


def test_nothing_is_saved_into_standard_input(tmp_path):
    ran = preview("options", "-", "--save", "x.toml", given=SMALL.encode(), folder=tmp_path)
    assert ran.returncode == 2 and "not to standard input" in ran.stderr.decode()
    assert not list(tmp_path.iterdir())
