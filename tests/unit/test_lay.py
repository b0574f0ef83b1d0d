"""The floor laid in plain rooms, where every number can be worked out by hand."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
import shapely

from preview.errors import SceneError
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.room.measured import build_room
from preview.scene.job import Center, Vent
from tests.strategies import INCH, box, make_job, obstacle, opening

DINING = box(0, 0, 176 * INCH, 206 * INCH)
ARCH = opening(1, 50 * INCH, 60 * INCH, "cased opening", "archway")


def lay(**kwargs):
    job = make_job(**{"corners": DINING, "openings": [ARCH], **kwargs})
    room = build_room(job)
    return room, lay_floor(room, job)


def along(layout, wall):
    """The one stretch of the field's edge along a wall."""
    (found,) = [each for each in layout.stretches if each.wall == wall]
    return found


def test_centred_dining_room():
    """176 in less two border lines of 4 3/4 in is 166 1/2: 12 courses of 20 in boards, chalk line 1.414 in right."""
    _, layout = lay()
    assert layout.count == 12
    assert layout.board.length == pytest.approx(20 * INCH)
    assert layout.border_line == pytest.approx(4.75 * INCH)
    assert layout.measures["stop_block"] == layout.board.length
    assert layout.chalk_offset == pytest.approx(4 / (2 * sqrt(2)) * INCH)
    assert layout.chalk_line[:, 0] == pytest.approx([(88 + sqrt(2)) * INCH] * 2)
    assert layout.center_line[:, 0] == pytest.approx([88 * INCH] * 2)
    assert layout.measures["chalk_to_left_wall_near"] == pytest.approx((88 + sqrt(2)) * INCH)
    assert layout.measures["chalk_to_right_wall_far"] == pytest.approx((88 - sqrt(2)) * INCH)
    assert along(layout, 1).triangles.shortest == pytest.approx(4 * INCH)
    assert layout.measures["center_offset"] == pytest.approx(0, abs=1e-12)


def test_start_point_is_the_corner_of_the_first_pair():
    """The start point lies on the chalk line, and the first left- and right-leaning boards both have a corner there."""
    _, layout = lay()
    start = layout.start_point
    assert start[0] == pytest.approx(layout.chalk_line[0, 0])
    pair = layout.pieces.key[:, 0] == 0
    corner = np.hypot(*(layout.pieces.origin - start).T) < 1e-9
    assert (pair & corner & (layout.pieces.role == Role.BOARD)).sum() == 2
    assert 0 <= start[1] - layout.chalk_line[0, 1] < sqrt(2) * 4 * INCH


def test_centre_on_the_sight_line():
    """The archway's middle is 80 in from the left wall, 8 in left of the room's: so is the centre line."""
    _, layout = lay(center=Center("opening", opening="archway"))
    assert layout.center_line[:, 0] == pytest.approx([80 * INCH] * 2)
    assert layout.measures["center_offset"] == pytest.approx(-8 * INCH)
    assert min(along(layout, wall).boards.shortest for wall in (2, 4)) > 4 * INCH
    assert along(layout, 2).triangles is along(layout, 4).triangles is None


def test_sight_line_across_the_courses_turns_them_and_says_so():
    side = opening(2, 40 * INCH, 60 * INCH, "cased opening", "side door")
    _, layout = lay(openings=[side], center=Center("opening", opening="side door"))
    assert np.cos(layout.run) == pytest.approx(-1)
    assert any("side door" in each and "turned" in each for each in layout.warnings)
    assert layout.center_line[:, 1] == pytest.approx([70 * INCH] * 2)


def test_run_left_out_follows_the_way_in():
    _, layout = lay(run=None)
    assert layout.run == pytest.approx(np.pi / 2)


def test_centre_line_outside_the_field_is_refused():
    with pytest.raises(SceneError, match=r"floor\.center: the centre line lies outside the field"):
        lay(center=Center("point", point=(-1.0, 0.0)))


def test_board_longer_than_the_room_is_refused():
    with pytest.raises(SceneError, match=r"floor\.board_length: a board of 17' 6\" is longer than the field"):
        lay(board_length=210 * INCH)


def test_mirror_left_to_right_when_the_count_is_even():
    """Reflected in the centre line and moved W / sqrt2 along the run, a whole board is a board."""
    _, layout = lay()
    pieces = layout.pieces
    whole = shapely.get_coordinates(shapely.centroid(pieces.polygons[pieces.whole]))
    moved = np.stack([2 * 88 * INCH - whole[:, 0], whole[:, 1] + 4 / sqrt(2) * INCH], axis=-1)
    inside = shapely.contains_xy(layout.field.buffer(-0.6), moved[:, 0], moved[:, 1])
    gaps = np.array([np.hypot(*(whole - each).T).min() for each in moved[inside]])
    assert inside.sum() > 100
    assert gaps.max() < 1e-9


def test_grille_is_cut_out_exactly():
    vent = Vent("A", (40 * INCH, 40 * INCH), (10 * INCH, 4 * INCH), 0.3)
    room, layout = lay(vents=[vent])
    grille = layout.pieces.polygons[layout.pieces.role == Role.GRILLE]
    assert len(grille) == 1
    covered = grille[0].area + sum(slot.area for slot in layout.slots)
    assert covered == pytest.approx(40 * INCH**2)
    boards = layout.pieces.polygons[layout.pieces.role == Role.BOARD]
    assert shapely.area(shapely.intersection(boards, room.vents[0].polygon)).sum() < 1e-12


