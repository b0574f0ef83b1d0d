"""What is kept of a room's geometry, and what is solved from it: means stay means, and nothing is lost on the way."""

from dataclasses import fields

import numpy as np
import pytest

from preview.light.geometry.floor_grid import STRIDE, FloorGrid
from preview.light.geometry.surroundings import Surroundings
from preview.light.geometry.visibility import RoomGeometry, Visibility, build_geometry, find_visibility
from preview.light.geometry.visibility_arrays import PACKED, pack, unpack
from preview.light.solve.balance import _told
from preview.light.solve.radiosity import mean_radiosity, solve_irradiance
from tests.published.light_rooms import box_room


@pytest.fixture(scope="module")
def room():
    """Model, geometry and visibility of a small room with a window, a doorway and a block in a corner, behind which the
    walls run on."""
    model, room = box_room(
        (2.0, 1.6, 1.2),
        windows=[(0, 0.5, 0.8, 0.3, 0.9)],
        openings=[(2, 0.4, 0.7, 0.0, 1.0)],
        blocks=[("block", (0.0, 1.0, 0.0), (0.6, 1.6, 0.6), 0.5)],
    )
    geometry = build_geometry(model, room)
    return model, geometry, find_visibility(geometry)


def test_geometry_comes_back_as_it_was_packed(room):
    model, geometry, visibility = room
    arrays = pack(geometry, visibility)
    assert set(arrays) == set(PACKED) and all(each.dtype != object for each in arrays.values())
    found_geometry, found_visibility = unpack(arrays, model)
    for kind, one, other in ((RoomGeometry, geometry, found_geometry), (Visibility, visibility, found_visibility)):
        for each in fields(kind):
            assert_same(getattr(one, each.name), getattr(other, each.name))


def assert_same(one, other):
    if isinstance(one, Surroundings):
        assert (one.first_tile, one.next_room) == (other.first_tile, other.next_room)
    elif isinstance(one, tuple):
        assert len(one) == len(other)
        for mine, its in zip(one, other, strict=True):
            assert_same(mine, its)
    elif hasattr(one, "indptr"):
        assert one.shape == other.shape and abs(one - other).max() == 0
    elif hasattr(one, "__dataclass_fields__"):
        for each in fields(one):
            assert_same(getattr(one, each.name), getattr(other, each.name))
    else:
        assert np.array_equal(one, other) and type(one) is type(other)


def grid_of(height, width):
    """A floor without edges, computed at every fourth texel each way."""
    every, none = np.ones((height, width), dtype=bool), np.zeros((height, width), dtype=bool)
    where = np.arange(height * width).reshape(height, width)[::STRIDE, ::STRIDE].ravel()
    return FloorGrid(
        (0.0, 0.0), 1.0, (height, width), every, none, np.zeros((len(where), 3)), none.ravel()[where], where
    )


def test_a_slope_is_spread_as_a_slope():
    grid = grid_of(9, 13)
    row, column = np.divmod(np.arange(9 * 13), 13)
    slope = 2.0 * row + 3.0 * column
    found = grid.upsample(np.zeros(len(grid.where), dtype=bool)) @ slope[grid.where]
    assert found == pytest.approx(slope)


def test_hidden_points_take_their_neighbours_light():
    grid = grid_of(9, 13)
    hidden = np.arange(len(grid.where)) % 5 == 0
    found = grid.upsample(hidden) @ np.where(hidden, 1e9, 7.0)
    assert found == pytest.approx(np.full(9 * 13, 7.0))


def test_a_floor_hidden_everywhere_is_spread_as_it_is():
    grid = grid_of(9, 13)
    hidden = np.ones(len(grid.where), dtype=bool)
    assert grid.upsample(hidden) @ np.full(len(hidden), 3.0) == pytest.approx(np.full(9 * 13, 3.0))


def test_mending_takes_from_what_is_not_buried(room):
    visibility = room[2]
    assert 0 < visibility.buried.sum() < len(visibility.buried) / 4
    assert abs(visibility.inpaint.sum(axis=1) - 1).max() < 1e-12
    assert abs(visibility.inpaint[:, visibility.buried]).sum() == 0
    assert (visibility.inpaint.diagonal()[~visibility.buried] == 1).all()


def test_the_filter_leaves_an_even_slope_and_keeps_to_its_face(room):
    """Light that changes evenly along each face is left as it is; and no face takes any from another."""
    shell, visibility = room[1].shell, room[2]
    slopes = shell.node_points @ np.array([3.0, -2.0, 5.0]) + 10
    assert visibility.filter @ slopes == pytest.approx(slopes, abs=0.01)
    found = visibility.filter.tocoo()
    own = abs(found.data) > 0
    for each in (shell.node_part, shell.node_normals.round(2)):
        assert (each[found.row[own]] == each[found.col[own]]).all()
    assert np.bincount(found.row[own]).max() > 4


def test_broad_faces_look_again_where_neighbours_are_few(room):
    """And nothing else does: not mouldings, not what is buried."""
    rows = np.bincount(room[2].nodes.point)
    assert rows.min() == 1 and rows.max() > 2
    assert (rows[room[2].buried | room[1].shell.node_beyond] == 1).all()


def test_means_of_patches_and_nodes_leave_an_even_light_even(room):
    shell = room[1].shell
    even = np.full((len(shell.areas), 2), 4.0)
    assert shell.patch_mean(even) == pytest.approx(np.full((shell.patch_count, 2), 4.0))
    used = np.unique(shell.nodes)
    assert shell.node_mean(even)[used] == pytest.approx(np.full((len(used), 2), 4.0))


def test_light_between_patches_and_curtains_is_the_systems_own_solution(room):
    """The same system, E = E0 + F B and B = rho E + s (mean of B), put down whole and solved by elimination."""
    _, geometry, visibility = room
    rng = np.random.default_rng(3)
    count, curtains = len(visibility.areas), len(geometry.around.curtains)
    share = np.where(np.arange(count) >= count - curtains, 0.6, 0.0)
    reflectance = np.where(share[:, None] > 0, 0.0, rng.uniform(0.1, 0.8, (count, 3)))
    direct = rng.random((count, 3)) * (10.0, 1.0, 0.1)
    found = solve_irradiance(visibility.factors, reflectance, direct, visibility.areas, share, tolerance=1e-10)
    surface = np.where(share > 0, 0.0, visibility.areas)
    mean = np.outer(share, surface / surface.sum())
    for channel in range(3):
        spread = visibility.factors.toarray() @ (np.eye(count) + mean) * reflectance[:, channel]
        assert found[:, channel] == pytest.approx(np.linalg.solve(np.eye(count) - spread, direct[:, channel]), rel=1e-7)
    assert (mean_radiosity(reflectance * found, surface) > 0).all()


def test_nodes_see_a_closed_room(room):
    """Where all that they see is equally bright, 1, and so are the panes, their irradiance is 1: also of those whose
    rays start behind the block, and tell nothing."""
    _, geometry, visibility = room
    table = np.ones((geometry.around.next_room + 1, 3))
    table[geometry.around.dark] = 0
    rows = visibility.nodes.gather(table, np.ones((1, visibility.nodes.entries.shape[1])))[:, 0]
    found = visibility.nodes.at_points(rows, len(geometry.shell.node_points))[:, 0]
    panes = np.bincount(visibility.panes.point, visibility.panes.factor, visibility.panes.count)[: len(found)]
    told = _told(geometry, visibility, visibility.nodes)
    raised = told != 1
    assert (told * found + panes)[raised] == pytest.approx(1)
    assert (told[raised] > 1.02).any() and not raised[visibility.buried].any()
    assert told.max() <= 2
