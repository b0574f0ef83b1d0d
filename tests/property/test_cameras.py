"""Viewpoints proposed in rooms of every kind, narrow ones too: level, uprights upright, floor in each, no two alike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from preview.floor.sight_lines import sight_end
from preview.picture.view.proposals import propose_viewpoints
from preview.picture.view.viewpoints import camera_for
from preview.room.measured import build_room
from tests.seen_floor import most_floor, share_of_floor
from tests.strategies import make_job, opening, rooms

SIZE = (1600, 1000)
SLACK = 0.02  # of a picture: what a grid of 24 x 24 rays is off by


def photographed(job):
    """Propose viewpoints, and hold each camera to what is promised of it."""
    room = build_room(job)
    views = propose_viewpoints(room)
    assert views[-1].kind == "plan" and len({view.name for view in views}) == len(views)
    cameras = [camera_for(view, room, SIZE) for view in views[:-1]]
    level = [camera for camera in cameras if not any("tipped" in words for words in camera.remarks)]
    assert len(level) == len(cameras) or not level, "one tips only where nothing can be pictured without"
    for camera in level:
        assert 1.2 - 1e-9 <= camera.position[2] <= 1.6 + 1e-9
        assert np.radians(50) - 1e-9 <= camera.fov <= np.radians(75) + 1e-9
        assert abs(camera.shift[1]) <= 0.5 * camera.size[1] * camera.pixel + 1e-9
        assert largest_lean(camera, room) < 0.1
        share = share_of_floor(camera, room)
        turns = [0] if looks_along_a_hall(camera, room) else range(0, 360, 30)
        enough = share >= 0.35 - SLACK or share >= 0.9 * most_floor(camera, room, turns) - SLACK
        assert enough, (camera.name, share)
        along_its_line(camera, room)


def largest_lean(camera, room):
    """How far the room's upright edges lean in the picture, degrees: the model's corners projected, foot and head."""
    low = np.column_stack([room.corners, np.zeros(len(room.corners))])
    high = low + np.array([0, 0, room.height])
    before = camera.ahead(low) > 0.05
    if not before.any():
        return 0.0
    run = camera.project(high[before]) - camera.project(low[before])
    return float(np.degrees(np.arctan2(np.abs(run[:, 0]), np.abs(run[:, 1]))).max())


def along_its_line(camera, room):
    """A view from an opening looks square along its sight line and has its end in the picture, or along the room; aside
    only where neither shows enough floor."""
    opening = next((each for each in room.openings if camera.name == f"from the {each.name}"), None)
    if opening is None:
        return
    turn = -camera.axes[2, :2] @ opening.inward
    straight = abs(turn - 1) < 1e-9 or abs(turn) < 1e-6
    assert straight or max(share_of_floor(camera, room, heading=way) for way in _straight(opening)) < 0.4
    if abs(turn - 1) < 1e-9:
        (end,) = camera.project(np.array([[*sight_end(room, opening), 0.0]]))
        assert (end > 0).all() and (end < SIZE).all()
        assert abs(end[0] / SIZE[0] - 0.5) < 0.35


def looks_along_a_hall(camera, room):
    """Whether a view from a door looks square to its sight line: from the long side of a hall along it."""
    opening = next((each for each in room.openings if camera.name == f"from the {each.name}"), None)
    return opening is not None and abs(camera.axes[2, :2] @ opening.inward) < 1e-6


def _straight(opening):
    ahead = np.arctan2(*opening.inward[::-1])
    return ahead, ahead + np.pi / 2, ahead - np.pi / 2


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(rooms(low=1.0, high=7.0))
def test_cameras_in_rooms_of_every_kind(job):
    photographed(job)


@pytest.mark.slow
@settings(max_examples=1500, deadline=None, suppress_health_check=list(HealthCheck))
@given(rooms(low=0.9, high=9.0))
def test_cameras_in_many_rooms(job):
    photographed(job)


@pytest.mark.parametrize(("width", "depth", "offset"), [(5.6, 7.0, 0.0), (5.6, 7.0, 0.05), (6.0, 7.0, 0.3)])
def test_a_door_in_a_corner_of_a_wide_room(width, depth, offset):
    """One side wall is next to the sight line, the other so far that the view is shifted to it: but not so far that the
    line's end comes near the picture's edge."""
    corners = [(0, 0), (width, 0), (width, depth), (0, depth)]
    photographed(make_job(corners=corners, openings=[opening(1, offset, 0.8)], border=0.0))


def test_a_door_in_a_corner_that_is_cut_off():
    corners = [(4.785, 5.644), (4.635, 5.794), (0.15, 5.794), (0, 5.644), (0, 0), (4.785, 0)]
    photographed(make_job(corners=corners, openings=[opening(2, 0.0, 0.7)], border=0.0, baseboard=0.0))
