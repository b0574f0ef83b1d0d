"""Another paint, floor or sky is far less work than a bake, and light that is kept next to none. Ratios within one run.

Seconds of one machine are in DEVELOPERS.md; processor time is measured here, so that a busy machine does not matter.
"""

from dataclasses import replace
from datetime import datetime
from time import process_time

import numpy as np
import pytest

from preview.light.bake import light_room
from preview.light.geometry.transport import form_factors, patch_faces
from preview.light.geometry.visibility import build_geometry
from preview.light.solve.radiosity import mean_radiosity, solve_irradiance
from preview.scene.job import LightChoice, Sun
from tests.published.light_rooms import box_room

ROOM = {
    "size": (5.0, 5.0, 2.6),
    "windows": [(0, 0.6, 1.2, 0.6, 2.1), (0, 3.2, 1.2, 0.6, 2.1), (1, 1.9, 1.2, 0.6, 2.1)],
    "openings": [(2, 1.0, 1.5, 0.0, 2.1)],
    "depth": 0.1,
}
OVERCAST, CLEAR = (LightChoice(sky, None, "auto") for sky in ("overcast", "clear"))
AFTERNOON = LightChoice("clear", Sun(51.5, -0.1, datetime.fromisoformat("2026-10-14T14:00:00+01:00")), "auto")


def seconds(model, room, light, folder):
    """Return the processor seconds that the light of a room takes."""
    start = process_time()
    light_room(model, room, light, folder=folder)
    return process_time() - start


@pytest.fixture(scope="module")
def cold(tmp_path_factory):
    """The seconds of a bake, its model and room, and the folder that keeps it now."""
    small = box_room((1.0, 1.0, 1.0), windows=[(0, 0.2, 0.5, 0.2, 0.8)])
    seconds(*small, AFTERNOON, tmp_path_factory.mktemp("warm"))  # what is loaded and tabulated once
    folder, (model, room) = tmp_path_factory.mktemp("light"), box_room(**ROOM)
    return seconds(model, room, OVERCAST, folder), model, room, folder


def test_another_paint_floor_or_sky_takes_a_ninth_of_a_bake(cold):
    took, model, room, folder = cold
    walls = replace(model, parts=tuple(replace(each, albedo=(0.5, 0.4, 0.3)) for each in model.parts))
    others = [(walls, OVERCAST), (replace(model, floor_albedo=(0.15, 0.08, 0.04)), OVERCAST), (model, CLEAR)]
    assert max(seconds(each, room, light, folder) for each, light in others) < took / 9


def test_sunshine_takes_a_third_of_a_bake(cold):
    """Where it falls, and who sees that, is found anew for each place of the sun."""
    took, model, room, folder = cold
    assert seconds(model, room, AFTERNOON, folder) < took / 3


def test_cached_light_takes_a_hundredth(cold):
    took, model, room, folder = cold
    assert seconds(model, room, OVERCAST, folder) < took / 100


def test_light_between_patches_settles_in_half_the_time_of_plain_rounds():
    """The peer adds one reflection after another, as exactly as ours is."""
    geometry = build_geometry(*box_room(**ROOM))
    factors, areas = form_factors(patch_faces(geometry.around))
    reflectance = np.full((len(areas), 3), 0.7)
    share = np.where(np.arange(len(areas)) >= len(areas) - len(geometry.around.curtains), 0.6, 0.0)
    reflectance[share > 0] = 0.0
    direct = np.random.default_rng(1).random((len(areas), 3))
    start = process_time()
    ours = solve_irradiance(factors, reflectance, direct, areas, share)
    took = process_time() - start

    surface, plain = np.where(share > 0, 0.0, areas), direct
    start = process_time()
    for _ in range(2000):
        radiosity = reflectance * plain
        radiosity += share[:, None] * mean_radiosity(radiosity, surface)
        before, plain = plain, direct + factors @ radiosity
        if np.abs(plain - before).max() <= 1e-6 * plain.max():
            break
    assert np.abs(ours - plain).max() < 1e-4 * plain.max()
    assert took < 0.5 * (process_time() - start)
