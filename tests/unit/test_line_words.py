"""Where the centre line lies, by what one sees at its ends: doorways, hearths, windows, and walls by their names."""

from __future__ import annotations

import numpy as np
import pytest
from paper_scenes import ASKEW, PLAIN, laid

from preview.data import data_folder
from preview.floor.features import features, meetings
from preview.paper.words.compare_rows import compared
from preview.paper.words.line_words import choice_words, line_words, shared_features
from preview.scene.read import load_scene, read_scene
from preview.steps import lay_jobs


def words(floor):
    return line_words(floor.room, floor.layout, floor.job.units)


@pytest.fixture(scope="module")
def dining():
    return lay_jobs(load_scene(data_folder("scenes") / "dining-room.toml"))


def test_hearth_against_archway(dining):
    """By hand: the archway's middle is 4' 2" + 2' 6" = 6' 8" from the west wall, the hearth's (4' 7" + 10' 1") / 2 =
    7' 4", as the room's; so the line on the room is 8" east of the archway's middle, that on the archway 8" west of
    the hearth's."""
    on_room, on_archway, wide = dining
    assert words(on_room) == (
        'The centre line starts 8" from the middle of the hall archway, towards the east wall (wall 2), '
        "and ends in the middle of the hearth.",
        "It meets the north wall (wall 3), in its middle.",
    )
    assert words(wide) == words(on_room)
    assert words(on_archway) == (
        'The centre line starts in the middle of the hall archway and ends 8" from the middle of the hearth, '
        "towards the west wall (wall 4).",
        "It meets the north wall (wall 3), 6' 8\" from its corner with the west wall (wall 4).",
    )
    assert choice_words(dining) == (
        'The hall archway and the hearth are not in line: their middles lie 8" apart. '
        "The pattern can run to the middle of one of them, not of both.",
        '“On the room” and “Five-inch boards”: in the middle of the hearth, 8" off the middle of the hall archway.',
        '“On the archway”: in the middle of the hall archway, 8" off the middle of the hearth.',
    )


def test_no_choice_is_told_where_there_is_none(dining):
    assert choice_words([dining[0], dining[2]]) == () == choice_words(dining[:1])
    assert choice_words(laid(PLAIN)) == ()  # nothing stands over against the archway


def test_off_the_only_feature_and_the_far_wall_from_its_nearer_corner():
    """The archway's middle is 70 in along a wall of 180."""
    base, archway = laid(PLAIN)
    assert words(base) == (
        'The centre line starts 20" from the middle of the archway, towards the east wall (wall 2), '
        "and ends at the north wall (wall 3), in its middle.",
    )
    assert words(archway) == (
        "The centre line starts in the middle of the archway and ends at the north wall (wall 3), "
        "5' 10\" from its corner with the west wall (wall 4).",
    )


def test_a_sight_line_that_the_courses_leave():
    """The archway's wall is turned by 2 in 180: 144 in on, less the 0.8 in that it rises, that makes 1 9/16 in."""
    floor = laid(PLAIN.replace("[180, 0]", "[180, 2]").replace("run = 90", "run = 90\ncourses = 'any'"))[1]
    assert words(floor)[1:] == (
        'Seen straight in through the archway, the line has moved 1 9/16" towards the east wall (wall 2) '
        "by the far wall.",
    )


def test_a_line_may_run_the_other_way_and_names_may_have_commas():
    """The same two places, told from the other end: the sides of the room stay what they are."""
    text = PLAIN.replace("run = 90", "run = 270").replace("offset = 40", "offset = 50").replace('"archway"', '"a, b"')
    base = laid(text)[0]
    assert words(base) == (
        "The centre line starts at the north wall (wall 3), in its middle, and ends "
        '10" from the middle of the “a, b”, towards the east wall (wall 2).',
        "It meets the south wall (wall 1), in its middle.",
    )


def test_what_stands_on_the_line_and_what_is_out_of_reach():
    """A post 1650 mm from the west wall, its middle 350 mm off the line at 2000; the door's middle, at 1050, is too far
    off to be taken for what the pattern is centred on, and so is a cabinet."""
    square = ASKEW.replace("[4300, 3000]", "[4000, 3000]").replace("north = 30", "north = 0")
    floor = laid(square)[0]
    assert words(floor) == (
        "The centre line starts at the south wall (wall 1), in its middle, and ends at the north wall (wall 3), "
        "in its middle.",
        "On its way it passes the pillar 350 mm from its middle, towards the east wall (wall 2).",
    )
    assert {each.name for each in features(floor.room, floor.layout)} == {"Flurtür", "window", "pillar"}
    cabinet = laid(square.replace('"column"', '"cabinet"'))[0]
    assert "pillar" not in " ".join(words(cabinet))


@pytest.mark.parametrize("turn", [0, 17, 45, 90, 133, 200, 300])
def test_turning_the_room_changes_nothing_but_the_names_of_its_walls(turn):
    """A room with its features told the same in every position on the drawing, up to what the walls are called."""

    def scene(degrees):
        angle = np.radians(degrees)
        turned = np.array([[0, 0], [180, 0], [180, 144], [0, 144]]) @ [
            [np.cos(angle), np.sin(angle)],
            [-np.sin(angle), np.cos(angle)],
        ]
        text = PLAIN.replace("[[0, 0], [180, 0], [180, 144], [0, 144]]", str(turned.tolist()))
        return lay_jobs(read_scene(text.replace("run = 90", f"run = {(90 + degrees) % 360}"), "turned.toml"))

    plain, turned = scene(0), scene(turn)
    for before, after in zip(plain, turned, strict=True):
        one, other = (features(each.room, each.layout) for each in (before, after))
        assert [each.name for each in one] == [each.name for each in other]
        assert [each.aside for each in one] == pytest.approx([each.aside for each in other], abs=1e-6)
        met, again = (meetings(each.room, each.layout) for each in (before, after))
        assert [each.wall for each in met] == [each.wall for each in again]
        assert [each.start for each in met] == pytest.approx([each.start for each in again], abs=1e-6)
    assert shared_features(plain)[1]["archway"].aside == pytest.approx(0, abs=1e-9)


