"""What a layer tapes must put the lines where the layout has them."""

import numpy as np
import pytest
from paper_scenes import ASKEW, PLAIN, laid

from preview.paper.setting_out import chalk_in_field, directions, set_out, tape, wall_lengths
from preview.room.measured import build_room
from preview.room.places import wall_name
from tests.strategies import box, make_job, opening

INCH = 0.0254


@pytest.mark.parametrize("scene", [PLAIN, ASKEW])
def test_taping_back_finds_the_line_and_the_start(scene):
    """Walking a tape's length from its foot, square to the wall's run, ends on the chalk line."""
    for floor in laid(scene):
        lines = set_out(floor.room, floor.layout)
        along, left = directions(floor.layout)
        for each in (lines.left_near, lines.right_near, lines.left_far, lines.right_far):
            sign = 1 if each in (lines.left_near, lines.left_far) else -1
            end = each.foot - sign * each.length * left
            off = (end - floor.layout.chalk_line[0]) @ left
            assert abs(off) < 1e-9
        assert np.allclose(lines.start.foot + lines.start.length * along, floor.layout.start_point, atol=1e-9)


def test_in_a_rectangle_one_pair_of_distances_does_and_adds_up():
    floor = laid(PLAIN)[0]
    lines = set_out(floor.room, floor.layout)
    assert lines.parallel
    assert (lines.left_near.wall, lines.right_near.wall) == (4, 2)
    assert lines.left_near.length + lines.right_near.length == pytest.approx(180 * INCH, abs=1e-12)
    # The centre of the room is 90 in from either wall, and the chalk line lies its offset to the right of it.
    assert lines.left_near.length == pytest.approx(90 * INCH + floor.layout.chalk_offset, abs=1e-9)


def test_layout_measures_agree_in_a_rectangle():
    floor = laid(PLAIN)[1]
    lines, measures = set_out(floor.room, floor.layout), floor.layout.measures
    assert lines.left_near.length == pytest.approx(measures["chalk_to_left_wall_near"], abs=1e-9)
    assert lines.right_far.length == pytest.approx(measures["chalk_to_right_wall_far"], abs=1e-9)


def test_out_of_square_takes_two_pairs():
    floor = laid(ASKEW)[0]
    lines = set_out(floor.room, floor.layout)
    assert not lines.parallel
    # The right wall leans 300 mm over 3000: between the two places its distance grows by a tenth of their gap.
    assert lines.right_far.length - lines.right_near.length == pytest.approx(0.1 * (lines.far - lines.near), abs=1e-9)


def test_angled_walls_are_passed_over_where_walls_run_with_the_line():
    """A bay at the near end: the distance is taped beyond it, between the two straight walls."""
    bay = PLAIN.replace(
        "[[0, 0], [180, 0], [180, 144], [0, 144]]",
        "[[60, -30], [120, -30], [150, 0], [180, 0], [180, 144], [0, 144], [0, 0], [30, 0]]",
    ).replace("offset = 40\nwidth = 60", "offset = 5\nwidth = 40")
    floor = laid(bay)[0]
    lines = set_out(floor.room, floor.layout)
    assert (lines.left_near.wall, lines.right_near.wall) == (6, 4)
    assert lines.near > 25.25 * INCH  # the bay less the border line


def test_tape_from_outside_finds_no_wall():
    room = laid(PLAIN)[0].room
    with pytest.raises(ValueError, match="outside the room"):
        tape(room, np.array([-1.0, 1.0]), np.array([-1.0, 0.0]))


def test_tape_on_the_wall_measures_nothing():
    room = laid(PLAIN)[0].room
    assert tape(room, np.array([0.0, 1.0]), np.array([-1.0, 0.0])).length == 0


def test_chalk_line_is_clipped_to_the_field():
    floor = laid(PLAIN)[0]
    assert np.allclose(chalk_in_field(floor.layout), floor.layout.chalk_line)


def test_walls_are_named_by_what_stands_in_them():
    room = laid(PLAIN)[0].room
    assert [wall_name(room, 1), wall_name(room, 2)] == ["wall 1 (with the archway)", "wall 2"]
    assert np.allclose(wall_lengths(room), np.array([180, 144, 180, 144]) * INCH)


def test_things_in_one_wall_are_told_by_count():
    wall = [opening(1, 0.2 + n, 0.6, kind, f"{kind} {n}") for n, kind in enumerate(["door", "window", "window"])]
    room = build_room(make_job(corners=box(0, 0, 5, 4), openings=[*wall, opening(3, 1, 1, "window", "bay"),
        opening(4, 0.5, 1, "door", "hall"), opening(4, 2.5, 1, "cased opening", "arch")]))  # fmt: skip
    assert wall_name(room, 1) == "wall 1 (with the door 0 and 2 windows)"
    assert wall_name(room, 3) == "wall 3 (with the bay)"
    assert wall_name(room, 4) == "wall 4 (with 2 openings)"
