"""What README.md prints works as it is printed, and it names every key and every command there is."""

import re
import shlex

import pytest
from running import ROOT, preview

from preview.cli import app
from preview.scene import schema
from preview.units import parse_angle, parse_bearing

README = (ROOT / "README.md").read_text(encoding="utf-8")
SCENE = re.search(r"```toml\n(.*?)```", README, re.DOTALL)[1]
EXAMPLES = re.findall(r"\| `(preview [^|]*)` \|", README)
QUICK = ("check", "lay")
TABLES = {
    "(top)": schema.SCENE,
    "`[room]`": schema.ROOM,
    "`[[openings]]`": schema.OPENING,
    "`[[obstacles]]`": schema.OBSTACLE,
    "`[[vents]]`": schema.VENT,
    "`[floor]`": schema.FLOOR,
    "`[stock]`": schema.STOCK,
    "`[border]`": schema.BORDER,
    "`[wood]`": schema.WOOD,
    "`[light]`": schema.LIGHT,
    "`[[viewpoints]]`": schema.VIEWPOINT,
}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "room.toml").write_text(SCENE, encoding="utf-8")
    return tmp_path


def test_the_room_in_a_dozen_lines_is_right(folder):
    assert len(SCENE.splitlines()) <= 12
    assert "\\" not in SCENE  # nobody must escape an inch mark to begin
    ran = preview("check", "room.toml", folder=folder)
    assert ran.returncode == 0, ran.stderr.decode()
    assert "On the door" in ran.stdout.decode()


@pytest.mark.parametrize("example", [each for each in EXAMPLES if each.split()[1] in QUICK])
def test_examples_that_need_no_picture_run(folder, example):
    ran = preview(*shlex.split(example)[1:], folder=folder)
    assert ran.returncode == 0, ran.stderr.decode()


def test_every_command_has_an_example():
    assert {each.split()[1] for each in EXAMPLES} == {each.callback.__name__ for each in app.registered_commands}


@pytest.mark.parametrize("name", TABLES)
def test_every_key_is_named_and_the_required_ones_stand_out(name):
    row = next(line for line in README.splitlines() if line.startswith(f"| {name} |"))
    others = {key for key in schema.VARYING if key != "north"} | {"viewpoints"} if name == "(top)" else set()
    for key, value in TABLES[name].items():
        if key in others:
            continue
        required = value.default is None and not value.absent
        assert f"`{key}`" in row or f"`{key} = " in row, f"{key} is not told"
        assert (f"**`{key}`**" in row) == (required or key in ("walk", "corners")), key


def test_bearings_and_angles_are_told_as_they_are_read():
    words = README.replace("\n", " ")
    name, angle, bearing = re.search(r"(\S+) is (\d+) as an angle and (\d+) as a bearing", words).groups()
    assert parse_bearing(name) == pytest.approx(parse_bearing(bearing)) == pytest.approx(parse_angle(angle))


def test_three_lines_of_python_lay_the_room(folder, monkeypatch):
    lines = re.search(r"```python\n(.*?)```", README, re.DOTALL)[1].splitlines()
    monkeypatch.chdir(folder)
    names = {}
    exec("\n".join(lines[:3]), names)
    assert len(names["layout"].pieces) > 100
    assert lines[3] == 'preview.render(job, "plan").save("plan.png")'


def test_pictures_are_there_and_small():
    shown = re.findall(r"\((scenes/gallery/[^)]*)\)", README)
    assert len(shown) >= 5
    for name in shown:
        most = 3_000_000 if name.endswith(".webp") else 300_000  # a moving picture, a still one
        assert 10_000 < (ROOT / name).stat().st_size <= most, name


def test_first_screen_is_job_pictures_and_two_commands():
    door = README[: README.index("\n## ")]
    assert len(re.findall(r"!\[", door)) == 4
    commands = re.search(r"```sh\n(.*?)```", door, re.DOTALL)[1].splitlines()
    assert len(commands) == 2
    assert door.index("lines.jpg") < door.index("quote.jpg") < door.index("card.jpg") < door.index(commands[0])
    assert commands[1].split("/")[-1].split() == ["preview", "demo"]


def test_what_must_be_installed_first_is_told_before_the_commands():
    door = README[: README.index("\n## ")]
    assert door.index("apt-get install") < door.index("```sh")
    assert door.index("Python 3.11") < door.index("```sh")


def test_commands_are_called_in_one_way_on_every_platform():
    assert ".venv/bin/preview" not in README and "Scripts\\preview" not in README
    commands = re.search(r"```sh\n(.*?)```", README, re.DOTALL)[1]
    assert ". .venv/bin/activate" in commands
    assert README.count(".venv\\Scripts\\activate") >= 2


def test_commands_name_no_file_that_the_reader_does_not_have():
    named = set(re.findall(r"[\w./-]+\.toml", " ".join(re.findall(r"`(preview [^`]*)`", README))))
    assert named == {"room.toml", "firm.toml"}
    copied = README[: README.index("--details firm.toml")]
    assert "Copy [`scenes/orchard-house-details.toml`]" in copied and "`firm.toml`" in copied
    assert (ROOT / "scenes/orchard-house-details.toml").is_file()
