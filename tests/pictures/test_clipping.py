"""No picture of a room that nobody chose is burnt out: 30 rooms, woods and hours drawn by chance, by the views that are
proposed for them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from preview.scene.job import LightChoice, Opening, Sun
from preview.session import draw_floors
from preview.steps import lay_jobs
from tests.strategies import box, make_job, opening, turned

CLIPPED = 0.02  # of a picture
WOODS = ("white oak", "maple", "walnut", "ash", "cherry")
FINISHES = ("matt", "satin", "gloss")


def chance_room(seed):
    """Return a job: a rectangle or an L, turned, with a door and windows, lit by an overcast or a clear sky."""
    luck = np.random.default_rng(seed)
    wide, deep = luck.uniform(2.4, 7.0, 2)
    corners = box(0, 0, wide, deep)
    if seed % 3 == 0:
        corners = [(0, 0), (wide, 0), (wide, 0.6 * deep), (0.55 * wide, 0.6 * deep), (0.55 * wide, deep), (0, deep)]
    windows = [
        Opening(f"window {wall}", "window", wall, 0.2 * span, min(1.8, 0.6 * span), 1.4, luck.uniform(0.1, 0.9), 3.0)
        for wall, span in ((2, 0.6 * deep if seed % 3 == 0 else deep), (len(corners), deep))
        if span > 1.2
    ]
    job = make_job(corners=turned(corners, luck.uniform(0, 6)), openings=[opening(1, 0.3, 0.9), *windows])
    light = LightChoice("overcast", None, "auto")
    if seed % 2:
        hour = datetime(2026, 6, 21, 5, tzinfo=UTC) + timedelta(hours=float(luck.uniform(0, 13)))
        light = LightChoice("clear", Sun(51.5, 0.0, hour), "auto")
    wood = replace(job.wood, species=str(luck.choice(WOODS)), cut="plainsawn", finish=str(luck.choice(FINISHES)))
    return replace(job, light=light, wood=wood, border_wood=wood)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(30))
def test_hardly_a_pixel_is_clipped(seed):
    floors = lay_jobs([chance_room(seed)])
    drawn = [each.picture for each in draw_floors(floors, size=(320, 200)) if each.picture.camera.fov is not None]
    assert drawn
    for picture in drawn:
        assert (picture.rgb == 255).any(axis=2).mean() < CLIPPED, picture.camera.name
        assert (picture.rgb > 247).all(axis=2).mean() < CLIPPED, picture.camera.name