def test_in_a_room_that_is_nowhere_square_a_doorway_stays_at_its_end_of_the_line():
    """Its wall is turned by 20 degrees to the courses: its middle lies beside the line, not before its start."""
    floor = laid(PLAIN.replace("[180, 144]", "[180, 205]").replace("[180, 0]", "[180, 65]"))[0]
    said = words(floor)
    assert said[0].startswith("The centre line starts ") and "from the middle of the archway" in said[0]
    assert "On its way" not in " ".join(said)
    turned = laid(PLAIN.replace("floor.center =", "floor.run = 80\nfloor.center ="))
    assert choice_words([turned[0], turned[1]]) == ()


TURRET = """
title = "Turret"
units = "in"
[room]
corners = [[0, 0], [150, 0], [150, 90], [110, 130], [0, 130]]
[[openings]]
name = "door"
kind = "door"
wall = 1
offset = 50
width = 34
height = 80
[[openings]]
name = "loft window"
kind = "window"
wall = 4
offset = 5
width = 60
sill = 30
height = 50
[floor]
board_width = 4
run = 75
courses = "any"
center = { point = [83.0769, 60] }
"""
"""The line runs through (67, 0) at 75 degrees: it is 67 + y / tan 75 from wall 5, 15 degrees from square to walls 1 and
4, and meets wall 4 (y = 130) at 101.833, 8.167 from its corner with wall 3 at 110."""


def test_a_wall_at_an_angle_to_the_line_is_measured_along():
    """By hand: the window's middle is at 110 - 5 - 60 / 2 = 75, so the line meets its wall 26.833 from there. Square
    to the line it would be 26.833 cos 15 = 25.919. The door's middle is at 67."""
    (floor,) = laid(TURRET)
    assert words(floor) == (
        "The centre line starts in the middle of the door and ends "
        "2' 2 13/16\" from the middle of the loft window, measured along its wall towards wall 3.",
        'It meets wall 4, 8 3/16" from its corner with wall 3.',
    )
    (row,) = (line for line in compared([floor]) if line.label == "At the loft window")
    assert row.values == ("2' 2 13/16\" off, measured along its wall towards wall 3",)


def test_a_wall_that_ends_before_the_line_is_measured_square_to_the_line():
    """The line moved to meet y = 130 at 112, past the end of wall 4; the window's middle is at 110 - 2 - 40 / 2 = 88,
    so 24 cos 15 = 23.182 off."""
    moved = TURRET.replace("83.0769", "93.2436").replace("offset = 5\nwidth = 60", "offset = 2\nwidth = 40")
    (floor,) = laid(moved)
    told = 'ends 23 3/16" from the middle of the loft window, measured square to the centre line, towards wall 2.'
    assert told in words(floor)[0]


def test_a_hearth_at_an_angle_to_the_line_is_measured_along_its_front():
    """A hearth of 50 x 16 in before wall 4 in place of the window. Its front, at y = 114, is met at 67 + 114 / tan 75 =
    97.546; its middle is at 75, so 22.546 along the front."""
    head, tail = TURRET.split('[[openings]]\nname = "loft window"')
    hearth = (
        '[[obstacles]]\nname = "hearth"\nkind = "hearth"\ncorners = [[50, 114], [100, 114], [100, 130], [50, 130]]\n'
    )
    (floor,) = laid(f"{head}{hearth}height = 1\n[floor]{tail.split('[floor]')[1]}")
    told = '22 9/16" from the middle of the hearth, measured along its front towards wall 2.'
    assert told in words(floor)[0]


@pytest.mark.parametrize("turn", [0, 40, 200])
def test_what_is_taped_along_a_wall_leads_to_where_the_line_meets_it(turn):
    """Two ways to one place: from the window's middle along the wall, and from the corner that the line's end is told
    from."""
    angle = np.radians(turn)
    corners = np.array([[0, 0], [150, 0], [150, 90], [110, 130], [0, 130], [80, 60]]) @ [
        [np.cos(angle), np.sin(angle)],
        [-np.sin(angle), np.cos(angle)],
    ]
    outline, point = str(corners[:5].round(9).tolist()), str(corners[5].round(9).tolist())
    tried = set()
    for run in (68, 75, 88, 97, 104):
        scene = TURRET.replace("run = 75", f"run = {run + turn}").replace("[83.0769, 60]", point)
        (floor,) = laid(scene.replace("[[0, 0], [150, 0], [150, 90], [110, 130], [0, 130]]", outline))
        met = meetings(floor.room, floor.layout)[1]
        seen = next(each for each in features(floor.room, floor.layout) if each.name == "loft window")
        if met.wall == 4:
            assert seen.by == "wall" and seen.towards in (3, 5)
            tried.add(seen.towards)
            onward = 1 if seen.towards == 5 else -1
            assert 35 * 0.0254 + onward * abs(seen.taped) == pytest.approx(met.start, abs=1e-6)
            assert abs(seen.taped) * abs(np.sin(np.radians(run))) == pytest.approx(abs(seen.aside), abs=1e-9)
    assert tried == {3, 5}
