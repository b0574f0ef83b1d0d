"""Many rooms at once: each thing as its own command makes it, what fails told, what is whole not made again."""

import json
import os
import shutil
import signal
import subprocess
import sys
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from running import ROOT, SMALL, in_a_process, preview

from preview.batch.cluster import WorkersLostError, _answering
from preview.batch.making import driver_here

HERE = Path(__file__).parent
CARD = "room--as-drawn--card.pdf"


@pytest.fixture
def rooms(tmp_path):
    """A folder with two rooms and a scene that is none."""
    (tmp_path / "one").mkdir()
    for name, width in (("room.toml", 4), ("one/room.toml", 3)):
        (tmp_path / name).write_text(SMALL.replace("board_width = 4", f"board_width = {width}"))
    (tmp_path / "bad.toml").write_text(SMALL.replace("width = 36", "width = 3600"))
    return tmp_path


def batch(folder, *arguments, **environment):
    return in_a_process("batch", *arguments, "--out", "out", folder=folder, **environment)


def files(folder):
    return sorted(str(each.relative_to(folder)) for each in folder.rglob("*") if each.is_file())


def test_each_room_is_made_as_its_own_command_makes_it(rooms):
    ran = batch(rooms, "room.toml", "bad.toml", "one/room.toml", "room.toml", "--make", "card", "--jobs", "2")
    assert ran.returncode == 1
    assert "bad.toml: card: not made: bad.toml, line 13: openings[1]" in ran.stderr.decode()
    assert files(rooms / "out") == ["batch.json", f"room-2/{CARD}", f"room/{CARD}"]
    own = preview("card", rooms / "one" / "room.toml", "--out", rooms / "own.pdf")
    assert own.returncode == 0
    assert (rooms / "out" / "room-2" / CARD).read_bytes() == (rooms / "own.pdf").read_bytes()
    told = json.loads((rooms / "out" / "batch.json").read_bytes())["rooms"]
    assert [told[each]["made"]["card"]["failed"] for each in ("room", "bad", "room-2")] == [False, True, False]

    (rooms / "out" / "room" / CARD).write_bytes(b"half")
    again = batch(rooms, "room.toml", "one/room.toml", "--make", "card")
    assert again.returncode == 0
    said = again.stderr.decode()
    assert "1 of 2 are there already" in said
    assert "room.toml: card made" in said
    assert "one/room.toml: card made" not in said
    assert (rooms / "out" / "room" / CARD).read_bytes().startswith(b"%PDF")
    (rooms / "room.toml").write_text(SMALL)
    assert "2 of 2 are there already" in batch(rooms, "room.toml", "one/room.toml", "--make", "card").stderr.decode()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["room.toml", "--make", "card,film"], '"film" is none of pictures, quote, card, page'),
        (["nothing.toml"], "nothing.toml: there is no such file"),
        (["room.toml", "--jobs", "0"], "--jobs 0: give 1 or more"),
        (["room.toml", "--scheduler", "tcp://127.0.0.1:9"], "nobody answers at tcp://127.0.0.1:9"),
        (["room.toml", "--scheduler", "somewhere"], "nobody answers at somewhere"),
    ],
)
def test_what_is_refused_leaves_nothing(rooms, arguments, words, monkeypatch):
    monkeypatch.setattr("preview.batch.cluster.PATIENCE", 1.0)
    ran = preview("batch", *arguments, "--out", rooms / "out", folder=rooms)
    assert ran.returncode == 2
    assert words in ran.stderr.decode()
    assert not (rooms / "out").exists()


def test_a_name_that_was_sent_back_never_leaves_its_folder(rooms):
    from preview.batch.batch_record import BatchRecord
    from preview.batch.making import MadeResult
    from preview.batch.room_files import gather_rooms
    from preview.errors import UsageError

    room = gather_rooms([rooms / "room.toml"], None, None)[0]
    record = BatchRecord(rooms / "out", "1")
    for name in ("../card.pdf", "/tmp/card.pdf", "..", "a/b.pdf"):
        with pytest.raises(UsageError, match="names are plain ones"):
            record.take(room, "card", MadeResult({name: b"x"}, "", False, 0.0))
    assert not (rooms / "out").exists()


@pytest.fixture
def cluster(request):
    """A scheduler with two workers, as (its process, address, numbers of the workers' processes); a parameter is what
    their environment has besides."""
    command = [sys.executable, str(HERE / "cluster_here.py")]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **getattr(request, "param", {})}
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, env=environment, text=True, start_new_session=True, **pipes) as here:
        address, *numbers = here.stdout.readline().split()
        yield here, address, [int(each) for each in numbers]
        with suppress(ProcessLookupError):
            os.killpg(here.pid, signal.SIGKILL)


@contextmanager
def started(folder, address, *scenes):
    command = [sys.executable, "-m", "preview", "batch", *scenes, "--make", "card", "--scheduler", address]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command += ["--out", "out"]
    with subprocess.Popen(command, cwd=folder, env=environment, stderr=subprocess.PIPE, text=True) as ran:
        yield ran


