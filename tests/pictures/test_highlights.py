"""What is brighter than white in a picture: it keeps its hue and its grain, and under the knee nothing changes."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from preview.picture.highlights import KNEE, held, hold_highlights
from preview.picture.tone import to_bytes

OAK = np.float32([0.40, 0.27, 0.155])  # linear, of a white oak board under the floor's mean light
SIZE = (120, 180)


def hue(rgb):
    """Return the hue angle in degrees of sRGB bytes, in CIELAB under D65 (colour-science)."""
    lab = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(np.asarray(rgb) / 255), colour.CCS_ILLUMINANTS["cie_2_1931"]["D65"])
    return np.degrees(np.arctan2(lab[..., 2], lab[..., 1]))


def wood(stops, seed=1):
    """Return a floor's exposed light (h, w, 3) with grain of a fifth of its light, a patch in it `stops` brighter."""
    grain = 1 + 0.2 * np.sin(np.arange(SIZE[0]) * 0.9)[:, None, None] * np.ones((1, SIZE[1], 1))
    light = np.ones(SIZE)
    light[30:90, 60:120] = 2.0**stops
    return (OAK * grain * light[..., None]).astype(np.float32)


@pytest.mark.parametrize("stops", [0.25, 0.5, 1, 1.5, 2, 2.5, 3])
def test_oak_in_light_stays_oak(stops):
    """Its hue is within 5 degrees of what it is in the room's mean light, a quarter of a stop to three stops over."""
    lit = np.broadcast_to(OAK * np.float32(2.0**stops), (*SIZE, 3))
    usual = hue(to_bytes(np.broadcast_to(OAK, (*SIZE, 3)))[0, 0])
    assert hue(to_bytes(hold_highlights(lit))[60, 90]) == pytest.approx(usual, abs=5)


@pytest.mark.parametrize("stops", [2, 4, 6, 7])
def test_a_sun_patch_is_bright_and_keeps_its_grain(stops):
    """However far over the room's light, it is brighter than the floor beside it, nothing of it is blank, and of the
    grain's contrast at least a third is left."""
    drawn = to_bytes(hold_highlights(wood(stops))).astype(float)
    inside, beside = drawn[36:84, 70:110], drawn[36:84, 5:45]
    assert inside.mean() > beside.mean() + 25
    assert inside.max() < 255
    assert inside.mean(axis=1).std() > beside.mean(axis=1).std() / 3


def test_under_the_knee_nothing_changes():
    dim = wood(0) * np.float32(0.9)
    assert np.array_equal(hold_highlights(dim), dim)


def test_what_is_held_rises_with_what_comes_and_begins_as_it_does():
    over = np.linspace(0, 12, 2401, dtype=np.float32)
    found = held(over)
    assert found[0] == 0 and (np.diff(found) > 0).all() and (found <= over + 1e-6).all()
    assert np.diff(found)[0] / np.diff(over)[0] == pytest.approx(1, abs=0.02)
    assert 2.0 ** (KNEE + found[-1]) < 1.6


def test_the_same_picture_at_another_size_is_held_alike():
    small = wood(5)
    large = np.repeat(np.repeat(small, 4, axis=0), 4, axis=1)
    again = hold_highlights(large).reshape(SIZE[0], 4, SIZE[1], 4, 3).mean(axis=(1, 3))
    assert np.abs(np.log2(again / hold_highlights(small))).mean() < 0.1
