"""Finished pictures against a path tracer's of the same rooms, materials alike: Mitsuba 3.9, 118,784 samples.

The references are those of reference/trace_pictures.py, which says what both sides see; how far apart pictures look
is FLIP, by the package flip-evaluator (both in the extra `reference`). Two scenes, three viewpoints each, 400 x 250.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

REFERENCE = Path(__file__).parent / "reference"
sys.path.insert(0, str(REFERENCE))

from picture_compare import draw_room, finish, mean_flip  # noqa: E402
from picture_scenes import SIZE, export, lit_room  # noqa: E402
from trace_pictures import NAMES, kept  # noqa: E402

# Measured are 0.0364 on the mean and 0.0460 at worst (the kitchen towards its bay, where the windows' image in the
# floor ends at the island's feet); what is asked is a tenth more. The path tracer's own halves, of other seeds and
# 57,000 samples each, are 0.009 to 0.013 from each other.
MEAN_FLIP = 0.0400
WORST_FLIP = 0.0506
LEVEL = 0.03  # of a whole picture's light, past which its level is wrong and not its detail


@pytest.fixture(scope="module")
def compared():
    """For every picture: mean FLIP, and the mean of what we draw of the room over what was traced, (3,)."""
    found = {}
    for name in NAMES:
        room = lit_room(name)
        for number, (picture, backdrop) in enumerate(zip(*draw_room(room, SIZE), strict=True), 1):
            radiance, cover = kept(REFERENCE / f"picture_{name}_{number}.npz")
            traced = finish(radiance, cover, room.exposure, backdrop)
            inside = cover > 0.99
            level = picture.hdr[inside].mean(axis=0) / radiance[inside].mean(axis=0)
            found[name, number] = mean_flip(traced, picture.rgb), level
    return found


def test_pictures_look_like_the_path_tracers(compared):
    flips = {which: flip for which, (flip, _) in compared.items()}
    assert np.mean(list(flips.values())) <= MEAN_FLIP, flips
    assert max(flips.values()) <= WORST_FLIP, flips


def test_light_levels_are_the_path_tracers(compared):
    levels = {which: level for which, (_, level) in compared.items()}
    assert max(np.abs(np.array(list(levels.values())) - 1).max(axis=0)) <= LEVEL, levels


def test_camera_projects_corners_where_the_path_tracer_sees_them():
    """The edge of the windows in the traced picture lies where the camera puts the panes' own corners."""
    room = lit_room("dining-room")
    camera = room.cameras()[2]
    _, cover = kept(REFERENCE / "picture_dining-room_3.npz")
    pane = next(each for each in room.model.panes if each.name == "west window, north")
    corners = camera.project(np.asarray(pane.corners))
    inside = (corners > 1).all(axis=1) & (corners < np.array(SIZE) - 1).all(axis=1)
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
    """Traced anew with few samples on a processor: the same mean light in every picture."""
    import trace_pictures

    for name in NAMES:
        np.savez(tmp_path / f"{name}.npz", **export(lit_room(name), SIZE))
    script = Path(trace_pictures.__file__)
    command = [sys.executable, str(script), "trace", str(tmp_path), str(tmp_path), "32"]
    subprocess.run(command, check=True, capture_output=True, timeout=1800)
    for name in NAMES:
        for number in (1, 2, 3):
            again, _ = kept(tmp_path / f"picture_{name}_{number}.npz")
            first, _ = kept(REFERENCE / f"picture_{name}_{number}.npz")
            assert again.mean() == pytest.approx(first.mean(), rel=0.03), (name, number)
