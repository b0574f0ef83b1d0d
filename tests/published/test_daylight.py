"""Skies, and daylight through a window, against published formulas.

Moon & Spencer, *Illuminating Engineering* 37 (1942); CIE S 011/E:2003 = ISO 15469:2004; sky component of a rectangular
window: Walsh, *The Science of Daylight* (1961), the integral of the overcast sky over the window, worked out.
"""

from __future__ import annotations

import numpy as np
import pytest
from light_rooms import bare, box_room
from pvlib.atmosphere import get_relative_airmass
from pvlib.clearsky import ineichen
from pvlib.irradiance import get_extra_radiation

from preview.colour import luminance
from preview.light.bake import light_room
from preview.light.coat import coat_of
from preview.light.geometry.pane_visibility import find_pane_visibility
from preview.light.geometry.ray_tracing import Tracer
from preview.light.sources.glass import Glazing
from preview.light.sources.sky import CIE_TYPES, cie_relative, clear_sky, dome, overcast_relative, overcast_sky
from preview.model.model import Pane
from preview.scene.job import LightChoice

SAMPLED, BAKED = 0.005, 0.02


def facing_east(relative, directions, solid):
    return (relative * np.maximum(directions[:, 0], 0) * solid).sum()


def test_overcast_sky():
    directions, solid = dome()
    relative = overcast_relative(directions[:, 2])
    horizontal = (relative * directions[:, 2] * solid).sum()
    assert horizontal == pytest.approx(7 * np.pi / 9, abs=1e-6)
    assert facing_east(relative, directions, solid) == pytest.approx(np.pi / 6 + 4 / 9, rel=1e-4)
    assert facing_east(relative, directions, solid) / horizontal == pytest.approx(0.396177, rel=1e-4)
    sky = overcast_sky(8000, ground=0.0)
    assert luminance(sky.horizontal()) == pytest.approx(8000, rel=1e-6)
    assert luminance(sky.zenith) == pytest.approx(8000 / 2.443461, rel=1e-6)


@pytest.mark.parametrize(
    ("elevation", "type_1", "traditional"),
    [
        (0, 0.33486, 0.33333),
        (15, 0.42446, 0.50588),
        (30, 0.66516, 0.66667),
        (45, 0.83258, 0.80474),
        (60, 0.93173, 0.91068),
    ],
)
def test_type_1_is_not_the_traditional_sky(elevation, type_1, traditional):
    height = np.sin(np.radians(elevation))
    direction = np.array([[np.cos(np.radians(elevation)), 0, height]])
    assert cie_relative(1, direction, np.array([0, 0, 1.0]))[0] == pytest.approx(type_1, abs=1e-5)
    assert overcast_relative(np.array(height)) == pytest.approx(traditional, abs=1e-5)


def towards(zenith, azimuth):
    z, a = np.radians(zenith), np.radians(azimuth)
    return np.array([np.sin(z) * np.cos(a), np.sin(z) * np.sin(a), np.cos(z)])


@pytest.mark.parametrize(
    ("sun", "zenith", "azimuth", "expected"),
    [
        (60, 60, 0, 13.47901),
        (60, 60, 90, 1.34077),
        (60, 60, 180, 1.23557),
        (60, 30, 0, 2.57937),
        (60, 30, 180, 0.77541),
        (60, 80, 180, 2.49444),
        (60, 90, 180, 3.14144),
        (45, 45, 0, 7.24908),
        (45, 45, 180, 0.63811),
    ],
)
def test_clear_sky_of_type_12(sun, zenith, azimuth, expected):
    assert cie_relative(12, towards(zenith, azimuth), towards(sun, 0)) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(
    ("sun", "horizontal", "facing", "opposite"), [(60, 6.3941, 1.2346, 0.3966), (30, 3.1906, 0.7419, 0.3461)]
)
def test_illuminance_of_type_12(sun, horizontal, facing, opposite):
    directions, solid = dome()
    relative = cie_relative(12, directions, towards(sun, 0))
    level = (relative * directions[:, 2] * solid).sum()
    assert level == pytest.approx(horizontal, rel=SAMPLED)
    assert (relative * np.maximum(directions[:, 0], 0) * solid).sum() / level == pytest.approx(facing, rel=SAMPLED)
    assert (relative * np.maximum(-directions[:, 0], 0) * solid).sum() / level == pytest.approx(opposite, rel=SAMPLED)


def test_every_type_is_one_at_the_zenith():
    for number in CIE_TYPES:
        assert cie_relative(number, np.array([[0, 0, 1.0]]), towards(50, 30))[0] == pytest.approx(1.0)


@pytest.mark.parametrize("height", [10, 20, 30, 45, 60, 75])
def test_clear_sky_has_the_efficacy_of_daylight(height):
    """Lux over the watts of pvlib's clear sky (P. Ineichen and R. Perez, Solar Energy 73(3), 2002, at a clean turbidity
    of 2.5): a low sun gives some 70 lm/W and a high one 105, the whole sky some 110 (P. J. Littlefair, "The luminous
    efficacy of daylight: a review", Lighting Research and Technology 17(4), 1985; figures from memory)."""
    sky = clear_sky(towards(90 - height, 20), 172)
    airmass = get_relative_airmass(90 - height)
    watts = ineichen(90 - height, airmass, 2.5, dni_extra=get_extra_radiation(172))
    assert 65 < luminance(sky.beam) / watts["dni"] < 110
    assert luminance(sky.horizontal()) / watts["ghi"] == pytest.approx(111, abs=8)


