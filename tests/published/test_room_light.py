"""Whole rooms: against path tracing, and for what must hold whatever the room.

The traced illuminance is that of reference/trace_floor_light.py, by Mitsuba 3.9 at 32,768 samples: its own noise is
1.3 % a square.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from light_rooms import FLOOR_SQUARE, bare, box_room, part, reference_room, sheet

import preview.light.bake as bake
from preview.colour import luminance
from preview.light.bake import light_room
from preview.light.result.report import floor_lux
from preview.light.sources.glass import Glazing
from preview.model.model import FloorMesh
from preview.scene.job import LightChoice

REFERENCE = Path(__file__).parent / "reference"
OVERCAST = LightChoice("overcast", None, "auto")
SIZE = (3.2, 2.8, 2.4)
WINDOWS = [(0, 1.1, 1.0, 0.9, 2.1), (2, 1.1, 1.0, 0.9, 2.1)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A cache shared by the rooms of this file."""
    return tmp_path_factory.mktemp("light")


def lux_of(lighting):
    return luminance(lighting.floor.irradiance)


@pytest.fixture(scope="module")
def traced():
    """The reference room's squares in the open: ours and the path tracer's, lux."""
    with np.load(REFERENCE / "floor_light.npz") as kept:
        return kept["illuminance"]


def open_squares(shape):
    """Squares that neither hearth nor column touches."""
    seen = np.ones(shape, dtype=bool)
    seen[13:, 8:14] = seen[7:10, 12:15] = False
    return seen


def test_floor_against_path_tracing(folder, traced):
    model, room = reference_room()
    lux = lux_of(light_room(bare(model), room, OVERCAST, glass=Glazing(panes=0), folder=folder))
    side = round(FLOOR_SQUARE * lux.shape[1] / 5.0)
    ours = lux.reshape(traced.shape[0], side, traced.shape[1], side).mean(axis=(1, 3))
    seen = open_squares(traced.shape)
    off = ours[seen] / traced[seen] - 1
    assert np.sqrt((off**2).mean()) < 0.05
    assert abs(ours[seen].mean() / traced[seen].mean() - 1) < 0.02


@pytest.mark.slow
def test_reference_is_what_its_script_makes(traced, tmp_path):
    """Traced anew with fewer samples: the same mean, and no square off by more than noise allows. Needs the extra
    `reference`."""
    target = tmp_path / "again.npz"
    script = REFERENCE / "trace_floor_light.py"
    subprocess.run([sys.executable, str(script), "1024", str(target)], check=True, capture_output=True, timeout=600)
    with np.load(target) as kept:
        again = kept["illuminance"]
    seen = open_squares(traced.shape)
    assert again[seen].mean() == pytest.approx(traced[seen].mean(), rel=0.01)
    assert np.abs(again[seen] / traced[seen] - 1).max() < 0.5


@pytest.fixture(scope="module")
def mirrored(folder):
    """A room that is its own mirror image both ways, as far as its windows go."""
    model, room = box_room(SIZE, WINDOWS, depth=0.1)
    return light_room(model, room, OVERCAST, folder=folder), model, room


def test_symmetric_room_is_lit_alike_on_both_sides(mirrored):
    lux = lux_of(mirrored[0])
    for flipped in (lux[:, ::-1], lux[::-1]):
        off = np.abs(flipped / lux - 1)
        assert np.sqrt((off**2).mean()) < 0.01 and off.max() < 0.06


def test_floor_is_smooth(mirrored):
    """No noise, no patches: what sets a texel off from its neighbours is far under the 1 % that eyes see."""
    lux = lux_of(mirrored[0])
    middle = lux[1:-1, 1:-1]
    bump = (lux[:-2, 1:-1] + lux[2:, 1:-1] + lux[1:-1, :-2] + lux[1:-1, 2:]) / (4 * middle) - 1
    assert np.sqrt((bump**2).mean()) < 0.003
    assert np.abs(bump).max() < 0.03


