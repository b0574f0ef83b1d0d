"""Sun patches: their edge where the projection puts it, and their penumbra as wide as the sun's disc makes it."""

from dataclasses import replace

import numpy as np
import pytest
from synthetic_room import DEPTH, WIDTH, room

from preview.light.result.lighting import FloorLight, SunBeam, SunLight
from preview.model.model import FloorMesh
from preview.picture.draw import open_engine
from preview.picture.view.camera import Camera

RADIUS = np.radians(0.265)  # of the sun's disc
WAY = np.array([0.35, 0.55, 0.76]) / np.linalg.norm([0.35, 0.55, 0.76])
UP = np.array([0.0, 0, 1])


@pytest.fixture(scope="module")
def profile():
    """Irradiance by the sun across the patch's inner edge, and the places (n, 3) on the floor where it was seen."""
    model, boards, lighting = room()
    pane = model.panes[0]
    foot = pane.corners[:, :2] - pane.corners[:, 2:] * WAY[:2] / WAY[2]
    beam = SunBeam(pane.name, pane.corners, np.float32([60000, 60000, 60000]), ((foot,),))
    one = np.full((1, 1, 3), 1, np.float32)
    dark = FloorLight((-1.0, -1.0), 8.0, one, one, np.zeros((1, 1, 3), np.float32))
    # In a room as bright as the sun's beam, which is then not held back.
    lit = replace(lighting, floor=dark, emitters=(), sun=SunLight(WAY, RADIUS, (beam,)), mean_floor_lux=60000.0)
    corners = np.float32([(0, 0, 0), (WIDTH, 0, 0), (WIDTH, DEPTH, 0), (0, DEPTH, 0)])
    mesh = FloorMesh(
        0, corners, np.float32([UP] * 4), np.zeros((4, 2), np.float32), np.float32([[1, 0]] * 4),
        np.ones((4, 3), np.float32), np.zeros(4, np.int32), np.zeros(4, np.float32), np.int32([[0, 1, 2], [0, 2, 3]]),
    )  # fmt: skip
    bare = replace(boards.finish, ior=1.0)
    white = replace(boards, pages=(np.full((8, 8, 3), 255, np.uint8),), finish=bare, border_finish=bare)
    # The patch's edge that the window's head casts runs along x; look straight at its middle from above.
    edge = foot[2:].mean(axis=0)
    eye = Camera("sun", np.array([*edge, 0.9]), np.array([*edge, 0.0]), np.array([0.0, 1, 0]), 0.3, 0.0, (301, 301))
    with open_engine(replace(model, floor=(mesh,), parts=()), white, lit, fibre=False) as engine:
        column = engine.draw(eye, 2e-5).hdr[:, 150, 1] * np.pi / (60000 * WAY[2])
    metres = 0.9 * (150.5 - (np.arange(301) + 0.5)) / (301 / 2 / np.tan(0.15))  # along +y from the edge
    return metres[::-1], column[::-1], pane.corners[:, 2].max()


def test_the_edge_of_a_patch_lies_where_the_projection_puts_it(profile):
    """A plane edge is half lit under the line from the sun's middle past the window's head: within 1 mm."""
    metres, share, _ = profile
    assert share.max() == pytest.approx(1, abs=0.02)
    assert share.min() < 0.01
    assert np.interp(0.5, share, metres) == pytest.approx(0, abs=0.001)


def test_the_penumbra_is_as_wide_as_the_disc_makes_it(profile):
    """A disc of radius r at a distance d past a straight edge: light runs from none to full over 2 d tan r across the
    beam, the longer by the slant of the floor along the edge's normal."""
    metres, share, head = profile
    distance = head / WAY[2]
    across = WAY[1] / WAY[2]
    width = 2 * distance * np.tan(RADIUS) * np.sqrt(1 + across**2)
    found = np.interp([0.05, 0.95], share, metres)
    # A disc's area past a chord: 5 % and 95 % lie at 0.805 of its radius each side.
    assert np.ptp(found) == pytest.approx(0.805 * width, rel=0.08)
