"""Where the sun stands, and where it shines.

NREL's Solar Position Algorithm: I. Reda and A. Andreas, NREL/TP-560-34302 (2004): its worked example and its refraction
(eq. 42), and as pvlib runs it. Further positions are computed by the US Naval Observatory's formula.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from light_rooms import box_room
from pvlib import spa
from shapely import Point, Polygon, box

from preview.colour import luminance
from preview.light.bake import choose_sky, light_room
from preview.light.geometry.visibility import build_geometry
from preview.light.solve.sunlight import sunlight, sunlit_floor
from preview.light.sources.glass import DOUBLE_GLAZING
from preview.light.sources.sun_position import sun_angles, sun_direction
from preview.scene.job import LightChoice, Sun

EDGE = 0.005  # metres


def test_nrel_worked_example():
    elevation, azimuth = sun_angles(39.742476, -105.1786, datetime.fromisoformat("2003-10-17T12:30:30-07:00"))
    bent = 820 / 1010 * 283 / (273 + 11) * 1.02 / (60 * np.tan(np.radians(elevation + 10.3 / (elevation + 5.11))))
    assert 90 - elevation - bent == pytest.approx(50.11162, abs=1e-4)
    assert azimuth == pytest.approx(194.34024, abs=1e-4)


def directions(elevations, azimuths):
    """Unit vectors to suns at these angles in degrees, (n, 3)."""
    return np.array([sun_direction(*each, 0.0) for each in zip(elevations, azimuths, strict=True)])


@pytest.mark.parametrize("seed", range(25))
def test_positions_are_those_of_nrel_s_algorithm(seed):
    """Anywhere, by day and by night, from 1950 to 2100: 0.0005 degrees as a direction, where both take the same
    difference of terrestrial from universal time; that of later years is a guess, and moves the sun by as much."""
    random = np.random.default_rng(seed)
    latitude, longitude = float(np.degrees(np.arcsin(random.uniform(-1, 1)))), float(random.uniform(-180, 180))
    first, last = datetime(1950, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)
    times = [first + (last - first) * share for share in random.random(200)]
    ahead = np.array([spa.calculate_deltat(time.year, time.month) for time in times])
    seconds = np.array([time.timestamp() for time in times])
    _, _, _, *angles, _ = spa.solar_position(seconds, latitude, longitude, 0.0, 1013.25, 12.0, ahead, 0.5667)
    found = directions(*np.transpose([sun_angles(latitude, longitude, time) for time in times]))
    assert np.degrees(np.linalg.norm(found - directions(*angles), axis=1)).max() < 0.0005


def test_the_sun_of_any_year_that_a_scene_can_name():
    """Also where the same moment has no date in UTC, and at the poles."""
    for time in (datetime.min.replace(tzinfo=timezone(timedelta(hours=14))),
                 datetime.max.replace(tzinfo=timezone(timedelta(hours=-12)))):  # fmt: skip
        for latitude in (-90, 90):
            elevation, azimuth = sun_angles(latitude, 0, time)
            assert abs(elevation) < 24 and 0 <= azimuth <= 360


def approximate_angles(latitude, longitude, time):
    """Elevation and azimuth by the US Naval Observatory's "Computing Approximate Solar Coordinates"
    (aa.usno.navy.mil/faq/sun_approx): within an arc minute of the truth from 1800 to 2200."""
    days = (time - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds() / 86400
    anomaly, mean = np.radians(357.529 + 0.98560028 * days), 280.459 + 0.98564736 * days
    ecliptic = np.radians(mean + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    tilt = np.radians(23.439 - 0.00000036 * days)
    ascension = np.degrees(np.arctan2(np.cos(tilt) * np.sin(ecliptic), np.cos(ecliptic)))
    declination = np.arcsin(np.sin(tilt) * np.sin(ecliptic))
    # A mean sun crosses Greenwich's meridian at noon; the true one is ahead by the equation of time, mean - ascension.
    hour = np.radians(360 * (days % 1) + longitude + mean - ascension)
    west, south, pole = np.cos(declination) * np.sin(hour), np.cos(declination) * np.cos(hour), np.sin(declination)
    high, across = np.sin(np.radians(latitude)), np.cos(np.radians(latitude))
    north = pole * across - south * high
    return np.degrees(np.arcsin(south * across + pole * high)), np.degrees(np.arctan2(-west, north)) % 360


PLACES = [(51.5, -0.1), (-33.87, 151.21), (39.74, -105.18), (64.1, -21.9), (1.3, 103.8)]
TIMES = ["2026-03-21T10:00:00-07:00", "2026-06-21T12:00:00+00:00", "2026-10-14T16:00:00+01:00",
         "2026-12-21T22:00:00+11:00", "1999-01-10T15:00:00+11:00", "2035-08-02T05:30:00+00:00"]  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("time", TIMES)
def test_positions_are_those_of_the_naval_observatory(place, time):
    """North and south of the equator, east and west, by day and by night: 0.02 degrees, as a direction."""
    when = datetime.fromisoformat(time)
    found, expected = (sun_direction(*angles(*place, when), 0.0) for angles in (sun_angles, approximate_angles))
    assert np.degrees(np.arccos(min(found @ expected, 1.0))) < 0.02


def test_direction_turns_with_north():
    assert sun_direction(0, 90, 0) == pytest.approx([1, 0, 0], abs=1e-12)
    assert sun_direction(0, 0, np.radians(90)) == pytest.approx([1, 0, 0], abs=1e-12), "north lies along +x"
    assert sun_direction(30, 180, 0) == pytest.approx([0, -np.cos(np.pi / 6), 0.5], abs=1e-12)


# A window in the wall along y = 0, seen by a sun in the south-west.
WINDOW = (0, 1.0, 1.5, 0.8, 2.1)
SUN = sun_direction(35, 205, 0.0)


def cast(rectangle, y):
    """The shadow on z = 0 of an opening (x0, x1, z0, z1) in the plane of constant y."""
    x0, x1, z0, z1 = rectangle
    corners = [(x0, z0), (x1, z0), (x1, z1), (x0, z1)]
    return Polygon([(x - z * SUN[0] / SUN[2], y - z * SUN[1] / SUN[2]) for x, z in corners])


def assert_same_edges(found, expected):
    assert found.hausdorff_distance(expected) < EDGE
    assert found.boundary.hausdorff_distance(expected.boundary) < EDGE
    assert found.symmetric_difference(expected).area < EDGE * expected.length


@pytest.mark.parametrize("depth", [0.0, 0.15])
def test_edge_of_a_sun_patch(depth):
    """The patch is what both edges of the opening let through, by direct projection."""
    model, room = box_room((5, 4, 2.5), [WINDOW], depth=depth)
    geometry = build_geometry(model, room)
    pane = geometry.panes[0]
    found = sunlit_floor(pane.corners, pane.inward, SUN, geometry.shell.corners, room.floor)
    opening = (1.0, 2.5, 0.8, 2.1)
    expected = cast(opening, 0.0).intersection(cast(opening, -depth)).intersection(box(0, 0, 5, 4))
    assert expected.area > 0.5
    assert_same_edges(found, expected)


def test_what_stands_in_the_sun_casts_a_shadow():
    """The shadow of a block is the convex hull of its corners, cast on the floor."""
    low, high = (1.5, 1.0, 0.0), (1.8, 1.3, 0.5)
    model, room = box_room((5, 4, 2.5), [WINDOW], blocks=[("block", low, high, 0.5)])
    geometry = build_geometry(model, room)
    pane = geometry.panes[0]
    found = sunlit_floor(pane.corners, pane.inward, SUN, geometry.shell.corners, room.floor)
    corners = [(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (0.0, high[2])]
    shade = Polygon([(x - z * SUN[0] / SUN[2], y - z * SUN[1] / SUN[2]) for x, y, z in corners]).convex_hull
    hull = cast((1.0, 2.5, 0.8, 2.1), 0.0).difference(shade).intersection(room.floor)
    assert hull.area < cast((1.0, 2.5, 0.8, 2.1), 0.0).area - 0.1
    assert_same_edges(found, hull)


def afternoon(north):
    return LightChoice("clear", Sun(51.5, -0.1, datetime.fromisoformat("2026-10-14T14:00:00+01:00")), "auto"), north


def test_sunlight_in_a_room(tmp_path):
    """Beams are dimmed by the glass at their own angle, light the floor where the rays say, and their light goes on
    to the other surfaces."""
    light, north = afternoon(0.0)
    model, room = box_room((3, 3, 2.5), [WINDOW], depth=0.1, north=north)
    lit = light_room(model, room, light, folder=tmp_path)
    sky = choose_sky(light, north)
    (beam,) = lit.sun.beams
    cosine = -lit.sun.direction @ model.panes[0].inward
    expected = luminance(sky.beam) * DOUBLE_GLAZING.transmittance(np.array([cosine]))[0]
    assert luminance(beam.irradiance) == pytest.approx(expected, rel=1e-5)
    patch = beam.lit_floor()
    inside = patch.representative_point()
    start = np.array([inside.x, inside.y, 0.0])
    through = start + lit.sun.direction * (-0.1 - start[1]) / lit.sun.direction[1]
    assert 1.0 < through[0] < 2.5 and 0.8 < through[2] < 2.1
    shaded = light_room(model, room, LightChoice("clear", None, "auto"), folder=tmp_path)
    assert shaded.sun is None
    assert luminance(lit.parts["ceiling"]).mean() > luminance(shaded.parts["ceiling"]).mean()
    again = light_room(model, room, light, folder=tmp_path)
    assert again.sun.beams[0].lit_floor().equals(patch) and again.mean_floor_lux == lit.mean_floor_lux
    assert not patch.contains(Point(0.1, 2.9))


def test_no_beam_from_behind_or_from_under_the_horizon():
    light, _ = afternoon(0.0)
    model, room = box_room((5, 4, 2.5), [(2, 1, 1, 1, 2)])
    geometry = build_geometry(model, room)
    assert sunlight(geometry.panes, choose_sky(light, 0.0), DOUBLE_GLAZING, geometry.shell, room.floor) is None
    night = LightChoice("clear", Sun(51.5, 0, datetime.fromisoformat("2026-12-21T22:00:00+00:00")), "auto")
    model, room = box_room((5, 4, 2.5), [WINDOW])
    geometry = build_geometry(model, room)
    assert sunlight(geometry.panes, choose_sky(night, 0.0), DOUBLE_GLAZING, geometry.shell, room.floor) is None