def test_floor_darkens_under_the_sill_and_in_corners(mirrored):
    lux = lux_of(mirrored[0])
    middle = lux.shape[1] // 2
    assert lux[0, middle] < 0.6 * lux[30:50, middle].max()
    assert lux[0, 0] < lux[0, 8] and lux[0, 0] < lux[8, 0]


def test_direction_leans_to_the_nearer_window(mirrored):
    direction = mirrored[0].floor.direction
    assert (np.linalg.norm(direction, axis=-1) <= 1 + 1e-5).all()
    assert direction[25, 64, 1] < -0.05 and direction[-26, 64, 1] > 0.05
    assert (direction[..., 2] > 0).all()


def test_room_without_windows_is_dark(folder):
    """No leak, at corners or anywhere."""
    model, room = box_room((2, 2, 2.4), blocks=[("block", (0.5, 0.5, 0), (1, 1, 0.5), 0.5)])
    found = light_room(model, room, OVERCAST, folder=folder)
    assert found.floor.irradiance.max() == 0
    assert all(each.max() == 0 for each in found.parts.values())
    assert found.mean_floor_lux == 0 and found.emitters == ()


def test_lamps_light_a_room_without_windows_off_its_ceiling(folder):
    """Twice the lamps, twice the light; brightest where they throw it, and nowhere else as bright."""
    model, room = box_room((2, 2, 2.4), walls=0.5)
    found = light_room(model, room, OVERCAST, folder=folder, lamps=1000)
    assert 100 < found.mean_floor_lux < 1000
    assert found.parts["ceiling"].mean() > 1000 > found.parts["wall 1"].mean() > 100
    twice = light_room(model, room, OVERCAST, folder=folder, lamps=2000)
    assert twice.mean_floor_lux == pytest.approx(2 * found.mean_floor_lux, rel=1e-4)


def test_lamps_and_daylight_add_up(folder):
    """Light is linear: twice the lamps add twice to what the day gives; less than in a room without panes, which
    mirror less than walls do."""
    model, room = box_room(SIZE, WINDOWS)
    day, both = (light_room(model, room, OVERCAST, folder=folder, lamps=lamps) for lamps in (0, 500))
    dark_model, dark_room = box_room(SIZE)
    lamps = light_room(dark_model, dark_room, OVERCAST, folder=folder, lamps=500)
    assert day.mean_floor_lux < both.mean_floor_lux < day.mean_floor_lux + lamps.mean_floor_lux
    twice = light_room(model, room, OVERCAST, folder=folder, lamps=1000)
    added = [each.floor.irradiance.astype(float) - day.floor.irradiance for each in (both, twice)]
    np.testing.assert_allclose(added[1], 2 * added[0], rtol=2e-3, atol=0.05)


def test_floor_is_darker_beside_what_stands_on_it(folder, mirrored):
    low, high = (0.8, 1.0, 0.0), (1.6, 1.8, 0.3)
    model, room = box_room(SIZE, WINDOWS, depth=0.1, blocks=[("hearth", low, high, 0.3)])
    found = light_room(model, room, OVERCAST, folder=folder)
    share = lux_of(found) / lux_of(mirrored[0])
    row = round(1.4 / found.floor.texel)
    beside, away = round(1.62 / found.floor.texel), round(2.8 / found.floor.texel)
    assert share[row, beside] < 0.8 * share[row, away]
    assert share[row, away] > 0.9


def test_paint_is_a_new_balance_not_a_new_bake(folder, mirrored, monkeypatch):
    """Walls painted darker: who sees what is taken from the cache, and the floor is darker; brighter floor, brighter
    ceiling."""
    first, model, room = mirrored
    monkeypatch.setattr(bake, "find_visibility", lambda geometry: pytest.fail("looked again"))
    darker = replace(model, parts=tuple(replace(each, albedo=(0.2, 0.2, 0.2)) for each in model.parts))
    assert lux_of(light_room(darker, room, OVERCAST, folder=folder)).mean() < 0.8 * lux_of(first).mean()
    lighter = light_room(replace(model, floor_albedo=(0.6, 0.6, 0.6)), room, OVERCAST, folder=folder)
    assert lighter.parts["ceiling"].mean() > 1.1 * first.parts["ceiling"].mean()


