"""The plan lines at which rays from the floor end: walls, furniture and columns, and how far in windows lie."""

import numpy as np
import pytest
import shapely

from preview.model.build import build_model
from preview.picture.reflection.reflection_proxies import proxy_arrays
from preview.picture.shared import MAX_PROXIES
from preview.picture.sun.shadow_map import AWAY, shadow_map_view
from preview.scene.read import load_scene
from preview.steps import lay_jobs
from tests.unit import model_values


@pytest.fixture(scope="module")
def floor(request):
    return lay_jobs([load_scene(request.config.rootpath / "scenes" / "kitchen.toml")[0]])[0]


@pytest.fixture(scope="module")
def kitchen(floor):
    return build_model(floor.room, floor.layout, model_values.boards(floor.layout))


def test_rays_end_at_walls_and_furniture(kitchen):
    found = proxy_arrays(kitchen)
    assert len(found.starts) == len(found.runs) == len(found.panes) <= MAX_PROXIES
    lines = np.hstack([found.starts, found.runs])
    furniture = lines[found.runs[:, 2] < 0]
    island = [row for row in furniture if 2 <= row[0] <= 4 and 1.7 <= row[1] <= 2.6]
    assert len(island) == 4
    assert sum(np.hypot(row[3], row[4]) for row in island) == pytest.approx(2 * (2.0 + 0.9), abs=0.01)
    assert all(row[2] == pytest.approx(0.92) for row in island)  # its worktop's upper side
    assert not (furniture[:, 2] < 0.5).any()  # no baseboard, which would bar the way into the bay
    assert not any(np.hypot(row[3], row[4]) > 2.5 for row in furniture)


def test_the_room_lies_on_the_left_of_walls_and_off_furniture(kitchen, floor):
    """A step from a wall to its left leads into the room, from a side of furniture off it; to the right the reverse."""
    own = [each for part in kitchen.parts if not part.name.startswith("beyond") for each in part.proxies]
    furniture = shapely.union_all([each.polygon for each in floor.room.obstacles])
    assert sum(each.solid for each in own) > 4 and sum(not each.solid for each in own) > 8
    for each in own:
        run = each.end - each.start
        left = 0.01 * np.array([-run[1], run[0]]) / np.linalg.norm(run)
        steps = [shapely.Point((each.start + each.end) / 2 + side * left) for side in (1, -1)]
        if each.solid:
            assert [furniture.contains(step) for step in steps] == [False, True]
        else:
            assert [floor.room.outline.contains(step) for step in steps] == [True, False]


def test_walls_with_windows_let_one_see_in_as_deep_as_the_glass(kitchen):
    found = proxy_arrays(kitchen)
    bay = (np.abs(found.starts[:, 1] + 0.7) < 0.01) & (np.abs(found.runs[:, 1]) < 0.01)
    assert found.runs[bay, 2] == pytest.approx(0.05, abs=0.2)
    assert (found.runs[bay, 2] > 0).all()
    west = (np.abs(found.starts[:, 0]) < 0.01) & (np.abs(found.runs[:, 0]) < 0.01)
    assert (found.runs[west, 2] == 0).all()


def test_each_pane_lies_in_the_wall_that_names_it(kitchen):
    """Its middle between the wall's ends, as far behind it as the wall says; each is named once."""
    panes = {each.name: each for each in kitchen.panes}
    named = [(name, each) for part in kitchen.parts for each in part.proxies for name in each.panes]
    assert sorted(name for name, _ in named) == sorted(panes)
    for name, wall in named:
        run = wall.end - wall.start
        length = np.linalg.norm(run)
        to = np.asarray(panes[name].corners)[:, :2].mean(axis=0) - wall.start
        assert 0 < to @ run / length < length
        behind = (to[0] * run[1] - to[1] * run[0]) / length
        assert behind == pytest.approx(wall.recess if panes[name].glazed else 0, abs=1e-9)
        assert wall.open or panes[name].glazed


def test_the_suns_view_holds_the_whole_room():
    way = np.array([0.3, -0.5, 0.4]) / np.linalg.norm([0.3, -0.5, 0.4])
    view = shadow_map_view(way, np.array([[0, 0, 0], [5.0, 4.0, 2.5]]))
    corners = np.array([[x, y, z, 1] for x in (0, 5) for y in (0, 4) for z in (0, 2.5)])
    own = corners @ np.linalg.inv(view.pose).T
    left, right, low, high = view.window
    assert (own[:, 0] > left).all() and (own[:, 0] < right).all()
    assert (own[:, 1] > low).all() and (own[:, 1] < high).all()
    assert (-own[:, 2] > AWAY).all() and (-own[:, 2] < view.far).all()
