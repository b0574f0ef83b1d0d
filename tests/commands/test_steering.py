"""What people wrote can't steer the terminal on which it is echoed."""

from pathlib import Path

import pytest
from running import SCENES, SMALL, WALKED

STEERING = "a\x1b[31m\x07\u202eb"


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", STEERING),
        ("check", "steering.toml"),
        ("card", "room.toml", "--variant", STEERING),
        ("render", "room.toml", "--viewpoint", STEERING),
        ("render", "room.toml", "--size", STEERING),
        ("lay", "room.toml", "--format", STEERING),
        ("lay", "room.toml", "--box", STEERING),
        ("lay", "room.toml", f"--{STEERING}"),
        ("lay", "room.toml", STEERING),
        ("options", "room.toml", "--prefer", STEERING),
        ("card", "room.toml", "--out", f"{STEERING}/a.doc"),
        ("card", "room.toml", "--out", f"{STEERING}.dxf"),
        ("quote", "room.toml", "--details", STEERING),
        ("materials", "--materials", STEERING),
        ("materials", "--materials", "steering"),
        ("new", "study.toml", "--wall", STEERING),
        ("new", "study.toml", "--title", STEERING, *WALKED[2:]),
        (STEERING,),
        (f"--{STEERING}",),
    ],
)
def test_nothing_echoed_steers_a_terminal(run, arguments):
    Path("steering.toml").write_text(SMALL.replace('"Box room"', f'"{STEERING.encode("unicode_escape").decode()}"')
                                     .replace("\\x", "\\u00"))  # fmt: skip
    Path("steering").mkdir()
    wood = (SCENES.parent / "materials" / "white-oak.toml").read_text(encoding="utf-8")
    Path("steering/x.toml").write_text(f'"name" = "a\\u001bb"\n{wood}', encoding="utf-8")
    _, said, error = run(*arguments)
    assert said + error
    assert not set(said + error) & set("\x1b\x07\u202e\x9b")


def test_a_file_name_that_steers_is_no_title(run):
    Path(f"{STEERING}.toml").write_text(SMALL.replace('title = "Box room"\n', ""))
    status, said, error = run("check", f"{STEERING}.toml")
    assert status == 0, error
    assert said.startswith("a [31m b\n") and not set(said + error) & set("\x1b\x07\u202e")
