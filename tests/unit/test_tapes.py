"""Walls and diagonals as taped: what is held, what is blamed, what is said, and what is refused."""

import math
from dataclasses import replace

import numpy as np
import pytest

from preview.errors import SceneError
from preview.paper.words.check_text import check_text
from preview.room.measured import build_room
from preview.room.tapes import DOUBTFUL, REFUSED, adjust_walk, inside_diagonals, spread, worth_taping
from preview.scene import read_scene
from preview.scene.job import Diagonal, Leg
from preview.steps import lay_in
from preview.units import format_length
from tests.strategies import INCH, box, make_job, opening

PENTAGON = np.array([(0, 0), (4.1, 0), (4.3, 3.2), (2.0, 4.4), (-0.2, 3.0)])
ELL = np.array([(0, 0), (5, 0), (5, 2), (2, 2), (2, 4), (0, 4)])
NOMINAL = {"PENTAGON": ("E", "N", "WNW", "WSW", "S"), "ELL": ("E", "N", "W", "N", "W", "S")}
ALL = [(1, 3), (1, 4), (2, 4), (2, 5), (3, 5)]


def legs(corners, letters=None):
    """Return the walls of `corners` with true lengths, and directions as said: true ones, or degrees for letters."""
    names = dict(zip(("E", "N", "W", "S", "WNW", "WSW"), (0, 90, 180, 270, 157.5, 202.5), strict=True))
    step = np.roll(corners, -1, axis=0) - corners
    said = np.arctan2(step[:, 1], step[:, 0]) if letters is None else np.radians([names[each] for each in letters])
    return [Leg(float(b), math.hypot(*s), f"wall {k}") for k, (b, s) in enumerate(zip(said, step, strict=True), 1)]


def diagonals(corners, pairs, wrong=None):
    """Return true diagonals, with `wrong` {pair: metres too long}."""
    return [Diagonal(a, b, math.dist(corners[a - 1], corners[b - 1]) + (wrong or {}).get((a, b), 0)) for a, b in pairs]


def room_of(walls, taped, **more):
    job = make_job(walk=walls, **more)
    return build_room(replace(job, room=replace(job.room, diagonals=tuple(taped))))


@pytest.mark.parametrize("corners", [PENTAGON, PENTAGON[::-1] - PENTAGON[-1]], ids=["left", "right"])
def test_nominal_directions_are_not_held_where_the_tapes_fix_the_shape(corners):
    """Walked in letters of the compass, off by up to 22 degrees, exact tapes give the exact room, either way round."""
    walls = legs(corners)
    rounded = [replace(leg, bearing=round(leg.bearing / (math.pi / 8)) * math.pi / 8) for leg in walls[1:]]
    found, adjustment = adjust_walk([walls[0], *rounded], diagonals(corners, [(1, 3), (1, 4)]))
    np.testing.assert_allclose(found, corners, atol=1e-7)
    assert (adjustment.bearings, adjustment.spare) == ("free", 0)
    assert adjustment.turns[0] == pytest.approx(0, abs=1e-9)
    assert np.abs(adjustment.turns).max() > math.radians(3)


def test_a_reflex_corner_stays_reflex():
    """The first guess chooses between the shapes that mirror corner 4 in the line from 3 to 5."""
    found, adjustment = adjust_walk(legs(ELL, NOMINAL["ELL"]), diagonals(ELL, [(1, 4), (2, 4), (4, 6)]))
    np.testing.assert_allclose(found, ELL, atol=1e-7)
    assert adjustment.bearings == "free"


def test_directions_join_loosely_where_the_shape_is_open():
    """One diagonal of the two a pentagon needs: its own triangle is exact, the rest near the directions walked."""
    found, adjustment = adjust_walk(legs(PENTAGON), diagonals(PENTAGON, [(1, 3)]))
    assert adjustment.bearings == "loose"
    np.testing.assert_allclose(found, PENTAGON, atol=1e-6)
    assert adjustment.wanted and len(adjustment.wanted) == 1
    off = [replace(leg, bearing=leg.bearing + math.radians(1.5 * (k == 3))) for k, leg in enumerate(legs(PENTAGON))]
    bent, _ = adjust_walk(off, diagonals(PENTAGON, [(1, 3)]))
    lengths = np.hypot(*(np.roll(bent, -1, axis=0) - bent).T)
    np.testing.assert_allclose(lengths, [leg.length for leg in off], atol=1e-3)
    assert 0.005 < np.abs(bent - PENTAGON).max() < 0.1


