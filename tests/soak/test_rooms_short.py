"""The soak of rooms itself, twenty of them, and sixty more among the slow checks: what the long run does with a hundred
thousand. Of three hundred the boards alone are looked at, which takes a third of the time of a room."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from preview.errors import SceneError
from preview.paper.words.check_text import check_text
from preview.paper.words.layout_text import layout_text
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from tests.soak import room_checks, rooms
from tests.soak.room_kinds import LARGE, scene_of, smallest
from tests.soak.room_scene import room_scene
from tests.soak.room_trial import RoomOutcome, room_trial
from tests.soak.trial import badly_said
from tests.strategies import box, make_job, obstacle, opening

ROOMS = 20  # five seconds
TILED = 300  # 25 seconds


@pytest.mark.parametrize("first", [0, *(pytest.param(n * ROOMS, marks=pytest.mark.slow) for n in (1, 2, 3))])
def test_rooms_of_every_kind_tile_and_are_told_as_they_lie(first, tmp_path, capsys):
    asked = ["--rooms", str(ROOMS), "--first", str(first), "--seed", "7", "--out", str(tmp_path / "found")]
    assert rooms.main(asked) == 0, capsys.readouterr().out
    said = capsys.readouterr().out
    assert f"{ROOMS} rooms from {first}, seed 7" in said
    assert "0 faults" in said
    assert not (tmp_path / "found").exists()


@pytest.mark.parametrize("first", range(ROOMS, TILED, 70))
def test_rooms_of_every_kind_tile(first):
    """The rooms after those that are told in words too: each tiles with whole and cut boards of its pattern, or is
    refused in words."""
    refused = 0
    for number in range(first, first + 70):
        try:
            (floor,) = lay_jobs(read_scene(scene_of(7, number), "room.toml"))
        except SceneError as error:
            assert not badly_said(error), number
            refused += 1
            continue
        try:
            room_checks.check_tiling(floor)
            room_checks.check_boards(floor)
        except AssertionError as error:
            raise AssertionError(f"room {number} of seed 7") from error
    assert refused < 20


def test_a_seed_gives_the_same_rooms_again_in_another_process_too():
    asked = "import sys; from tests.soak.room_kinds import scene_of; "
    asked += "[sys.stdout.buffer.write(scene_of(3, number)) for number in range(16)]"
    root, environment = Path(__file__).parents[2], {**os.environ, "PYTHONHASHSEED": "3"}
    again = subprocess.run([sys.executable, "-c", asked], cwd=root, env=environment, capture_output=True, check=True)
    assert b"".join(scene_of(3, number) for number in range(16)) == again.stdout
    assert scene_of(3, 1) != scene_of(4, 1)
    patterns = {read_scene(scene_of(3, number), "room.toml")[0].floor.pattern for number in range(8)}
    assert patterns == {"herringbone", "double herringbone", "chevron", "straight"}
    assert len(scene_of(3, LARGE - 1)) > 500


def test_a_scene_says_all_of_its_job():
    job = make_job(
        corners=[(0, 0), (3.7, 0), (4.1, 2.9), (0, 3)],
        openings=[opening(1, 0.3, 0.9), opening(2, 1 / 3, 0.8, "window", "window")],
        obstacles=[obstacle(box(1.5, 1.5, 0.4, 0.3), "island", "island", 0.01)],
        run=0.3,
        start=0.123,
        gap=0.001,
        strip=0.02,
    )
    (read,) = read_scene(room_scene(job).encode(), "room.toml")
    for part in ("obstacles", "vents", "stock"):
        assert getattr(read, part) == getattr(job, part)
    assert read.floor == replace(job.floor, pattern="herringbone", run=read.floor.run)
    assert math.isclose(read.floor.run, job.floor.run)
    assert read.room == job.room
    assert [replace(each, beyond=1.0) for each in read.openings] == list(job.openings)
    assert (read.border.width, read.border.strip_width) == (job.border.width, 0.02)


def test_a_room_that_breaks_the_program_is_found_and_made_small(tmp_path, monkeypatch, capsys):
    """A program that fails on every room with a feature strip."""

    def broken(scene, number):
        return RoomOutcome(0.1, 1e6, 10, "", "ZeroDivisionError in some.py, work" if b"strip" in scene else "")

    monkeypatch.setattr(rooms, "room_trial", broken)
    monkeypatch.setattr(rooms, "MADE_SMALL", 1.0)
    assert rooms.main(["--rooms", "8", "--out", str(tmp_path)]) == 1
    assert "ZeroDivisionError" in capsys.readouterr().out
    found = next(iter(tmp_path.glob("*-small.toml")))
    whole = found.with_name(found.name.replace("-small", ""))
    assert b"strip" in found.read_bytes() and b"strip" in whole.read_bytes()
    assert len(found.read_bytes()) <= len(whole.read_bytes())
    assert whole.with_suffix(".txt").read_text().startswith("ZeroDivisionError in some.py")


def test_what_breaks_nothing_smaller_stays_as_it_is():
    assert smallest(3, 1, lambda scene: False) == scene_of(3, 1)


@pytest.fixture(scope="module")
def floor():
    (found,) = lay_jobs([make_job(corners=box(0, 0, 2.0, 1.6), board_width=0.09, strip=0.02)])
    return found


def spoilt(floor, polygons, keep=slice(None)):
    pieces = floor.layout.pieces
    chosen = np.arange(len(pieces))[keep]
    return replace(floor, layout=replace(floor.layout, pieces=replace(pieces.take(chosen), polygons=polygons[chosen])))


def test_tiling_is_seen_to_fail(floor):
    room_checks.check_tiling(floor)
    polygons = floor.layout.pieces.polygons
    with pytest.raises(AssertionError, match="areas differ"):
        room_checks.check_tiling(spoilt(floor, polygons, slice(1, None)))
    moved = polygons.copy()
    moved[5] = shapely.affinity.translate(moved[5], 1e-5, 0)
    with pytest.raises(AssertionError, match=r"share|outside"):
        room_checks.check_tiling(spoilt(floor, moved))


def test_boards_are_seen_to_be_wrong(floor):
    room_checks.check_boards(floor)
    pieces = floor.layout.pieces
    for wrong in (replace(pieces, whole=~pieces.whole), replace(pieces, origin=pieces.origin + 1e-6)):
        with pytest.raises(AssertionError):
            room_checks.check_boards(replace(floor, layout=replace(floor.layout, pieces=wrong)))


@pytest.mark.parametrize(
    ("printed", "instead"),
    [
        (r"(\d) whole", r"\g<1>0 whole"),
        (r"(\d) cut\n", r"\g<1>0 cut\n"),
        (r"  Courses  ", "  Courses  9"),
        (r"sq ft", "m²"),
        (r"(\d+) pieces 4\"", r"9\1 pieces 4\""),
        (r"    1 of  ", "    2 of  "),
        (r"(  course \d+  )1:", r"\g<1>2:"),
        (r"Start point S", "Start point S  -1"),
        (r"Start point S", "Start point S nan"),
        (r"Start point S", "Start point S 1 courses"),
    ],
)
def test_words_are_seen_to_be_wrong(floor, printed, instead):
    lay, check = layout_text(floor), check_text([floor])
    room_checks.check_words(floor, lay, check)
    wrong, times = re.subn(printed, instead, lay, count=1)
    assert times == 1
    with pytest.raises(AssertionError):
        room_checks.check_words(floor, wrong, check)


def test_a_trial_tells_time_memory_and_why_a_room_is_refused():
    scene = room_scene(make_job(corners=box(0, 0, 2.0, 1.6), board_width=0.09))
    outcome = room_trial(scene.encode(), 1)
    assert outcome.pieces and outcome.seconds > 0 and outcome.memory >= 0 and not outcome.refused
    refused = room_trial(b'units = "m"', 1)
    assert "room.toml" in refused.refused and not refused.fault and not refused.pieces
    assert room_trial(None, 1).fault
