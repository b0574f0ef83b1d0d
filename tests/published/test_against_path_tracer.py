"""Finished pictures, as customers get them, against a path tracer's of the same rooms: Mitsuba 3.9.

The references are those of reference/trace_rooms.py, which says what the tracer is given: the same wood with its fibres
under its coat (test_wood_lobe.py holds it against the shader's), boards that lie a little unlevel, joints, glass, sky
and sun. Ours are drawn larger and brought down to the tracer's 400 x 250 by the mean light of each of its pixels: from
800 x 500, which is as far from it as from 1600 x 1000, the default, but in the hall. How far apart pictures look is
FLIP, by the package flip-evaluator. Eight rooms: three that may be tuned on, of which the largest is among the slow
checks, and five that are not; none is of a room with lamps alone.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

REFERENCE = Path(__file__).parent / "reference"
sys.path.insert(0, str(REFERENCE))

from picture_compare import likeness  # noqa: E402
from trace_rooms import kept  # noqa: E402
from traced_rooms import HELD_OUT, SUNNY, TUNED, traced_room  # noqa: E402

# Measured are means of 0.0446 (0.0477 with the hall), 0.0449 and 0.0539, and 0.0597 and 0.0598 at worst; what is asked
# is a tenth more. (The goals for the rooms held out are 0.045 overcast and 0.055 in sun.) Two halves of the samples,
# 17,408 each, are 0.007 to 0.013 from each other once denoised; their mean is kept, which by the square root is
# 0.005 to 0.010 from another such. Of the hall 28,672 and 20,480, 0.0145 apart: 0.010.
MEAN_TUNED, MEAN_WITH_HALL, WORST_TUNED = 0.0491, 0.0525, 0.0657
MEAN_OVERCAST, MEAN_SUN, WORST_HELD_OUT = 0.0494, 0.0593, 0.0658
QUICK = tuple(name for name in TUNED if name != "hall")
LEVEL = 0.03  # of a whole picture's light, past which its level is wrong and not its detail


def flips_of(*names, finer=2):
    """Return FLIP of every picture of rooms, whose light is held against the tracer's on the way."""
    found = {}
    for name in names:
        room = traced_room(name)
        for number, picture in enumerate(room.pictures(finer), 1):
            traced = kept(REFERENCE / f"room_{name}_{number}.npz")
            each = likeness(room, picture, *traced)
            assert np.abs(np.array(each.level) - 1).max() <= LEVEL, (name, number, each)
            found[name, number] = each.flip
    return found


# Each test has rooms of its own, so that processes share them out and none lights a room that another has lit.


@pytest.mark.slow
def test_rooms_that_may_be_tuned_on_look_like_the_path_tracers():
    flips = flips_of(*QUICK)
    assert np.mean(list(flips.values())) <= MEAN_TUNED, flips
    assert max(flips.values()) <= WORST_TUNED, flips


@pytest.mark.slow
def test_the_hall_looks_like_the_path_tracer_s():
    flips = flips_of(*QUICK) | flips_of("hall", finer=4)
    assert np.mean(list(flips.values())) <= MEAN_WITH_HALL, flips
    assert max(flips.values()) <= WORST_TUNED, flips


@pytest.mark.slow
def test_rooms_held_out_look_like_the_path_tracers_in_overcast_light():
    flips = flips_of(*(name for name in HELD_OUT if name not in SUNNY))
    assert np.mean(list(flips.values())) <= MEAN_OVERCAST, flips
    assert max(flips.values()) <= WORST_HELD_OUT, flips


@pytest.mark.slow
def test_rooms_held_out_look_like_the_path_tracers_in_sun():
    flips = flips_of(*SUNNY)
    assert np.mean(list(flips.values())) <= MEAN_SUN, flips
    assert max(flips.values()) <= WORST_HELD_OUT, flips


def test_camera_projects_corners_where_the_path_tracer_sees_them():
    """The edge of the windows in the traced picture lies where the camera puts the panes' own corners."""
    room = traced_room("dining-room")
    camera = room.cameras[2]
    _, cover = kept(REFERENCE / "room_dining-room_3.npz")
    pane = next(each for each in room.model.panes if each.name == "west window, north")
    corners = camera.project(np.asarray(pane.corners))
    inside = (corners > 1).all(axis=1) & (corners < np.array(camera.size) - 1).all(axis=1)
    assert inside.sum() >= 2
    middle = camera.project(np.asarray(pane.corners).mean(axis=0)[None])[0]
    for corner in corners[inside]:
        to = middle - corner
        step = 4 * to / np.linalg.norm(to)
        x, y = (corner + step).astype(int)
        assert cover[y, x] < 0.5, corner
        x, y = (corner - step).astype(int)
        assert cover[y, x] > 0.5, corner


@pytest.mark.slow
def test_reference_is_what_its_script_makes(tmp_path):
    """Traced anew with few samples on processors, LLVM 19 compiling: the same mean light in every picture."""
    script = REFERENCE / "trace_rooms.py"
    rooms = ("passage", "sunny")
    for command in (["export", tmp_path, *rooms], ["trace", tmp_path, tmp_path, 64]):
        ran = subprocess.run([sys.executable, script, *map(str, command)], capture_output=True, timeout=1800)
        if b"LLVM ERROR" in ran.stderr or b"LLVM backend is inactive" in ran.stdout:
            pytest.skip("needs LLVM 19 (apt-get install libllvm19): older ones can't compile the tracer's code")
        assert ran.returncode == 0, ran.stderr.decode(errors="replace")[-2000:]
    for name in rooms:
        for number in (1, 2):
            with np.load(tmp_path / f"room_{name}_{number}.npz") as again:
                first, _ = kept(REFERENCE / f"room_{name}_{number}.npz")
                assert again["radiance"].mean() == pytest.approx(first.mean(), rel=0.03), (name, number)
