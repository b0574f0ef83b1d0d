"""Rays meet the wall that stands first in their way; vectors turn to the side they say."""

import numpy as np
import pytest
import shapely
from shapely import affinity

from preview.room.measured import build_room
from preview.room.rays import first_wall, walls_of
from preview.scene.read import read_scene
from preview.vectors import axes, left_of, mitre, right_of, turned, unit

# 6 m by 4 m with a bay of 2 m by 1 m in its north wall: walls south, east, north-east, bay's three, north-west, west.
BAY = 'units = "m"\nroom.walk = ["E 6", "N 4", "W 2", "N 1", "W 2", "S 1", "W 2", "S 4"]\nfloor.board_width = "90 mm"\n'


@pytest.fixture(scope="module")
def room():
    (job,) = read_scene(BAY, "bay.toml")
    return build_room(job)


@pytest.mark.parametrize(
    ("point", "way", "wall", "reach"),
    [
        ((1, 1), (1, 0), 2, 5),
        ((1, 1), (-1, 0), 8, 1),
        ((3, 1), (0, 1), 5, 4),  # into the bay
        ((1, 1), (0, 1), 7, 3),  # beside it
        ((3, 4.5), (1, 0), 4, 1),
        ((3, 4.5), (0.6, -0.8), 2, 5),  # out of the bay and across: 3 / 0.6 m to the east wall, over 4.5 m down
    ],
)
def test_a_ray_meets_the_first_wall(room, point, way, wall, reach):
    met = first_wall(room, np.array(point, float), np.array(way, float))
    assert (met.wall, met.reach) == (wall, pytest.approx(reach))
    assert met.place == pytest.approx(np.array(point) + reach * np.array(way))
    assert walls_of(room)[wall - 1].length > 0


def test_a_ray_that_leaves_the_room_meets_none(room):
    assert first_wall(room, np.array([-1.0, 2.0]), np.array([-1.0, 0.0])) is None


def test_left_and_right_are_a_quarter_turn():
    east, many = np.array([1.0, 0.0]), unit(np.radians([0.0, 90.0, 210.0]))
    assert left_of(east).tolist() == [0, 1] and right_of(east).tolist() == [0, -1]
    assert left_of(many) == pytest.approx(unit(np.radians([90.0, 180.0, 300.0])))
    assert right_of(many) == pytest.approx(-left_of(many))
    assert axes(np.radians(30.0)) == pytest.approx(np.array([[3**0.5 / 2, 0.5], [0.5, -(3**0.5) / 2]]))


def test_mitred_corners_are_where_a_mitred_offset_has_them():
    """Against shapely's: a ring with sharp, blunt and reflex corners, 5 cm in."""
    ring = np.array([[0, 0], [4, 0.3], [3.2, 2.1], [1.9, 1.2], [0.4, 2.8]])
    steps = np.roll(ring, -1, axis=0) - ring
    normals = left_of(steps / np.hypot(*steps.T)[:, None])
    found = ring + 0.05 * mitre(np.roll(normals, 1, axis=0), normals)
    inset = shapely.buffer(shapely.Polygon(ring), -0.05, join_style="mitre", mitre_limit=100)
    assert shapely.Polygon(found).normalize().equals_exact(inset.normalize(), 1e-9)


def test_points_are_turned_anticlockwise():
    """Against shapely's: a triangle by 30 degrees about the origin."""
    ring = np.array([[1.0, 0.0], [3.0, 0.5], [2.0, 2.0]])
    found = shapely.Polygon(turned(ring, np.radians(30)))
    assert found.equals_exact(affinity.rotate(shapely.Polygon(ring), 30, origin=(0, 0)), 1e-12)
