"""Drawn strips are kept, found again, and drawn anew where an entry is damaged; boards are as fine as they are seen."""

import dataclasses

import numpy as np
import pytest

from preview.floor.layout import Role
from preview.picture.view.camera import Camera
from preview.picture.view.footprint import MARGIN, floor_density
from preview.wood import stock
from preview.wood.boards import cut_boards
from tests.unit import model_values
from tests.unit.test_wood_boards import OAK, keys, lay, rectangles


def floor(chosen):
    return lay(rectangles(Role.BOARD, (0.3, 0.08), chosen))


@pytest.fixture
def drawn(monkeypatch):
    """A list that grows by one for each strip that is drawn."""
    strips = []

    def draw(*args):
        strips.append(args[0])
        return real(*args)

    real = stock.draw
    monkeypatch.setattr(stock, "draw", draw)
    return strips


def test_strips_are_drawn_once(drawn, tmp_path):
    first = cut_boards(floor(keys(30)), OAK, OAK, finest=200, folder=tmp_path)
    count = len(drawn)
    assert count > 0
    again = cut_boards(floor(keys(30)), OAK, OAK, finest=200, folder=tmp_path)
    assert len(drawn) == count
    for one, other in zip((*first.pages, *first.grain), (*again.pages, *again.grain), strict=True):
        assert np.array_equal(one, other)
    assert np.array_equal(first.mean_albedo, again.mean_albedo)


def test_a_moved_centre_line_draws_nothing_anew(drawn, tmp_path):
    """Boards that come and go at the edges are of strips that lie there already."""
    cut_boards(floor([(i, j) for i in range(24) for j in range(4)]), OAK, OAK, finest=200, folder=tmp_path)
    count = len(drawn)
    cut_boards(floor([(i, j) for i in range(1, 25) for j in range(4)]), OAK, OAK, finest=200, folder=tmp_path)
    assert len(drawn) == count


def test_what_the_look_hangs_on_is_in_the_key(drawn, tmp_path):
    changes = (
        {}, {"seed": 8}, {"cut": "quartersawn"}, {"grade": "rustic"}, {"stain": "dark"}, {"species": "walnut"},
    )  # fmt: skip
    for change in changes:
        count = len(drawn)
        wood = dataclasses.replace(OAK, **change)
        cut_boards(floor(keys(4)), wood, wood, finest=200, folder=tmp_path)
        assert len(drawn) > count, change


def test_the_coat_s_gloss_is_not(drawn, tmp_path):
    cut_boards(floor(keys(4)), OAK, OAK, finest=200, folder=tmp_path)
    count = len(drawn)
    matt = dataclasses.replace(OAK, finish="matt")
    cut_boards(floor(keys(4)), matt, matt, finest=200, folder=tmp_path)
    assert len(drawn) == count


def test_a_damaged_entry_is_drawn_anew(drawn, tmp_path):
    whole = cut_boards(floor(keys(4)), OAK, OAK, finest=200, folder=tmp_path)
    for path in tmp_path.iterdir():
        path.write_bytes(path.read_bytes()[:-2000] + bytes(2000))
    count = len(drawn)
    again = cut_boards(floor(keys(4)), OAK, OAK, finest=200, folder=tmp_path)
    assert len(drawn) > count
    assert all(np.array_equal(one, other) for one, other in zip(whole.pages, again.pages, strict=True))


def camera(eye, target, fov=np.pi / 3, span=0.0):
    return Camera("", np.array(eye), np.array(target), np.array([0.0, 1, 0]), fov, span, (1600, 1000))


ROOM = model_values.room([[0, 0], [5, 0], [5, 4], [0, 4]])


def test_density_is_that_of_the_nearest_floor_in_view():
    """Straight down from a height h, the pixels a metre are those of a pinhole: f / h, f = 800 / tan(30)."""
    down = camera((2.5, 2.0, 1.6), (2.5, 2.0, 0.0))
    expected = 800 / np.tan(np.radians(30)) / 1.6
    assert floor_density([down], ROOM) == pytest.approx(MARGIN * expected)
    lower = camera((2.5, 2.0, 0.8), (2.5, 2.0, 0.0))
    assert floor_density([down, lower], ROOM) == pytest.approx(2 * MARGIN * expected)


def test_density_of_a_plan_is_its_scale():
    plan = camera((2.5, 2.0, 3.0), (2.5, 2.0, 0.0), fov=None, span=6.4)
    assert floor_density([plan], ROOM) == pytest.approx(MARGIN * 250)


def test_no_camera_asks_for_nothing():
    away = camera((2.5, 2.0, 1.6), (2.5, 2.1, 5.0))
    assert floor_density([], ROOM) == floor_density([away], ROOM) == 0


def test_boards_are_as_fine_as_they_are_seen():
    for finest, density in ((0, 100), (300, 320), (321, 400), (900, 1000)):
        assert cut_boards(floor(keys(2)), OAK, OAK, finest=finest).density == density
