"""Rooms of every kind, skew ones among them, walked in nominal directions and taped: the corners that come out.

Each generated outline is given its true lengths, or lengths with the errors of a tape, and directions as somebody would
say them: off by a few degrees.
"""

import math

import numpy as np
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from preview.errors import SceneError
from preview.room.adjust import _length_rows
from preview.room.measured import build_room
from preview.room.tapes import adjust_walk, inside_diagonals, spread
from preview.scene.job import Diagonal, Leg, RoomMeasure
from tests.strategies import make_job, outlines

ROOMS = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
SHORTEST = 0.3
"""A wall shorter than this (metres) says too little of its direction for the first guess to be near."""


@st.composite
def taped(draw, most=0.0):
    """Return true corners from (0, 0), walls and all diagonals inside, with errors of up to `most` spreads."""
    corners = np.array(draw(outlines()))
    corners = corners - corners[0]
    step = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(*step.T)
    assume(lengths.min() > SHORTEST)
    pairs = inside_diagonals(corners)
    assume(pairs)
    seed = draw(st.integers(0, 2**16))
    chance = np.random.default_rng(seed)
    off = np.radians(chance.uniform(-4, 4, len(corners)))
    off[0] = 0.0
    bearings = np.arctan2(step[:, 1], step[:, 0]) + off

    def tape(length):
        return float(length + chance.uniform(-most, most) * spread(length))

    walls = [Leg(float(b), tape(n), f"wall {k}") for k, (b, n) in enumerate(zip(bearings, lengths, strict=True), 1)]
    diagonals = [Diagonal(a, b, tape(math.dist(corners[a - 1], corners[b - 1]))) for a, b in pairs]
    return corners, walls, diagonals


@ROOMS
@given(taped())
def test_exact_measures_give_exact_corners(room):
    corners, walls, diagonals = room
    found, adjustment = adjust_walk(walls, diagonals)
    assume(adjustment.bearings == "free")
    np.testing.assert_allclose(found, corners, atol=1e-6)
    assert all(abs(each.change) < 1e-7 for each in adjustment.measures)
    assert not adjustment.suspects


@ROOMS
@given(taped(most=2.0))
def test_corners_are_within_what_the_tapes_allow(room):
    """The change of all corners is at most the tapes' errors over the least singular value, to first order."""
    corners, walls, diagonals = room
    found, adjustment = adjust_walk(walls, diagonals)
    assume(adjustment.bearings == "free")
    ends = np.array([(each.first - 1, each.last - 1) for each in adjustment.measures])
    true = np.hypot(*(corners[ends[:, 1]] - corners[ends[:, 0]]).T)
    spreads = np.array([each.spread for each in adjustment.measures])
    errors = (np.array([each.measured for each in adjustment.measures]) - true) / spreads
    rows = _length_rows(ends, corners) / spreads[:, None]
    least = np.linalg.svd(rows, compute_uv=False)[2 * len(corners) - 4]
    a, b = found - found.mean(axis=0), corners - corners.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)  # the turn that lays one on the other (Kabsch): errors turn the whole, unseen
    moved = np.linalg.norm(a @ (u @ np.diag([1, np.sign(np.linalg.det(u @ v))]) @ v) - b)
    assert moved <= 1.1 * np.linalg.norm(errors) / least + 1e-6


@ROOMS
@given(taped(most=2.0))
def test_adjusted_lengths_are_those_between_the_corners(room):
    _, walls, diagonals = room
    found, adjustment = adjust_walk(walls, diagonals)
    for each in adjustment.tapes:
        assert abs(math.dist(found[each.first - 1], found[each.last - 1]) - each.adjusted) < 1e-9
    shares = sum(each.redundancy for each in adjustment.measures)
    assert abs(shares - adjustment.spare) < 1e-6
    np.testing.assert_allclose(found[0], 0, atol=1e-12)
    assert abs(math.remainder(math.atan2(*found[1][::-1]) - walls[0].bearing, 2 * math.pi)) < 1e-9


@ROOMS
@given(taped(most=1.0), st.data())
def test_a_wrong_tape_is_never_put_on_another_that_stands_clear(room, data):
    """One tape is 25 cm wrong: it is among the suspects, alone or not; with one measure to spare there are several."""
    _, walls, diagonals = room
    _, adjustment = adjust_walk(walls, diagonals)
    assume(adjustment.bearings == "free" and adjustment.spare)
    number = data.draw(st.integers(0, len(diagonals) - 1))
    wrong = diagonals[number]
    assume(adjustment.tapes[len(walls) + number].redundancy > 0.05)
    changed = list(diagonals)
    changed[number] = Diagonal(wrong.first, wrong.last, wrong.length + 0.25)
    _, found = adjust_walk(walls, changed)
    assume(found.bearings == "free")
    names = [each.name for each in found.suspects]
    assert f"diagonal {wrong.first} to {wrong.last}" in names
    if found.spare == 1:
        assert len(names) > 1


@ROOMS
@given(taped(most=3.0))
def test_a_taped_room_is_built_or_refused(room):
    _, walls, diagonals = room
    job = make_job(walk=walls, border=0)
    measure = RoomMeasure((), tuple(walls), 2.6, 0.0, 0.1, tuple(diagonals))
    try:
        built = build_room(type(job)(**{**job.__dict__, "room": measure}))
    except SceneError as error:
        assert error.place.key.startswith("room.")
    else:
        assert built.outline.is_valid and built.adjustment is not None
