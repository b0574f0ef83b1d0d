"""Small pieces of light: glass, colour, directions, polygons."""

from __future__ import annotations

import numpy as np
import pytest

from preview.colour import luminance
from preview.light.geometry.factors import split_polygon
from preview.light.geometry.ray_tracing import Tracer
from preview.light.hemisphere import cosine_directions, even_points, frames
from preview.light.sources.daylight import daylight_rgb
from preview.light.sources.glass import DOUBLE_GLAZING, Glazing


def test_glass():
    """One bare sheet: (1 - r) / (1 + r) with r = ((n - 1) / (n + 1))^2, straight on."""
    r = ((1.526 - 1) / (1.526 + 1)) ** 2
    straight = np.ones(1)
    assert Glazing(1, 1.526, 1.0).transmittance(straight)[0] == pytest.approx((1 - r) / (1 + r), rel=1e-6)
    assert DOUBLE_GLAZING.transmittance(straight)[0] == pytest.approx(0.81, abs=0.01)
    angles = np.cos(np.radians(np.arange(0, 91, 5)))
    assert (np.diff(DOUBLE_GLAZING.transmittance(angles)) < 0).all()
    assert DOUBLE_GLAZING.transmittance(angles)[-1] < 1e-3
    assert Glazing(panes=0).transmittance(angles) == pytest.approx(np.ones(len(angles)))


def test_colour_of_daylight():
    """D65's correlated temperature gives the white of sRGB; warmer is redder; luminance is 1."""
    assert daylight_rgb(6504) == pytest.approx([1, 1, 1], abs=0.005)
    warm, cold = daylight_rgb(5000), daylight_rgb(15000)
    assert warm[0] > 1 > warm[2] and cold[0] < 1 < cold[2]
    for kelvin in (4000, 7000, 7001, 25000):
        assert luminance(daylight_rgb(kelvin)) == pytest.approx(1)
    with pytest.raises(ValueError, match="3000 K"):
        daylight_rgb(3000)


def test_directions_are_spread_by_their_cosine():
    directions = cosine_directions(even_points(1024, 2))
    assert np.linalg.norm(directions, axis=1) == pytest.approx(np.ones(1024))
    assert directions.mean(axis=0) == pytest.approx([0, 0, 2 / 3], abs=2e-3)
    normals = np.array([[0, 0, 1], [0, 0, -1], [1, 0, 0], [0.6, 0, 0.8]])
    turned = frames(normals)
    assert turned[:, 2] == pytest.approx(normals)
    assert np.linalg.det(turned) == pytest.approx(np.ones(4))


@pytest.mark.parametrize("corners", [3, 4, 5, 6])
def test_cells_of_a_polygon_cover_it(corners):
    turn = np.arange(corners) * 2 * np.pi / corners
    polygon = np.stack([np.cos(turn), np.sin(turn), np.zeros(corners)], axis=-1)
    cells = split_polygon(polygon, 0.4)
    area = sum(np.linalg.norm(np.cross(c[2] - c[0], c[3] - c[1])) / 2 for c in cells)
    assert area == pytest.approx(corners / 2 * np.sin(2 * np.pi / corners), rel=1e-9)
    assert all(np.linalg.norm(c[1] - c[0]) < 0.6 for c in cells)


def test_rays():
    tracer = Tracer(np.array([[(0, 0, 1), (1, 0, 1), (0, 1, 1)]], dtype=float))
    origins = np.array([[0.2, 0.2, 0], [0.9, 0.9, 0]])
    hits = tracer.first(origins, np.array([[0, 0, 2.0], [0, 0, 2.0]]))
    assert hits.triangle.tolist() == [0, -1]
    assert hits.distance[0] == pytest.approx(0.5) and np.isinf(hits.distance[1])
    assert (hits.u[0], hits.v[0]) == pytest.approx((0.2, 0.2))
    ends = np.array([[0.2, 0.2, 2.0], [0.9, 0.9, 2.0]])
    assert tracer.clear(origins, ends).tolist() == [False, True]
    short = np.array([[0.2, 0.2, 0.99], [0.2, 0.2, 1.0]])
    assert tracer.clear(origins[[0, 0]], short).tolist() == [True, True], "what is on the surface is seen"