def test_boards_do_not_matter_to_light(folder, mirrored, monkeypatch):
    """Another layout of the same wood takes the light as it is."""
    first, model, room = mirrored
    monkeypatch.setattr(bake, "build_geometry", lambda *_: pytest.fail("laid out again"))
    boards = FloorMesh(0, *(np.zeros((3, k), np.float32) for k in (3, 3, 2, 2, 3)), *(np.zeros(3, np.int32),) * 2,
                       np.zeros((1, 3), np.int32))  # fmt: skip
    again = light_room(replace(model, floor=(boards,)), room, OVERCAST, folder=folder)
    assert np.array_equal(again.floor.irradiance, first.floor.irradiance)
    assert all(np.array_equal(again.parts[name], each) for name, each in first.parts.items())
    assert again.mean_floor_lux == first.mean_floor_lux


def test_next_room_is_a_dim_light(folder):
    """An opening in place of wall shows a room lit at six tenths of this one's mean: dimmer than a white wall."""
    opening = [(1, 0.7, 1.4, 0.0, 2.1)]
    model, room = box_room(SIZE, WINDOWS, openings=opening, depth=0.1, walls=0.9)
    closed, _ = box_room(SIZE, WINDOWS, depth=0.1, walls=0.9)
    found = light_room(model, room, OVERCAST, folder=folder)
    whole = light_room(closed, room, OVERCAST, folder=folder)
    near = (slice(30, 80), slice(-12, -1))
    assert 0.5 < lux_of(found)[near].mean() / lux_of(whole)[near].mean() < 0.98
    (emitter,) = [each for each in found.emitters if each.name.startswith("opening")]
    mean_wall = np.mean([found.parts[f"wall {k}"].mean() * 0.9 for k in (1, 2, 3, 4)])
    assert 0.3 * mean_wall < emitter.radiance.mean() * np.pi < 0.9 * mean_wall


def test_node_inside_something_takes_its_neighbours_light(folder):
    """The foot of a wall is hidden behind a baseboard; the wall just over it must not be dark for it."""
    model, room = box_room((2, 2, 2.4), [(0, 0.5, 1.0, 0.9, 2.1)])
    front = sheet((0, 1.98, -0.02), (2, 0, 0), (0, 0, 0.12), 0.25)
    board = part("baseboard", "trim", 0.7, front, sheet((0, 1.98, 0.1), (2, 0, 0), (0, 0.02, 0), 0.25))
    trimmed = replace(model, parts=(*model.parts, board))
    wall = light_room(trimmed, replace(room, baseboard=0.02), OVERCAST, folder=folder).parts["wall 3"]
    bare = light_room(model, room, OVERCAST, folder=folder).parts["wall 3"]
    assert (luminance(wall) / luminance(bare)).min() > 0.6


def test_numbers_of_the_floor(mirrored):
    lighting, _, room = mirrored
    found = floor_lux(lighting, room, OVERCAST)
    assert found.lowest < found.mean < found.highest
    assert found.mean == pytest.approx(lighting.mean_floor_lux, rel=1e-5)
    assert found.open_lux == pytest.approx(10_000, rel=1e-6)
    assert found.daylight_factor == pytest.approx(found.mean / 100, rel=1e-6)
    assert found.sunlit == 0 and found.sunlit_lux == found.highest
    assert floor_lux(lighting, room, LightChoice("clear", None, "auto")).daylight_factor is None


def test_every_vertex_of_every_part_is_lit(mirrored):
    lighting, model, _ = mirrored
    for each in model.parts:
        assert lighting.parts[each.name].shape == each.vertices.shape
        assert np.isfinite(lighting.parts[each.name]).all() and lighting.parts[each.name].min() >= 0
