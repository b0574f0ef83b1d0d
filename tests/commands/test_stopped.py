"""The program is stopped, or its streams are closed: it ends at once, cleanly, and leaves nothing behind."""

import os
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest
from running import ROOT, SMALL

LINUX = pytest.mark.skipif(not Path("/proc/self/maps").exists(), reason="what is loaded is seen in /proc")


@pytest.fixture
def start(tmp_path):
    """Return what starts the program in a folder with a scene; temporary files are in `tmp` beside that."""
    for name in ("work", "tmp"):
        (tmp_path / name).mkdir()
    (tmp_path / "work" / "room.toml").write_text(SMALL)

    def start(*arguments, **options):
        streams = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        return subprocess.Popen(
            [sys.executable, "-m", "preview", *arguments],
            cwd=tmp_path / "work",
            env={**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": str(tmp_path / "tmp")},
            **{**streams, **options},
        )

    return start


@LINUX
@pytest.mark.parametrize(("told", "loaded"), [(signal.SIGTERM, "numpy"), (signal.SIGINT, "libEGL")])
def test_a_signal_while_libraries_load_ends_it_at_once(start, tmp_path, told, loaded):
    heard = partial(signal.signal, told, signal.SIG_DFL)  # whoever runs the tests in the background ignores SIGINT
    run = start("render", "room.toml", "--viewpoint", "plan", "--out", "new", preexec_fn=heard)
    maps = Path(f"/proc/{run.pid}/maps")
    while run.poll() is None and loaded not in maps.read_text():
        time.sleep(0.005)
    begun = time.monotonic()
    run.send_signal(told)
    said, error = run.communicate(timeout=30)
    assert (run.returncode, said, error) == (128 + told, b"", b"preview: stopped\n")
    assert time.monotonic() - begun < 1
    assert [each.name for each in (tmp_path / "work").iterdir()] == ["room.toml"]
    assert list((tmp_path / "tmp").iterdir()) == []


def test_a_signal_that_is_ignored_stays_so(start):
    run = start("check", "room.toml", preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN))
    time.sleep(0.1)
    run.send_signal(signal.SIGINT)
    run.communicate()
    assert run.returncode == 0


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
def test_a_signal_after_all_is_done_changes_nothing():
    """While Python takes itself apart, when it has given signals back to the system."""
    code = """
import os, signal, sys
class Late:
    def __del__(self, kill=os.kill, own=os.getpid(), told=signal.SIGTERM):
        kill(own, told)
late = Late()
sys.argv = ["preview", "--version"]
from preview.__main__ import main
main()
"""
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=False)
    assert (run.returncode, run.stderr) == (0, b"") and run.stdout.startswith(b"preview ")


def test_closed_streams(start):
    """Each is something else's number, unless something stands in its place."""
    run = start("card", "room.toml", "--out", "card.pdf", preexec_fn=lambda: os.close(1))
    _, error = run.communicate()
    words = b"preview: standard output can't be written (bad file descriptor); 1 file is finished and stays\n"
    assert (run.returncode, error) == (1, words)
    run = start("check", "-", preexec_fn=lambda: os.close(0))
    _, error = run.communicate()
    assert run.returncode == 2 and error.startswith(b"preview: standard input")
    run = start("check", "room.toml", preexec_fn=lambda: os.close(2))
    said, error = run.communicate()
    assert run.returncode == 0 and b"Box room" in said


def test_every_picture_is_drawn_where_their_names_can_not_be_printed(start, tmp_path):
    drawn = ("render", "room.toml", "--viewpoint", "plan", "--size", "64x40", "--out", "pictures")
    _, error = start(*drawn, preexec_fn=lambda: os.close(1)).communicate()
    names = ["room--as-drawn--plan.png", "room--on-the-archway--plan.png"]
    assert sorted(each.name for each in (tmp_path / "work" / "pictures").iterdir()) == names
    assert error.endswith(b"(bad file descriptor); 2 files are finished and stay\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_output_into_a_full_disk(start):
    with Path("/dev/full").open("wb") as full:
        run = start("check", "room.toml", stdout=full)
        _, error = run.communicate()
    assert (run.returncode, error) == (1, b"preview: standard output can't be written (no space left on device)\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_warnings_into_a_full_disk_stop_nothing():
    code = "from preview.terminal import warn; warn('one'); warn('another'); print('done')"
    with Path("/dev/full").open("wb") as full:
        run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=full, check=False)
    assert (run.returncode, run.stdout) == (0, b"done\n")
