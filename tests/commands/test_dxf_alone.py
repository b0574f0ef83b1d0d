"""A drawing for CAD is the same bytes whatever the hash seed, reads no one's settings and writes nothing beside."""

import os
import subprocess
import sys

from running import ROOT, SMALL


def test_a_drawing_hangs_on_nothing_but_its_scene(tmp_path):
    made = set()
    for seed, home in (("1", "new"), ("4", "settings")):
        work = tmp_path / f"work-{seed}"
        work.mkdir()
        (work / "room.toml").write_text(SMALL)
        environment = {name: value for name, value in os.environ.items() if not name.startswith(("XDG_", "HOME"))}
        (tmp_path / home).mkdir()
        environment["HOME"] = str(tmp_path / home)
        if home == "settings":  # which it could not even read
            (work / "ezdxf.ini").write_bytes(b"\xff\xfenot settings")
        subprocess.run(
            [sys.executable, "-m", "preview", "card", "room.toml", "--out", "card.dxf"],
            env={**environment, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed, "PREVIEW_CACHE": "off"},
            cwd=work,
            check=True,
        )
        made.add((work / "card.dxf").read_bytes())
        (work / "ezdxf.ini").unlink(missing_ok=True)
        assert sorted(each.name for each in work.iterdir()) == ["card.dxf", "room.toml"]
        assert list((tmp_path / home).rglob("*")) == []
    assert len(made) == 1
