"""How the floor's light is shared out by its way: none made, none lost, and mirrored as it came."""

import numpy as np
import pytest

from preview.light.coat import coat_of
from preview.light.geometry.area_emitters import build_emitters
from preview.light.geometry.pane_visibility import STEPS, WAVES
from preview.light.hemisphere import cosine_directions, even_points
from preview.light.solve.directional_emission import (
    COSINES,
    diffuse_weights,
    glossy_weights,
    irradiance_from_sunlit_floor,
    mirrored_series,
)

BEARINGS = np.linspace(0, 2 * np.pi, 720, endpoint=False)


def mean(weights):
    """The mean over the hemisphere, each way by its cosine."""
    return np.trapezoid(2 * COSINES * weights, COSINES)


def ways_of(*arrivals):
    """Light that arrives at one place: slant, bearing and how much of it."""
    ways = np.zeros((1, STEPS, WAVES + 1), complex)
    for slant, bearing, light in arrivals:
        ways[0, int(slant * STEPS)] += light * np.exp(1j * bearing * np.arange(WAVES + 1))
    return ways


def series_by(ways):
    """What goes on at the middle of each step, by its bearing, (STEPS, bearings)."""
    turns = np.exp(-1j * BEARINGS[:, None] * np.arange(WAVES + 1))
    return np.einsum("sw,bw->sb", mirrored_series(ways)[0], turns).real


@pytest.mark.parametrize("alpha", [0.02, 0.1, 0.25])
def test_weights_share_out_what_there_is(alpha):
    coat = coat_of(alpha)
    for weights in (diffuse_weights(coat), glossy_weights(coat)):
        assert mean(weights) == pytest.approx(1, abs=2e-3) and weights.min() >= 0


def test_wood_sends_less_out_at_a_slant():
    weights = diffuse_weights(coat_of(0.1))
    assert weights[0] < 0.7 and weights[-1] == pytest.approx(0.96 / 0.908, rel=0.01)


def test_light_from_all_round_leaves_as_the_coat_mirrors():
    coat = coat_of(0.1)
    weights = glossy_weights(coat)
    assert weights / weights[-1] == pytest.approx(coat.mirrors(COSINES) / coat.mirrors(np.array(1.0)))


def test_mirrored_light_of_windows_is_shared_out_whole():
    """Over slants by their cosine, and over bearings, the mean is 1; nowhere is it below 0."""
    random = np.random.default_rng(2)
    found = series_by(ways_of(*random.random((9, 3)) * [1, 2 * np.pi, 1]))
    middles = (np.arange(STEPS) + 0.5) / STEPS
    assert (found.mean(axis=1) * 2 * middles / STEPS).sum() == pytest.approx(1)
    assert found.min() > -1e-9


def test_two_windows_each_go_on_at_their_own_slant_and_bearing():
    """A far, low window in the east and a near, high one in the west: the low one's light goes on low and in its own
    bearing, the high one's high and in the other."""
    found = series_by(ways_of((0.25, 0.0, 1.0), (0.75, np.pi, 2.0)))
    low, high = found[int(0.25 * STEPS)], found[int(0.75 * STEPS)]
    assert BEARINGS[low.argmax()] == pytest.approx(0) and BEARINGS[high.argmax()] == pytest.approx(np.pi)
    assert low[360] < 0.05 * low[0] and high[0] < 0.05 * high[360]
    others = np.delete(found, [int(0.25 * STEPS), int(0.75 * STEPS)], axis=0)
    assert others == pytest.approx(0)


@pytest.mark.parametrize("sun", [0.3, 0.8])
def test_a_sunlit_place_sends_out_what_it_has_to_send(sun):
    """Seen from all over a dome round it: its wood's light whole and less at a slant, its coat's about the mirrored
    ray, whole but for what facets at this roughness mask."""
    coat, corners = coat_of(0.15), 0.01 * np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]])
    place = build_emitters(corners[[[0, 1, 2], [0, 2, 3]]], np.tile([0.0, 0.0, 1.0], (2, 1)), np.zeros(2, int), 1)
    dome = cosine_directions(even_points(20000, 2))
    factors = (place.areas * dome[:, 2:] / np.pi).astype(np.float32)
    way, dark = np.array([np.sqrt(1 - sun * sun), 0, sun]), np.zeros((1, 3))

    def received(wood, mirrored):
        return irradiance_from_sunlit_floor(way, place, factors, dome, wood, mirrored, coat)[:, 0]

    wood, mirrored = received(dark + 1, dark), received(dark, dark + 1)
    area = np.pi / dome[:, 2] / len(dome)  # of the dome, for which each point stands
    assert (wood * area).sum() == pytest.approx(place.areas[0], rel=0.01)
    assert (mirrored * area).sum() == pytest.approx(place.areas[0], rel=0.1)
    assert dome[mirrored.argmax()] == pytest.approx([-way[0], 0, way[2]], abs=0.2)
    even = factors[:, 0] * 1.0
    slant = dome[:, 2] < 0.2
    assert wood[slant].sum() < 0.9 * even[slant].sum() and wood[~slant].sum() > even[~slant].sum()


def test_a_dark_room_has_no_mirrored_light():
    assert (mirrored_series(ways_of()) == 0).all()