def test_clear_sky_without_its_sun():
    shown, hidden = (clear_sky(towards(50, 20), 172, beam) for beam in (True, False))
    assert not hidden.beam.any() and np.array_equal(hidden.zenith, shown.zenith)
    below = clear_sky(towards(95, 0), 172)
    assert not below.beam.any() and 0 < luminance(below.horizontal()) < 0.05 * luminance(shown.horizontal())


def sky_component(h, w):
    """Walsh's case: per cent of open ground, from a window h by w (over its distance), one lower corner opposite."""
    k = np.sqrt(1 + h * h)
    s = w / np.sqrt(1 + w * w)
    uniform = np.arctan(w) - np.arctan(w / k) / k
    graded = np.arcsin(h * s / k) - h * s / (k**2 * np.sqrt(k**2 - h * h * s * s))
    return 100 * (3 / (14 * np.pi) * uniform + 2 / (7 * np.pi) * graded)


TABLE = [(1, 1, 4.5251), (0.5, 1, 1.4062), (0.5, 0.5, 0.9430), (2, 1, 8.8164), (3, 3, 15.1884)]


@pytest.mark.parametrize(("h", "w", "expected"), TABLE)
def test_sky_component_of_a_window(h, w, expected):
    assert sky_component(h, w) == pytest.approx(expected, abs=1e-4)
    corners = np.array([(0, 1, 0), (w, 1, 0), (w, 1, h), (0, 1, h)], dtype=float)
    pane = Pane("window", corners, np.array([0, -1.0, 0]), True)
    nothing = Tracer(np.array([[(0, 0, -9), (1, 0, -9), (0, 1, -9)]], dtype=float))
    seen = find_pane_visibility((pane,), np.array([[0, 0, 1e-6]]), np.array([[0, 0, 1.0]]), nothing)
    light = seen.light(overcast_sky(10_000, ground=0.0), Glazing(panes=0), coat_of(0.1), first=0).irradiance
    assert luminance(light)[0] / 100 == pytest.approx(expected, rel=BAKED)


def test_baked_sky_component(tmp_path):
    """Window 2 m wide, 0.9 to 2.1 m over the floor, superposed from Walsh's case; the room is black."""

    def superposed(depth, off):
        parts = []
        for edge in (1 - off, 1 + off):
            parts.append(sky_component(2.1 / depth, edge / depth) - sky_component(0.9 / depth, edge / depth))
        return sum(parts)

    assert superposed(2, 0) == pytest.approx(4.70206, abs=1e-4)
    assert superposed(4, 0) == pytest.approx(0.94415, abs=1e-4)
    model, room = box_room((6, 5, 2.5), [(0, 2, 2, 0.9, 2.1)], walls=0.0, ceiling=0.0, floor=0.0)
    overcast = LightChoice("overcast", None, "auto")
    found = light_room(bare(model), room, overcast, glass=Glazing(panes=0), folder=tmp_path)
    for x, y, expected in ((3, 2, 4.70206), (3, 4, 0.94415), (4.5, 2, 2.76175), (1.5, 2, 2.76175)):
        assert floor_at(found, x, y) / 100 == pytest.approx(expected, rel=BAKED), (x, y)


def floor_at(lighting, x, y):
    """Illuminance of the floor at a place, between the four texels round it."""
    floor = lighting.floor
    lux = luminance(floor.irradiance)
    column, row = (x - floor.origin[0]) / floor.texel - 0.5, (y - floor.origin[1]) / floor.texel - 0.5
    c, r = int(column), int(row)
    s, t = column - c, row - r
    low = lux[r, c] * (1 - s) + lux[r, c + 1] * s
    return low * (1 - t) + (lux[r + 1, c] * (1 - s) + lux[r + 1, c + 1] * s) * t


def test_window_at_eye_level_shows_sky_and_ground():
    """A point on a wall opposite sees sky over its own level and ground under it: as an integral over 10,000 parts."""
    pane = Pane(
        "window", np.array([(0, 3, 0.5), (1.5, 3, 0.5), (1.5, 3, 2.3), (0, 3, 2.3)]), np.array([0, -1.0, 0]), True
    )
    sky = overcast_sky(10_000)
    nothing = Tracer(np.array([[(0, 0, -9), (1, 0, -9), (0, 1, -9)]], dtype=float))
    heights = np.array([0.3, 0.9, 1.1, 1.3, 1.4, 1.5, 1.7, 2.5])
    points = np.stack([np.full(8, 0.7), np.zeros(8), heights], axis=-1)
    seen = find_pane_visibility((pane,), points, np.tile([0.0, 1.0, 0.0], (8, 1)), nothing)
    light = seen.light(sky, Glazing(panes=0), coat_of(0.1), first=len(points)).irradiance
    x, z = (each.ravel() for each in np.meshgrid((np.arange(100) + 0.5) * 0.015, 0.5 + (np.arange(100) + 0.5) * 0.018))
    way = np.stack([x, np.full(10_000, 3.0), z], axis=-1)[None] - points[:, None]
    far = np.linalg.norm(way, axis=-1)
    solid = 0.015 * 0.018 * way[..., 1] / far**3
    expected = (luminance(sky.radiance(way / far[..., None])) * way[..., 1] / far * solid).sum(axis=1)
    assert luminance(light) == pytest.approx(expected, rel=0.005)
