"""How the floor's light is shared out by the slant of its way: none made, none lost, and mirrored as it came."""

import numpy as np
import pytest

from preview.light.coat import coat_of
from preview.light.slant import SLANTS, gloss_slant, matt_slant

STEPS = 16


def mean(weights):
    """The mean over the hemisphere, each way by its cosine."""
    return np.trapezoid(2 * SLANTS * weights, SLANTS)


@pytest.mark.parametrize("alpha", [0.02, 0.1, 0.25])
def test_weights_share_out_what_there_is(alpha):
    coat = coat_of(alpha)
    panes = np.random.default_rng(2).random(STEPS)
    assert mean(matt_slant(coat)) == pytest.approx(1, abs=2e-3)
    for by_height, indirect in ((panes, 0.0), (panes, 3.0), (np.zeros(STEPS), 1.0)):
        weights = gloss_slant(coat, by_height, indirect)
        assert mean(weights) == pytest.approx(1, abs=2e-3) and weights.min() >= 0


def test_wood_sends_less_out_at_a_slant():
    weights = matt_slant(coat_of(0.1))
    assert weights[0] < 0.7 and weights[-1] == pytest.approx(0.96 / 0.908, rel=0.01)


def test_light_from_all_round_leaves_as_the_coat_mirrors():
    coat = coat_of(0.1)
    weights = gloss_slant(coat, np.zeros(STEPS), 1.0)
    assert weights / weights[-1] == pytest.approx(coat.mirrors(SLANTS) / coat.mirrors(np.array(1.0)))


def test_light_of_a_low_window_leaves_as_low():
    """All of it came between cosines of 3 and 4 sixteenths; what leaves is brightest there, and there is most of it."""
    low = np.zeros(STEPS)
    low[3] = 1.0
    weights = gloss_slant(coat_of(0.1), low, 0.0)
    assert SLANTS[weights.argmax()] == pytest.approx(3.5 / STEPS, abs=0.01)
    near = np.abs(SLANTS - 3.5 / STEPS) <= 1.5 / STEPS
    assert np.trapezoid((2 * SLANTS * weights)[near], SLANTS[near]) > 0.95
    assert (weights[SLANTS > 5 / STEPS] == 0).all()


def test_a_dark_room_has_no_mirrored_light():
    assert (gloss_slant(coat_of(0.1), np.zeros(STEPS), 0.0) == 0).all()
