"""No command but `live`, and `batch` to a cluster, opens a connection; none writes elsewhere than it says."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from running import ROOT, SMALL, WALKED

from preview.cache import cache_folder

WATCHED = """
import os, sys

ALLOWED = tuple(os.path.realpath(each) + os.sep for each in (*sys.argv[1:4], "/dev"))
NETWORK = ("socket.__new__", "socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname",
           "socket.sendto", "urllib.Request", "http.client.connect")
WRITES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.truncate", "os.symlink", "os.link")

def watch(event, arguments):
    if event in NETWORK:
        sys.stderr.write(f"FORBIDDEN {event} {arguments}\\n")
        os._exit(99)
    if event == "open":
        path, _, flags = arguments
        if isinstance(path, int) or not flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            return
    elif event in WRITES:
        path = arguments[0]
    else:
        return
    if event in ("os.remove", "os.rmdir") and arguments[1] != -1:
        return  # named within a folder that is open: the rest of one that is taken away
    where = os.path.realpath(os.fsdecode(path)) + os.sep
    if not where.startswith(ALLOWED):
        sys.stderr.write(f"FORBIDDEN {event} {where}\\n")
        os._exit(98)

sys.addaudithook(watch)
from preview.cli import main

for line in sys.stdin.read().splitlines():
    sys.argv[:] = ["preview", *line.split("\\t")]
    try:
        main()
    except SystemExit as stop:
        if stop.code:
            sys.stderr.write(f"FAILED {line}\\n")
            os._exit(97)
"""
SMALLEST = ("--size", "64x40")
QUICK = [
    ("check", "room.toml"),
    ("lay", "room.toml", "--format", "svg", "--out", "out/plan.svg"),
    ("options", "room.toml", "--keep", "border", "--keep", "width", "--choose", "2", "--save", "out/more.toml"),
    ("render", "room.toml", *SMALLEST, "--viewpoint", "plan", "--variant", "As drawn", "--out", "out"),
    ("export", "room.toml", "--out", "out/floor.stl"),
    ("card", "room.toml", "--out", "out/card.pdf"),
    ("card", "room.toml", "--out", "out/card.dxf"),
    ("materials",),
    ("schema", "--out", "out/schema.json"),
    ("new", "out/new.toml", *WALKED),
]
LONG = [
    ("quote", "room.toml", *SMALLEST, "--out", "out/quote.pdf"),
    ("check", "room.toml", "--light"),
    ("render", "room.toml", *SMALLEST, "--format", "exr", "--out", "out"),
    ("compare", "room.toml", *SMALLEST, "--out", "out/compare.png"),
    ("compare", "room.toml", *SMALLEST, "--out", "out/fade.webp"),
    ("page", "room.toml", "--out", "out/page.html"),
    ("export", "room.toml", "--out", "out/floor.glb"),
    ("materials", "--swatches", "out/swatches.png"),
    ("demo", *SMALLEST, "--out", "out"),
]


@pytest.mark.parametrize("commands", [QUICK, pytest.param(LONG, marks=pytest.mark.slow)], ids=["quick", "long"])
def test_no_connection_and_no_file_elsewhere(tmp_path, commands):
    for name in ("work/out", "tmp"):
        (tmp_path / name).mkdir(parents=True)
    (tmp_path / "work" / "room.toml").write_text(SMALL)
    places = [*(str(tmp_path / name) for name in ("work/out", "tmp")), str(cache_folder("light").parent)]
    run = subprocess.run(
        [sys.executable, "-B", "-c", WATCHED, *places],
        input="\n".join("\t".join(each) for each in commands).encode(),
        capture_output=True,
        cwd=tmp_path / "work",
        env={**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": places[1]},
    )
    assert run.returncode == 0, run.stderr.decode()[-500:]
    assert sorted(each.name for each in (tmp_path / "work").iterdir()) == ["out", "room.toml"]
    assert list((tmp_path / "tmp").iterdir()) == []


def test_every_command_is_among_these():
    from preview.cli import app

    names = {each.name or each.callback.__name__ for each in app.registered_commands}
    assert names - {"live", "batch"} == {each[0] for each in (*QUICK, *LONG)}


@pytest.mark.parametrize(("forbidden", "status"), [("socket.socket()", 99), ("open('elsewhere', 'w')", 98)])
def test_the_watch_sees(tmp_path, forbidden, status):
    code = WATCHED.split("from preview.cli")[0] + f"import socket\n{forbidden}"
    for name in ("a", "b", "c"):
        (tmp_path / name).mkdir()
    run = subprocess.run([sys.executable, "-c", code, "a", "b", "c"], cwd=tmp_path, capture_output=True)
    assert run.returncode == status and not Path(tmp_path / "elsewhere").exists()