def test_vent_on_the_border_line_cuts_both():
    vent = Vent("A", (88 * INCH, 7 * INCH), (10 * INCH, 6 * INCH), 0.0)
    room, layout = lay(vents=[vent])
    border = layout.pieces.polygons[layout.pieces.role == Role.BORDER]
    assert shapely.area(shapely.intersection(border, room.vents[0].polygon)).sum() < 1e-12
    assert any("border line" in each for each in layout.warnings)


def test_waste_counts_every_blank_once():
    _, layout = lay()
    pieces = layout.pieces
    board = pieces.role == Role.BOARD
    blanks = len({tuple(key) for key in pieces.key[board]})
    assert layout.measures["blanks"] == blanks
    assert layout.measures["whole_boards"] + layout.measures["cut_boards"] == board.sum()
    used = shapely.area(pieces.polygons[board]).sum()
    assert layout.measures["waste"] == pytest.approx(blanks * 80 * INCH**2 / used - 1)


def test_small_triangles_are_told_by_wall():
    """Twelve courses of 20 in need 19.95: at 19 1/2 in the sides end in triangles, and both walls are named."""
    _, layout = lay(board_length=19.5 * INCH)
    assert any("wall 2" in each and "triangles" in each for each in layout.warnings)
    assert any("wall 4" in each and "triangles" in each for each in layout.warnings)


def test_joints_widen_the_pitch():
    _, tight = lay(board_length=20 * INCH)
    _, open_joints = lay(board_length=20 * INCH, gap=0.002)
    assert open_joints.board.length == pytest.approx(tight.board.length)
    assert open_joints.course_width == pytest.approx((20 * INCH + 0.002) / sqrt(2))


def test_key_of_a_board_stays_when_the_centre_line_moves():
    job = make_job(corners=DINING, openings=[ARCH], board_length=20 * INCH)
    room = build_room(job)
    one = lay_floor(room, job)
    moved = replace(job, floor=replace(job.floor, center=Center("point", point=(80 * INCH, 0.0))))
    other = lay_floor(room, moved)
    shared = {tuple(key) for key in one.pieces.key[one.pieces.whole]} & {
        tuple(key) for key in other.pieces.key[other.pieces.whole]
    }
    assert len(shared) > 0.7 * one.pieces.whole.sum()


def test_hearth_stops_the_boards():
    hearth = obstacle(box(55 * INCH, 186 * INCH, 66 * INCH, 20 * INCH), "hearth", "hearth")
    room, layout = lay(obstacles=[hearth])
    assert shapely.area(shapely.intersection(layout.pieces.polygons, room.obstacles[0].polygon)).max() < 1e-12


def test_lines_end_where_the_field_does():
    """In an L-shaped room the chalk line ends at the field's edge; centred on the wing, the longer line is struck."""
    ell = [(0, 0), (4, 0), (4, 2.5), (2.6, 2.5), (2.6, 5), (0, 5)]
    room, layout = lay(corners=ell, openings=[], center=Center("point", point=(3.3, 0.0)))
    assert layout.lines[0].courses < 0
    assert layout.chalk_line[:, 1] == pytest.approx([room.border_line, 5 - room.border_line])
    assert all(np.isfinite(value) for value in layout.measures.values())


def test_wall_out_of_square_leaves_no_slivers():
    """Wall 1 tilted by 6 mm over 4 m: full triangles at its outermost corner, a little less elsewhere, no slivers."""
    _, layout = lay(corners=[(0, 0.006), (4, 0), (4, 5), (0, 5)], openings=[])
    assert layout.measures["slivers"] == 0
    assert along(layout, 1).triangles.longest <= 4 * INCH + 1e-9
    assert along(layout, 1).triangles.shortest > 3.5 * INCH
    assert not any("wall 1" in each for each in layout.warnings)


U_ROOM = [(0, 0), (5.6, 0), (5.6, 4.2), (3.9, 4.2), (3.9, 1.7), (1.8, 1.7), (1.8, 4.2), (0, 4.2)]
T_ROOM = [(1, 0), (2.5, 0), (2.5, 2), (4, 2), (4, 4), (0, 4), (0, 2), (1, 2)]
L_ROOM = [(0, 0), (4, 0), (4, 2.5), (2.6, 2.5), (2.6, 5), (0, 5)]


@pytest.mark.parametrize("corners", [U_ROOM, T_ROOM, L_ROOM])
def test_courses_are_those_that_are_laid_and_every_side_wall_is_told(corners):
    """The count is of courses with wood in them; a side wall that was given up is named, or ends in half a board."""
    _, layout = lay(corners=corners, openings=[])
    boards = layout.pieces.role == Role.BOARD
    assert layout.count == len(set(layout.pieces.course[boards].tolist()))
    for each in layout.stretches:
        if each.meets != "sides" or each.boards is None:
            continue
        small = each.triangles is not None or each.boards.shortest < layout.board.length / 2 - 1e-6
        assert any(f"wall {each.wall} " in words for words in layout.warnings) is small, (each, layout.warnings)


def test_where_no_wall_runs_with_the_courses_it_is_said():
    _, layout = lay(run=np.pi / 4, openings=[])
    assert any("no wall runs with the courses" in words for words in layout.warnings)


def test_a_column_stands_in_no_wall():
    """The field's main side is a wall, whatever stands in the room; only small triangles round it are called small."""
    skew = [(0, 0), (4, 0), (4.3, 3), (0, 3)]
    _, layout = lay(corners=skew, openings=[], obstacles=[obstacle(box(1.5, 1.5, 0.3, 0.3))])
    assert layout.board.length / layout.board.width < 8
    told = any("column" in words for words in layout.warnings)
    round_it = [each for each in layout.stretches if each.kind == "obstacle" and each.triangles]
    assert not told or any(each.triangles.shortest < layout.board.width / 2 for each in round_it)