def test_a_flat_triangle_does_not_fix_a_corner():
    """A corner in the middle of a straight wall: five lengths in number, and yet it may move sideways."""
    straight = np.array([(0, 0), (2, 0), (4, 0), (2, 3)])
    walls = [
        replace(leg, bearing=b) for leg, b in zip(legs(straight), legs(straight), strict=True) for b in [b.bearing]
    ]
    found, adjustment = adjust_walk(walls, diagonals(straight, [(1, 3)]))
    assert adjustment.bearings == "loose"
    np.testing.assert_allclose(found, straight, atol=1e-4)
    assert adjust_walk(walls, diagonals(straight, [(2, 4)]))[1].bearings == "free"


def test_with_one_spare_measure_nobody_is_blamed():
    square = np.array(box(0, 0, 4, 5))
    _, adjustment = adjust_walk(legs(square), diagonals(square, [(1, 3), (2, 4)], {(2, 4): 0.03}))
    assert adjustment.spare == 1
    sizes = [abs(each.normalized) for each in adjustment.measures]
    np.testing.assert_allclose(sizes, sizes[0], rtol=1e-3)
    assert DOUBTFUL < sizes[0] < REFUSED
    assert len(adjustment.suspects) == 6
    (warning,) = room_of(legs(square), diagonals(square, [(1, 3), (2, 4)], {(2, 4): 0.03})).warnings
    assert warning == (
        'the tapes disagree: diagonal 2 to 4, 21\' 1 1/4", comes out 1 3/16" shorter by the others, which is spread '
        "over all; before boards are cut, with one measure to spare none can be told from the others: tape walls and "
        "diagonals again"
    )


@pytest.mark.parametrize("pair", ALL)
def test_with_more_the_wrong_tape_stands_clear(pair):
    taped = diagonals(PENTAGON, ALL, {pair: 0.05})
    with pytest.raises(SceneError) as caught:
        room_of(legs(PENTAGON), taped)
    error = caught.value
    assert error.place.key == f"room.diagonals[{ALL.index(pair) + 1}].length"
    name = f"diagonal {pair[0]} to {pair[1]}"
    assert f"the tapes disagree: {name}" in error.found and "that may be spread" in error.found
    assert error.remedy.startswith(f"{name} stands clear of the others, which agree without it and make it ")


def test_a_wrong_wall_is_named_by_its_own_key():
    walls = legs(PENTAGON)
    walls[2] = replace(walls[2], length=walls[2].length - 0.06)
    with pytest.raises(SceneError) as caught:
        room_of(walls, diagonals(PENTAGON, ALL))
    assert caught.value.place.key == "room.walk[3]"
    assert "wall 3 stands clear" in caught.value.remedy


@pytest.mark.parametrize("over", [0.1, 1.0, 2.0])
def test_diagonals_that_no_triangle_has_are_refused_though_none_is_to_spare(over):
    """Three diagonals of a hexagon, as many as it needs: one longer than the other two together meets no shape."""
    turns = np.radians(np.arange(6) * 60)
    corners = 3 * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    short, long = 2.7, 5.4 + over
    taped = [Diagonal(1, 3, short), Diagonal(3, 5, short), Diagonal(1, 5, long)]
    with pytest.raises(SceneError) as caught:
        room_of(legs(corners), taped)
    assert caught.value.place.key.startswith("room.")


def test_two_wrong_tapes_are_not_told_as_one():
    with pytest.raises(SceneError) as caught:
        room_of(legs(PENTAGON), diagonals(PENTAGON, ALL, {(1, 3): 0.3, (2, 5): -0.25}))
    assert "stands clear" not in caught.value.remedy
    assert caught.value.place.key.startswith("room.")


def test_residuals_and_sigma_are_told_by_check():
    """Each length that shows a change is printed with what the tape said, and all of them add up to what is drawn."""
    corners = PENTAGON / INCH
    taped = [round(math.dist(corners[a], corners[(a + 1) % 5]) * 8) / 8 for a in range(5)]
    across = [round(math.dist(corners[a - 1], corners[b - 1]) * 8) / 8 for a, b in ALL]
    across[1] += 0.5
    walk = [f'"{way} {length}"' for way, length in zip(("E", "5", "297", "237", "176"), taped, strict=True)]
    rows = [f"{{ from = {a}, to = {b}, length = {length} }}" for (a, b), length in zip(ALL, across, strict=True)]
    text = (
        f'units = "in"\nroom.walk = [{", ".join(walk)}]\nroom.diagonals = [{", ".join(rows)}]\nfloor.board_width = 4\n'
    )
    (job,) = read_scene(text, "room.toml")
    room = build_room(job)
    said = " ".join(check_text([lay_in(room, job)]).split())
    changes = {each.name: each.change / INCH for each in room.adjustment.measures}
    assert max(changes, key=lambda name: abs(changes[name])) == "diagonal 1 to 4"
    assert "5 walls and 5 diagonals, 3 to spare; changed by up to" in said and ", diagonal 1 to 4;" in said
    assert f"(taped {format_length(across[1] * INCH, 'in')}, " in said
    assert "only that of wall 1 counts" in said and "(standard deviation)" in said
    assert not [each for each in room.warnings if "tapes" in each]


