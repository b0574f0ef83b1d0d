"""Where the fibres point, how the grain flows round knots, and what stands open."""

import dataclasses

import numpy as np
import pytest

from preview.wood import knots, log
from preview.wood.material_types import Figure
from preview.wood.smooth import make_grid
from preview.wood.species import load_grade, load_species, load_stain
from preview.wood.strip import STEEPEST, Timber, draw, look_of

GRID = make_grid((0.4, 0.1), 1000.0)
INTO = np.float32([0.0005])
STRAIGHT = Figure(wave=0.0)


def face(cut, seed=1):
    return log.saw(np.random.default_rng(seed), cut, GRID)


def test_fibres_keep_to_their_ring():
    """Without waves of their own: going along them, the distance from the pith does not change, to first order."""
    for cut in ("plainsawn", "riftsawn", "quartersawn"):
        sawn = face(cut)
        angle, lean = log.fibre_directions(np.random.default_rng(0), sawn, STRAIGHT)
        coarse = sawn.radial.reshape(50, 2, 200, 2).mean(axis=(1, 3))
        step = 2 / GRID.density
        along, across = np.gradient(coarse, axis=1) / step, np.gradient(coarse, axis=0) / step
        rho, tau = log.section(sawn.angle, sawn.turn, GRID, sawn.towards, sawn.along)
        outward = sawn.bark * (np.cos(sawn.angle) * rho - np.sin(sawn.angle) * tau) / np.hypot(rho, tau)
        drift = along + angle * across + lean * outward[::2, ::2]
        assert np.sqrt((drift**2).mean()) < 0.15 * np.sqrt((along**2).mean())


def test_interlock_shows_as_lean_on_radial_faces_alone():
    """Ribbons are bands along the grain in which fibres lean up and down by turns."""

    def lean_of(cut):
        return log.fibre_directions(np.random.default_rng(0), face(cut), Figure(wave=0.0, interlock=6.0))[1]

    def swing(lean):
        return np.degrees(np.ptp(lean.mean(axis=1)))

    assert 9 < swing(lean_of("quartersawn")) < 14
    assert swing(lean_of("plainsawn")) < 6


def test_curl_waves_along_the_grain():
    sawn = face("plainsawn")
    curled = Figure(wave=0.0, curly=1.0, curl=8.0, curl_span=0.01)
    extra = [log.fibre_directions(np.random.default_rng(0), sawn, each)[1] for each in (curled, STRAIGHT)]
    waves = np.abs(np.fft.rfft(extra[0] - extra[1], axis=1)).mean(axis=0)
    assert 1 / 0.014 < (np.argmax(waves[5:]) + 5) / GRID.size[0] < 1 / 0.007


def test_grain_flows_round_a_knot():
    """Grain that would run into a knot passes beside it, and fibres turn away before it; far off nothing changes."""
    sawn = face("plainsawn")
    found = knots.find_knots(np.random.default_rng(2), 1, sawn)
    came_from = knots.flow(sawn, found)
    moved = GRID.y[:, None] - came_from
    knot = found[0]
    row = int(knot.middle * GRID.density)
    above, below = moved[min(row + 8, 99)], moved[max(row - 8, 0)]
    assert above.max() > 0.001 and below.min() < -0.001  # pushed away on both sides
    assert np.abs(moved[:, : knot.columns.start]).max(initial=0) == 0
    assert (np.gradient(came_from, axis=0) > -1e-6).mean() > 0.99  # in order, none over another
    angle, lean = (np.zeros((50, 200), np.float32) for _ in range(2))
    knots.bend(angle, lean, came_from, sawn, found)
    assert np.degrees(np.abs(angle).max()) > 15
    assert np.abs(lean).max() > 0.4


def test_knots_are_round_on_plainsawn_and_spikes_on_quartersawn_faces():
    def stretch(cut):
        """How many times as wide as long along the grain knots are."""
        times = []
        for seed in range(12):
            sawn = face(cut, seed)
            for knot in knots.find_knots(np.random.default_rng(seed), 3, sawn):
                inside = knot.q < 1
                if inside.any():
                    times.append(inside.any(axis=1).sum() / max(inside.sum(axis=1).max(), 1))
        return np.median(times)

    assert stretch("plainsawn") < 1.3
    assert stretch("quartersawn") > 2.5


def test_what_a_strip_s_bytes_say():
    """Angle and lean about 128 by `STEEPEST`, shine about 128 on average, pores where it is dark."""
    wood = Timber(load_species("red oak"), "plainsawn", load_grade("select"), load_stain("none"), 7)
    strip = draw((3,), wood, GRID.size, GRID.density)
    assert strip.picture.shape == (100, 400, 4) and strip.grain.shape == (50, 200, 3)
    look = look_of(np.random.default_rng(np.random.SeedSequence((3,))), wood, GRID, INTO)
    assert np.allclose((strip.grain[..., 1] - 128.0) * STEEPEST / 127, look.lean, atol=STEEPEST / 127)
    assert strip.grain[..., 2].mean() == pytest.approx(128, abs=2)
    grey = strip.picture[..., :3].mean(axis=-1)
    porous = strip.picture[..., 3] > 150
    assert 0.02 < porous.mean() < 0.4
    assert grey[porous].mean() < grey[~porous].mean() - 10


def test_heartwood_lies_inside_sapwood():
    """The other wood is the outer one where heartwood is sold, and the inner one where sapwood is."""
    everyone = dataclasses.replace(load_grade("select"), sapwood=1.0)
    for name, sign in (("walnut", 1), ("hard maple", -1)):
        wood = Timber(load_species(name), "quartersawn", everyone, load_stain("none"), 7)
        for seed in range(4):
            look = look_of(np.random.default_rng(seed), wood, GRID, INTO)
            other = look.other > 0.5
            assert sign * (look.face.radial[other].mean() - look.face.radial[~other].mean()) > 0.005