def many(folder, count):
    names = [f"room-{number}.toml" for number in range(count)]
    for number, name in enumerate(names):
        (folder / name).write_text(SMALL.replace("board_width = 4", f"board_width = {3 + number / 8}"))
    return names


@pytest.mark.slow
def test_a_worker_that_is_killed_half_way_costs_nothing_but_time(rooms, cluster):
    _, address, workers = cluster
    names = many(rooms, 6)
    with started(rooms, address, *names) as ran:
        said = ran.stderr.readline()  # the first is made
        os.kill(workers[0], signal.SIGKILL)
        said += ran.stderr.read()
        assert ran.wait() == 0, said
    for name in names:
        own = in_a_process("card", name, "--out", "own.pdf", folder=rooms)
        assert own.returncode == 0
        stem = Path(name).stem
        made = rooms / "out" / stem / f"{stem}--as-drawn--card.pdf"
        assert made.read_bytes() == (rooms / "own.pdf").read_bytes()


@pytest.mark.slow
def test_a_scheduler_that_goes_away_is_told_and_what_is_finished_stays(rooms, cluster):
    here, address, _ = cluster
    names = many(rooms, 6)
    with started(rooms, address, *names) as ran:
        ran.stderr.readline()
        os.killpg(here.pid, signal.SIGKILL)
        said = ran.stderr.read()
        assert ran.wait(60) == 1, said
    assert f"the scheduler at {address} is gone" in said
    assert "Traceback" not in said
    done = [each for each in files(rooms / "out") if each.endswith(".pdf")]
    assert 1 <= len(done) < len(names)
    rest = batch(rooms, *names, "--make", "card")
    assert rest.returncode == 0
    assert f"{len(done)} of {len(names)} are there already" in rest.stderr.decode()


def test_whatever_the_library_says_of_a_scheduler_that_is_gone_is_told():
    """Connections close while a result is fetched, as one time in five, or what was asked is cancelled."""
    core = pytest.importorskip("distributed.comm.core")
    for fault in (core.CommClosedError("closed"), ConnectionResetError(104, "reset by peer"), CancelledError()):
        told = pytest.raises(WorkersLostError, match=r"^the scheduler at tcp://here is gone; what is finished stays")
        with told, _answering("tcp://here"):
            raise fault


@pytest.mark.slow
def test_a_worker_of_another_version_is_refused_by_name(rooms, tmp_path, monkeypatch):
    other = tmp_path / "other"
    for part in ("preview", "materials", "scenes"):
        shutil.copytree(ROOT / part, other / part, ignore=shutil.ignore_patterns("gallery", "__pycache__"))
    with (other / "preview" / "units.py").open("a") as file:
        file.write("# another version\n")
    command = [sys.executable, str(HERE / "cluster_here.py")]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    environment = {**os.environ, "PYTHONPATH": str(other)}
    with subprocess.Popen(command, env=environment, text=True, start_new_session=True, **pipes) as here:
        address = here.stdout.readline().split()[0]
        ran = batch(rooms, "room.toml", "--scheduler", address)
        os.killpg(here.pid, signal.SIGKILL)
    assert ran.returncode == 2
    said = ran.stderr.decode()
    assert said.count("has another version") == 2
    assert "tcp://127.0.0.1:" in said
    assert not (rooms / "out").exists()


@pytest.mark.slow
@pytest.mark.parametrize("cluster", [{"GALLIUM_OVERRIDE_CPU_CAPS": "sse4.1"}], indirect=True)
def test_workers_that_draw_with_another_driver_are_told(rooms, cluster):
    """Mesa's software driver on an older processor is another one by its name, and draws single pixels otherwise
    (docs.mesa3d.org, Environment Variables: GALLIUM_OVERRIDE_CPU_CAPS)."""
    if "256 bits" not in (driver_here() or ""):
        pytest.skip("no other driver can be had: Mesa's with vectors of 256 bits is not what draws here")
    _, address, _ = cluster
    asked = ["room.toml", "--make", "pictures,card", "--scheduler", address]
    ran = batch(rooms, *asked)
    said = ran.stderr.decode()
    assert ran.returncode == 0, said
    assert "drawn by another driver than this machine's" in said
    assert "128 bits" in said
    made = json.loads((rooms / "out" / "batch.json").read_bytes())["rooms"]["room"]["made"]
    assert "128 bits" in made["pictures"]["driver"]
    assert made["card"]["driver"] is None
    (rooms / "out" / "room" / CARD).write_bytes(b"half")  # the card alone is made again: nothing is drawn
    assert "another driver" not in batch(rooms, *asked).stderr.decode()


@pytest.mark.slow
def test_pictures_made_here_are_drawn_by_this_machines_driver(rooms):
    ran = batch(rooms, "room.toml", "--make", "pictures")
    assert ran.returncode == 0
    assert "another driver" not in ran.stderr.decode()
    made = json.loads((rooms / "out" / "batch.json").read_bytes())["rooms"]["room"]["made"]
    assert made["pictures"]["driver"]
