"""check and lay, from files and from standard input; what goes wrong is said in a line and leaves nothing behind."""

import json
import math
import os
import re
import xml.etree.ElementTree as ET

import pytest
from running import SCENES, SMALL, in_a_process, preview


@pytest.fixture
def scene(tmp_path):
    path = tmp_path / "box.toml"
    path.write_text(SMALL)
    return path


@pytest.mark.parametrize("name", ["dining-room", "kitchen", "hall", "garden-room"])
def test_demo_scenes_are_right(name):
    ran = preview("check", SCENES / f"{name}.toml")
    assert ran.returncode == 0, ran.stderr.decode()
    text = ran.stdout.decode()
    warned = text.count("\n  ! ")
    verdict = {0: ", no warnings", 1: "; 1 warning at the end"}.get(warned, f"; {warned} warnings at the end")
    assert f"{name}.toml: read and laid{verdict}\n" in text and ran.stderr == b""


@pytest.mark.parametrize(
    "dress",
    [
        lambda text: text.encode(),
        lambda text: b"\xef\xbb\xbf" + text.encode(),
        lambda text: text.replace("\n", "\r\n").encode(),
    ],
    ids=["plain", "with a BOM", "with CRLF"],
)
@pytest.mark.parametrize("piped", [True, False])
def test_a_scene_in_any_dress(tmp_path, dress, piped):
    data = dress(SMALL)
    (tmp_path / "box.toml").write_bytes(data)
    ran = preview("check", "-", given=data) if piped else preview("check", tmp_path / "box.toml")
    assert ran.returncode == 0, ran.stderr.decode()
    assert "8' 4\" × 7' 6\"" in ran.stdout.decode()


def test_each_form(scene):
    text, document, plan = (in_a_process("lay", scene, "--format", form) for form in ("text", "json", "svg"))
    assert [ran.returncode for ran in (text, document, plan)] == [0, 0, 0]
    assert b"Stop block" in text.stdout
    assert json.loads(document.stdout)["variant"] == "As drawn"
    assert ET.fromstring(plan.stdout).tag.endswith("svg")


def test_a_variant_by_name_in_any_case(scene):
    ran = preview("lay", scene, "--variant", "on the ARCHWAY", "--format", "json")
    assert json.loads(ran.stdout)["variant"] == "On the archway"


def test_an_unknown_variant_names_the_nearest(scene):
    ran = preview("lay", scene, "--variant", "On the archwy")
    assert ran.returncode == 2
    assert ran.stderr.decode() == 'preview: no variant is called "On the archwy"; did you mean "On the archway"?\n'
    assert ran.stdout == b""


def test_to_a_file_whole(scene, tmp_path):
    ran = in_a_process("lay", scene, "--format", "svg", "--out", tmp_path / "plan.svg")
    assert ran.stdout.decode().strip() == str(tmp_path / "plan.svg")
    assert ET.parse(tmp_path / "plan.svg").getroot().tag.endswith("svg")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["box.toml", "plan.svg"]


def test_a_missing_folder_is_made(scene, tmp_path):
    ran = preview("lay", scene, "--out", tmp_path / "new" / "layout.txt")
    assert ran.returncode == 0 and (tmp_path / "new" / "layout.txt").exists()


@pytest.mark.parametrize(
    ("name", "told"), [("box.toml/plan.svg", "can't be used as a folder"), (".", "this is a folder; name a file in it")]
)
def test_a_file_that_cant_be_written(scene, tmp_path, name, told):
    ran = preview("lay", scene, "--out", tmp_path / name)
    assert ran.returncode == 2
    assert told in ran.stderr.decode()
    assert [each.name for each in tmp_path.iterdir()] == ["box.toml"]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (b"title = ", "standard input"),
        (SMALL.replace("board_width", "board_widht").encode(), 'did you mean "board_width"?'),
        (os.urandom(10_000_000), "standard input"),
        (b"", "units"),
    ],
    ids=["broken TOML", "unknown key", "10 MB of junk", "nothing"],
)
def test_a_wrong_scene_is_told_in_plain_words(given, told):
    ran = preview("check", "-", given=given)
    words = ran.stderr.decode()
    assert ran.returncode == 2
    assert told in words and "Traceback" not in words and len(words) < 600
    assert ran.stdout == b""


def test_check_tells_of_a_viewpoint_in_a_wall():
    given = SMALL + '[[viewpoints]]\nname = "lost"\nat = [-3, 40]\nlook = "center"\n'
    ran = preview("check", "-", given=given.encode())
    assert ran.returncode == 2
    assert "standard input, line" in ran.stderr.decode() and "stands inside a wall" in ran.stderr.decode()


@pytest.mark.parametrize("command", ["check", "lay", "render", "compare"])
def test_missing_file_and_folder(tmp_path, command):
    for path in (tmp_path / "none.toml", tmp_path):
        ran = preview(command, path, folder=tmp_path)
        assert ran.returncode == 2, ran.stderr.decode()
        assert str(path) in ran.stderr.decode() and b"Traceback" not in ran.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "arguments", [["check"], ["lay", "x.toml", "--format", "dxf"], ["nonsense"], ["render", "--bogus"]]
)
def test_wrong_use_exits_with_2(arguments):
    ran = in_a_process(*arguments)
    assert ran.returncode == 2
    assert b"Usage" in ran.stderr and b"Traceback" not in ran.stderr


def test_a_reader_that_stops_early_is_no_error(scene):
    import subprocess
    import sys

    from running import ROOT

    command = f'{sys.executable} -m preview lay {scene} --format json | head -c 10; exit "${{PIPESTATUS[0]}}"'
    ran = subprocess.run(["bash", "-c", command], capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert b"Traceback" not in ran.stderr and b"Error" not in ran.stderr


def test_check_tells_the_daylight_when_asked(scene):
    """One figure in lux for the mean, and the daylight factor that follows from it and the open sky's 10,000 lux."""
    text = preview("check", scene, "--light").stdout.decode()
    rows = {line[:18].strip(): line[18:].strip() for line in text.splitlines()}
    mean = float(rows["Daylight"].split()[1].replace(",", ""))
    assert 20 < mean < 5000
    assert float(rows["Daylight factor"].split()[0]) == pytest.approx(mean / 100, abs=0.06)


def test_plan_tells_the_daylight_when_asked(scene):
    assert b" lux" in preview("lay", scene, "--format", "svg", "--light").stdout
    assert b" lux" not in preview("lay", scene, "--format", "svg").stdout
    wrong = preview("lay", scene, "--light")
    assert wrong.returncode == 2
    assert b"add --format svg" in wrong.stderr


def test_boxes_are_counted(tmp_path):
    scene = tmp_path / "room.toml"
    scene.write_text(SMALL)
    ran = preview("lay", scene, "--box", "20")
    assert ran.returncode == 0, ran.stderr.decode()
    told = ran.stdout.decode()
    boards = int(re.search(r"Boards to cut +([0-9,]+)", told)[1])
    size = json.loads(preview("lay", scene, "--format", "json").stdout)["board"]
    square_feet = boards * size["width"] * size["length"] / 0.3048**2
    assert f"{math.ceil(square_feet / 20)} of 20.0 sq ft" in told
    for wrong in (("--box", "0"), ("--box", "20", "--format", "json")):
        ran = preview("lay", scene, *wrong)
        assert ran.returncode == 2 and "--box takes the area that one box" in ran.stderr.decode()