def test_corners_are_held_and_diagonals_check_them():
    corners = box(0, 0, 4, 3)
    job = make_job(corners)
    for off, key in ((0.002, None), (0.012, "warning"), (0.03, "error")):
        taped = (Diagonal(2, 4, 5.0 - off), Diagonal(1, 3, 5.0))
        with_them = replace(job, room=replace(job.room, diagonals=taped))
        if key == "error":
            with pytest.raises(
                SceneError, match="diagonal 2 to 4 is 16' 3 11/16\" by the tape and 16' 4 7/8\""
            ) as caught:
                build_room(with_them)
            assert caught.value.place.key == "room.diagonals[1].length"
            assert "give the walls as a walk" in caught.value.remedy
            continue
        room = build_room(with_them)
        np.testing.assert_array_equal(room.corners, corners)
        assert [each for each in room.warnings if "by the tape" in each] == (list(room.warnings) if key else [])
        assert bool(room.warnings) == bool(key)


def test_a_tape_through_a_wall_is_told():
    room = room_of(legs(ELL), diagonals(ELL, [(1, 4), (2, 4), (4, 6), (3, 5)]))
    assert room.warnings == ("diagonal 3 to 5 does not lie inside the room: check its corners' numbers",)


def test_a_wall_far_from_the_direction_walked_is_told():
    walls = legs(PENTAGON)
    walls[2] = replace(walls[2], bearing=walls[2].bearing + math.radians(20))
    (warning,) = room_of(walls, diagonals(PENTAGON, ALL)).warnings
    assert warning.startswith('wall 3, walked as "wall 3", comes out 20° clockwise of that')


def test_an_opening_up_to_a_corner_that_was_moved_stays_on_its_wall():
    square = np.array(box(0, 0, 4, 3))
    taped = diagonals(square, [(1, 3), (2, 4)], {(1, 3): -0.012, (2, 4): -0.012})
    room = room_of(legs(square), taped, openings=[opening(1, 3.0, 1.0)])
    assert room.adjustment.measures[0].change < -0.001
    np.testing.assert_allclose(room.openings[0].b, room.corners[1], atol=1e-9)


def test_diagonals_inside_a_room():
    """From 2 to 6 and from 3 to 5 of the L a tape would leave the room."""
    assert inside_diagonals(ELL) == [(1, 3), (1, 4), (1, 5), (2, 4), (4, 6)]
    assert inside_diagonals(np.array(box(0, 0, 4, 3))) == [(1, 3), (2, 4)]


def test_the_most_telling_diagonals_come_first():
    """The first three fix the L's shape; no more are asked for than check it once over."""
    pairs = worth_taping(legs(ELL, NOMINAL["ELL"]))
    assert len(pairs) == 5 and set(pairs) <= set(inside_diagonals(ELL))
    _, adjustment = adjust_walk(legs(ELL, NOMINAL["ELL"]), diagonals(ELL, pairs[:3]))
    assert adjustment.bearings == "free"


def test_a_large_misclosure_that_is_spread_is_told():
    def walk(last):
        turns = (0, 90, 180, 270)
        return [Leg(math.radians(t), n * INCH, "") for t, n in zip(turns, (186, 148, last, 148), strict=True)]

    assert build_room(make_job(walk=walk(186.5))).warnings == ()
    assert build_room(make_job(walk=walk(187.25))).warnings == (
        'the walk ends 1 1/4" from where it began, which is spread over the walls; before boards are cut, measure '
        "wall 1 and wall 3 again, or tape the diagonals",
    )


def test_a_tapes_standard_deviation():
    assert spread(0.0) == 0.003
    assert spread(10.0) == pytest.approx(0.005)


def test_check_says_that_directions_are_held_loosely_and_what_would_fix_the_shape():
    walls = ["E 4.1 m", "3.6 3.206 m", "297.6 2.594 m", "237.5 2.608 m", "176.2 3.007 m"]
    text = f'units = "m"\nroom.walk = {walls}\nroom.diagonals = [{{ from = 1, to = 3, length = 5.36 }}]\n'
    (job,) = read_scene(f'{text}floor.board_width = "90 mm"\n', "room.toml")
    room = build_room(job)
    said = check_text([lay_in(room, job)])
    (first, last), *rest = room.adjustment.wanted
    assert not rest and (first, last) in ((1, 4), (3, 5))  # what braces the other four corners
    row = next(line for line in said.splitlines() if line.startswith("  Directions"))
    assert "taken as right to 1°, as walls and diagonals leave the shape open" in row
    assert f"; diagonal {first}-{last} would fix it" in row
