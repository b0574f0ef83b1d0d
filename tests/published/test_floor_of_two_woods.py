"""A floor whose border is of another wood than its field, as light sees it.

An upright element at a height h over the near edge of a long strip of width w sees it with
(1 - h / sqrt(h^2 + w^2)) / 2 of its hemisphere: Nusselt's unit sphere, worked out here.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from light_rooms import box_room
from shapely import box

from preview.light.bake import light_room
from preview.light.coat import coat_of
from preview.light.geometry.floor_grid import FloorGrid
from preview.light.solve.floor_finish import FloorFinish, finish_of
from preview.scene.job import LightChoice

OVERCAST = LightChoice("overcast", None, "auto")
SIZE = X, Y, Z = 2.6, 2.2, 2.4
WIDE = 0.3  # of the border, metres
FIELD = box(WIDE, WIDE, X - WIDE, Y - WIDE)
LIGHT, DARK = (0.5, 0.5, 0.5), (0.05, 0.05, 0.05)


@pytest.fixture(scope="module")
def lit(tmp_path_factory):
    """What lights the room with its field of one albedo and its border of another; None for a floor all alike."""
    folder = tmp_path_factory.mktemp("light")
    model, room = box_room(SIZE, [(0, 0.4, 1.8, 0.9, 2.1)], floor=0.5, depth=0.1)

    def light(border):
        field = None if border is None else FIELD
        own = replace(model, field=field, border_albedo=border or (0.0, 0.0, 0.0), coat=(0.2, 1.5))
        return light_room(own, room, OVERCAST, folder=folder)

    return {border: light(border) for border in (None, LIGHT, DARK)}, model


def heights(model, name, low, high):
    part = next(each for each in model.parts if each.name == name)
    return (part.vertices[:, 2] >= low) & (part.vertices[:, 2] <= high) & (np.abs(part.vertices[:, 0] - X / 2) < 0.8)


def test_a_border_of_the_fields_own_albedo_changes_nothing(lit):
    found, model = lit
    assert np.array_equal(found[None].floor.irradiance, found[LIGHT].floor.irradiance)
    assert np.array_equal(found[None].floor.entering, found[LIGHT].floor.entering)
    assert all(np.array_equal(found[None].parts[each.name], found[LIGHT].parts[each.name]) for each in model.parts)


def test_a_dark_border_dims_the_foot_of_the_wall_most(lit):
    """Across from the window, where next to all that comes from below comes off the border."""
    found, model = lit
    share = found[DARK].parts["wall 3"] / found[LIGHT].parts["wall 3"]
    foot, middle = (share[heights(model, "wall 3", *span)].mean() for span in ((0, 0.02), (1.0, 1.6)))
    assert foot < 0.85 and middle > 0.9
    assert foot < middle - 0.08


def test_the_dark_borders_loss_is_what_the_strip_would_have_sent(lit):
    """Just over the floor: what left the light strip towards the wall and leaves the dark one no more. Within 20 %, as
    the room is a little darker for it too, and as a coat lets less out at a slant."""
    found, model = lit
    lost = (found[LIGHT].parts["wall 3"] - found[DARK].parts["wall 3"])[..., 1]
    rows = heights(model, "wall 3", 0, 0.02)
    coat = coat_of(0.2, 1.5)
    floor = found[LIGHT].floor
    quarter = floor.irradiance.shape[1] // 4
    strip = floor.irradiance[-int(WIDE / floor.texel) :, quarter:-quarter, 1]
    h = 0.006  # where light at the foot is found: a little over the floor
    seen = (1 - h / np.hypot(h, WIDE)) / 2
    sent = (LIGHT[0] - DARK[0]) * coat.mean_passed * strip.mean() * seen
    assert lost[rows].mean() == pytest.approx(sent, rel=0.2)


def test_texels_are_of_the_wood_they_lie_on():
    """Of the border outside the field, but in next rooms, which are floored as the field is."""
    grid = FloorGrid(
        (0.0, 0.0), 0.5, (3, 4), np.ones((3, 4), bool), np.arange(12).reshape(3, 4) == 11, np.zeros((0, 3)),
        np.zeros(0, bool), np.zeros(0, np.int64),
    )  # fmt: skip
    finish = FloorFinish(np.array(LIGHT), np.array(DARK), box(0.5, 0.5, 1.5, 1.0), coat_of(0.2, 1.5))
    found = finish.on_grid(grid)
    expected = np.full((3, 4), DARK[0])
    expected[1, 1:3] = expected[2, 3] = LIGHT[0]
    assert found == pytest.approx(expected[..., None].repeat(3, axis=2))
    plain = replace(finish, field=None)
    assert plain.on_grid(grid) == pytest.approx(np.full((3, 4, 3), LIGHT[0]))


def test_reflectance_is_the_woods_through_the_coat_and_what_the_coat_mirrors():
    """Black wood sends back what its coat mirrors; white wood under it the rest, but for what a rough coat loses."""
    coat = coat_of(0.02, 1.5)
    finish = FloorFinish(np.array(LIGHT), np.array(DARK), None, coat)
    assert finish.reflectance(np.zeros(3)) == pytest.approx([coat.mean_mirrored] * 3)
    assert finish.reflectance(np.ones(3)) == pytest.approx([1, 1, 1], abs=0.01)


def test_albedos_nearly_alike_share_their_light(lit):
    """They are told apart by a per cent, so that another layout of the same wood takes its light as it is kept."""
    model = replace(lit[1], floor_albedo=(0.3, 0.2, 0.1), border_albedo=(0.3, 0.2, 0.1), field=FIELD)
    near = finish_of(replace(model, floor_albedo=(0.3001, 0.2001, 0.1)))
    assert np.array_equal(near.albedo, finish_of(model).albedo) and np.array_equal(near.albedo, near.border)
    assert finish_of(model).albedo == pytest.approx([0.3, 0.2, 0.1], rel=0.006)
    assert not np.array_equal(finish_of(replace(model, floor_albedo=(0.31, 0.2, 0.1))).albedo, near.albedo)
