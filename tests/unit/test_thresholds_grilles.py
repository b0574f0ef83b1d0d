"""Thresholds fill doorways from the floor's edge through the wall; grilles are frames with even slots."""

import math
from itertools import combinations

import numpy as np
import pytest
import shapely

from preview.floor.border import lay_border
from preview.floor.grilles import BAR, FRAME, LONGEST_SLOT, grille_slots, lay_grilles
from preview.floor.layout import Role
from preview.floor.thresholds import lay_thresholds
from preview.room.measured import build_room
from preview.scene.job import Vent
from tests.strategies import INCH, box, make_job, opening

RECT = box(0, 0, 4, 3)


def test_threshold_reaches_from_the_floor_through_the_wall():
    room = build_room(make_job(RECT, openings=[opening(2, 1, 0.9)]))
    laid = lay_thresholds(room)
    edge = 0.75 * INCH
    assert len(laid) == 1 and laid.role[0] == Role.THRESHOLD
    assert laid.polygons[0].bounds == pytest.approx((4 - edge, 1, 4 + room.wall_thickness, 1.9), abs=1e-12)
    np.testing.assert_allclose(laid.size[0], (0.9, edge + room.wall_thickness), atol=1e-12)
    assert abs(math.sin(laid.grain[0])) == pytest.approx(1)
    assert laid.polygons[0].distance(room.floor) < 1e-12


def test_windows_have_none():
    room = build_room(
        make_job(RECT, openings=[opening(2, 1, 0.9, "window"), opening(3, 1, 0.9, "cased opening", "arch")])
    )
    laid = lay_thresholds(room)
    assert laid.key.tolist() == [[1, 0]]


def test_thresholds_that_meet_at_a_corner_share_no_ground():
    wide = [opening(1, 3, 1, "cased opening", "a"), opening(2, 0, 1, "cased opening", "b")]
    room = build_room(make_job(RECT, openings=wide))
    laid = lay_thresholds(room)
    border, _ = lay_border(room, make_job(RECT).border)
    assert len(laid) == 2
    assert shapely.intersection(*laid.polygons).area < 1e-12
    assert shapely.area(shapely.intersection(laid.polygons[:, None], border.polygons[None])).max() < 1e-12


@pytest.mark.parametrize("angle", [0.0, 0.4, math.pi / 2])
@pytest.mark.parametrize("size", [(10, 4), (4, 10), (14, 6), (2, 1), (30, 2.25)])
def test_grille_is_frame_bars_and_slots(size, angle):
    sides = (size[0] * INCH, size[1] * INCH)
    room = build_room(make_job(RECT, vents=[Vent("A", (2.0, 1.5), sides, angle)]))
    laid, slots = lay_grilles(room)
    outer = room.vents[0].polygon
    assert laid.role.tolist() == [Role.GRILLE]
    assert laid.polygons[0].is_valid
    assert laid.polygons[0].area + sum(slot.area for slot in slots) == pytest.approx(outer.area, abs=1e-12)
    wood = outer.difference(shapely.union_all(slots))
    assert shapely.symmetric_difference(wood, laid.polygons[0]).area < 1e-12
    apart = [one.distance(other) for one, other in combinations([*slots, outer.exterior], 2)]
    assert min(apart) > min(BAR / 2, 0.2 * min(sides))
    np.testing.assert_allclose(sorted(laid.size[0]), sorted(sides), atol=1e-12)
    assert laid.size[0, 0] == pytest.approx(max(sides))


def test_slots_are_even_and_near_their_width():
    room = build_room(make_job(RECT, vents=[Vent("A", (2.0, 1.5), (10 * INCH, 4 * INCH), 0.0)]))
    slots = grille_slots(room.vents[0])
    length, width = (slots[:, 2] - slots[:, 0]).T
    np.testing.assert_allclose(width, (4 * INCH - 2 * FRAME) / 7)
    assert abs(width[0] - BAR) < BAR / 4 and length.max() <= LONGEST_SLOT
    np.testing.assert_allclose(length, (10 * INCH - 2 * FRAME - BAR) / 2)
    assert len(slots) == 8
