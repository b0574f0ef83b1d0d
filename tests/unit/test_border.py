"""Border runs: mitres on bisectors, joints even, and what happens where runs meet."""

import math

import numpy as np
import pytest
import shapely

from preview.floor.border import lay_border
from preview.floor.layout import Role
from preview.room.measured import build_room
from tests.strategies import INCH, box, make_job, obstacle

W, D = 186 * INCH, 148 * INCH
WIDTH = 4 * INCH


def lay(corners, **choices):
    job = make_job(corners, **choices)
    room = build_room(job)
    return room, *lay_border(room, job.border)


def test_rectangle_has_joints_evenly_on_its_long_walls():
    _, laid, warnings = lay(box(0, 0, W, D))
    assert warnings == ()
    assert [tuple(key) for key in laid.key] == sorted(tuple(key) for key in laid.key)
    long, short = W - 1.5 * INCH, D - 1.5 * INCH  # 184.5 in: three pieces of at most 84 in; 146.5 in: two
    np.testing.assert_allclose(sorted(laid.size[:, 0]), [long / 3] * 6 + [short / 2] * 4)
    np.testing.assert_allclose(laid.size[:, 1], WIDTH)
    assert (laid.role == Role.BORDER).all() and (laid.course == -1).all() and not laid.whole.any()


def test_grain_runs_along_the_edge_and_the_blank_holds_the_piece():
    _, laid, _ = lay(box(0, 0, W, D))
    for polygon, grain, origin, size in zip(laid.polygons, laid.grain, laid.origin, laid.size, strict=True):
        along = np.array([math.cos(grain), math.sin(grain)])
        local = (shapely.get_coordinates(polygon) - origin) @ np.stack([along, [-along[1], along[0]]]).T
        np.testing.assert_allclose(local.min(axis=0), 0, atol=1e-12)
        np.testing.assert_allclose(local.max(axis=0), size, atol=1e-12)
    np.testing.assert_allclose(np.unique(np.round(np.abs(np.sin(laid.grain)), 12)), [0, 1])


@pytest.mark.parametrize("degrees", [40, 75, 90, 135, 225, 290])
def test_mitre_is_the_bisector(degrees):
    """Two walls with the inside angle a between them: the mitre leaves the corner at a / 2 from either."""
    angle = math.radians(degrees)
    tip = (3 * math.cos(angle), 3 * math.sin(angle))
    corners = [(0, 0), (3, 0), tip] if degrees < 180 else [(0, 0), (3, 0), (3, 4), (-4, 4), (-4, tip[1] - 1), tip]
    _, laid, _ = lay(corners, baseboard=0, longest=20)
    first = laid.polygons[np.abs(shapely.distance(laid.polygons, shapely.Point(1.5, 0))).argmin()]
    ring = shapely.get_coordinates(first)[:-1]
    at = int(np.hypot(*ring.T).argmin())
    mitre = ring[at - 1]  # anticlockwise, so what comes before the edge's start lies on its mitre
    assert np.hypot(*mitre) == pytest.approx(WIDTH / math.sin(angle / 2), abs=1e-9)
    assert math.atan2(mitre[1], mitre[0]) % math.tau == pytest.approx(angle / 2, abs=1e-9)


def test_border_runs_round_a_column():
    _, laid, warnings = lay(box(0, 0, W, D), obstacles=[obstacle(box(2, 1.5, 0.3, 0.3))])
    around = laid.size[laid.key[:, 0] >= 4]
    np.testing.assert_allclose(around, [(0.3 + 2 * WIDTH, WIDTH)] * 4)
    assert warnings == ()


def test_narrow_recess_is_parted_along_its_middle():
    """A recess 7 in wide and 20 in deep between baseboards of nothing: its runs are 3 1/2 in wide each."""
    deep, wide = 20 * INCH, 7 * INCH
    corners = [(0, 0), (4, 0), (4, 1), (4 + deep, 1), (4 + deep, 1 + wide), (4, 1 + wide), (4, 3), (0, 3)]
    _, laid, _ = lay(corners, baseboard=0)
    for y in (1, 1 + wide):
        side = [p for p in laid.polygons if p.distance(shapely.Point(4 + deep / 2, y)) < 1e-9]
        assert len(side) == 1
        along_x = shapely.intersection(side[0], shapely.box(4.1, 0, 4 + deep / 2, 3))
        assert along_x.area == pytest.approx((deep / 2 - 0.1) * wide / 2, abs=1e-9)


def test_an_edge_shorter_than_its_mitres_ends_in_a_point():
    """A 2 in cut corner at 45 degrees: its mitres meet at 2 / (2 tan 22.5) in, before the border ends."""
    cut = 2 * INCH / math.sqrt(2)
    _, laid, warnings = lay([(0, 0), (4, 0), (4, 3 - cut), (4 - cut, 3), (0, 3)], baseboard=0, longest=20)
    piece = laid.polygons[shapely.distance(laid.polygons, shapely.Point(4 - cut / 2, 3 - cut / 2)).argmin()]
    assert shapely.get_num_coordinates(piece) == 4  # a triangle, closed
    assert piece.area == pytest.approx(1 * INCH * (1 * INCH / math.tan(math.radians(22.5))), abs=1e-9)
    assert warnings == (
        "one border piece is shorter than two border widths, the shortest at wall 3; let a longer piece run past "
        "the corner there, or make the border narrower",
    )


def test_joints_keep_half_a_longest_piece_from_corners():
    _, laid, _ = lay(box(0, 0, W, D), longest=1.0)
    assert laid.size[:, 0].min() >= 0.5


def test_no_border():
    _, laid, warnings = lay(box(0, 0, W, D), border=0)
    assert len(laid) == 0 and warnings == ()
