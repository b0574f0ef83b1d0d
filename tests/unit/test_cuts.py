"""Every cut piece as a record: shapes worked out by hand, and records that add up to the floor."""

from math import atan2, degrees, sqrt

import numpy as np
import pytest
import shapely
from shapely import Polygon, affinity

from preview.floor.cut_shapes import CornerCut, EndCut, Marked, Taper, shape_of, turned
from preview.floor.cuts import cut_boards, cut_strips
from preview.floor.lay import lay_floor
from preview.floor.layout import Role
from preview.room.measured import build_room
from preview.scene.job import Vent
from tests.strategies import INCH, box, checked, laid_or_refused, make_job, obstacle, opening, rooms

WIDE = 4.0


def shape(*ring):
    return shape_of([list(ring)], WIDE)


def test_a_square_end():
    assert shape((0, 0), (4, 0), (4, 12), (0, 12)) == EndCut(12, 12, 4, 0.0, 0.0, "both")


def test_a_slanted_end_has_its_long_point_on_the_left_or_the_right():
    left = shape((0, 0), (4, 0), (4, 8), (0, 12))
    assert (left.long, left.short, left.far, left.near) == (12, 8, pytest.approx(45), 0)
    assert shape((0, 0), (4, 0), (4, 12), (0, 8)).far == pytest.approx(-45)


def test_a_triangle_is_an_end_cut_that_runs_out_on_the_near_end():
    found = shape((0, 0), (3, 0), (0, 3))
    assert found == EndCut(3, 0, 3, pytest.approx(45), 0.0, "left")
    assert found.area == 4.5


def test_a_ripped_piece_keeps_an_edge():
    assert shape((0, 0), (2.5, 0), (2.5, 20), (0, 20)) == EndCut(20, 20, 2.5, 0.0, 0.0, "left")
    assert shape((1, 0), (4, 0), (4, 20), (1, 17)).kept == "right"
    assert shape((1, 0), (3, 0), (3, 20), (1, 20)).kept is None


def test_a_ripped_taper():
    assert shape((0, 0), (3, 0), (2, 20), (0, 20)) == Taper(20, 3, 2, "left")


def test_a_corner_cut_off_at_the_far_end():
    found = shape((0, 0), (4, 0), (4, 20), (3, 20), (0, 17))
    assert found == CornerCut(20, 17, 4, 1, "right", pytest.approx(45))
    assert found.area == 80 - 4.5


def test_both_ends_sawn():
    found = shape((0, 2), (4, 0), (4, 10), (0, 12))
    assert (found.left, found.right) == (10, 10)
    assert found.far == pytest.approx(degrees(atan2(2, 4))) and found.near == pytest.approx(-degrees(atan2(2, 4)))


def test_what_two_cuts_leave_is_no_mitre():
    notched = ((0, 0), (4, 0), (4, 10), (2, 10), (2, 12), (0, 12))
    assert isinstance(shape(*notched), Marked)
    two_cuts = shape((0, 0), (4, 0), (4, 12), (2, 14), (0, 12))
    assert isinstance(two_cuts, Marked) and two_cuts.area == Polygon(two_cuts.rings[0]).area


def test_a_hole_is_marked_out():
    found = shape_of([[(0, 0), (4, 0), (4, 20), (0, 20)], [(1, 5), (2, 5), (2, 6), (1, 6)]], WIDE)
    assert isinstance(found, Marked) and found.area == 79


def test_turned_round_twice_it_is_itself():
    ring = [(0.0, 0.0), (4.0, 0.0), (4.0, 8.0), (0.0, 12.0)]
    assert turned(turned([ring], 4, 20), 4, 20) == [ring]
    assert shape_of(turned([ring], 4, 20), WIDE).near == pytest.approx(-45)  # the long point is now on the right


def lay(**kwargs):
    job = make_job(**kwargs)
    room = build_room(job)
    return room, lay_floor(room, job)


DINING = box(0, 0, 176 * INCH, 206 * INCH)
HEARTH = obstacle(box(55 * INCH, 186 * INCH, 66 * INCH, 20 * INCH), "hearth", "hearth")


def test_full_triangles_at_the_near_end_and_what_they_lie_along():
    """Full triangles: the short edge is nothing, both legs are a board's width, one in each right-leaning course; the
    boards there run away from wall 1, so they keep their far ends. Each next board along it is cut 4 in longer, as far
    as to a whole one of 20."""
    room, layout = lay(corners=DINING, board_length=20 * INCH)
    first = [each for each in cut_boards(room, layout) if each.along == ("wall 1",)]
    assert {each.keeps for each in first} == {"far"}
    found = {(each.hand, round(each.shape.short / INCH, 6), round(each.shape.long / INCH, 6)) for each in first}
    assert found == {(1, 0, 4), (1, 8, 12), (1, 16, 20), (0, 4, 8), (0, 12, 16)}
    triangles = [each for each in first if each.shape.short < 1e-9]
    assert sorted(each.course for each in triangles) == [1, 3, 5, 7, 9, 11]
    for each in triangles:
        assert each.shape.width == pytest.approx(4 * INCH) and each.shape.far == pytest.approx(-45)


def test_side_walls_cut_boards_at_45_degrees_by_course():
    """166 1/2 in between the border lines: the boards reach 19.73 in, (83.25 sqrt2 + 2) less five whole ones, at their
    longer side (the derivation in `preview.floor.patterns.fit`)."""
    room, layout = lay(corners=DINING, board_length=20 * INCH)
    every = cut_boards(room, layout)
    for wall, course, lean, keeps, hand in (("wall 4", 1, 1, "far", 1), ("wall 2", 12, 0, "far", -1)):
        plain = [each for each in every if each.along == (wall,) and each.course == course]
        assert len(plain) > 20 and {(each.hand, each.keeps) for each in plain} == {(lean, keeps)}
        for each in plain:
            assert each.shape.long / INCH == pytest.approx(83.25 * sqrt(2) + 2 - 5 * 20)
            assert each.shape.long - each.shape.short == pytest.approx(4 * INCH)
            assert each.shape.far == pytest.approx(hand * 45)


def test_what_is_cut_along_a_hearth_or_a_grille_says_so():
    vents = [Vent("A", (40 * INCH, 60 * INCH), (10 * INCH, 4 * INCH), 0.0)]
    room, layout = lay(corners=DINING, obstacles=[HEARTH], vents=vents)
    named = {name for each in cut_boards(room, layout) for name in each.along}
    assert named == {"wall 1", "wall 2", "wall 3", "wall 4", "hearth", "grille A"}


def test_border_strips_round_a_room():
    """Wall 1 of 176 in: its floor edge is 174 1/2 long, in three pieces, the outer two with a mitre."""
    room, layout = lay(corners=DINING)
    along = [each for each in cut_strips(room, layout, Role.BORDER) if each.along == "wall 1"]
    assert sorted(round(abs(each.shape.far)) for each in along) == [0, 45, 45]
    assert all(each.shape.near == 0 and each.shape.width == pytest.approx(4 * INCH) for each in along)
    assert sum(each.shape.long for each in along) == pytest.approx(174.5 * INCH)
    # The two mitred ones are left and right hands of one another, long at the wall.
    mitred = [each for each in along if each.shape.far]
    assert sorted(each.shape.far for each in mitred) == pytest.approx([-45, 45])
    assert all(("left" if each.shape.far > 0 else "right") == each.wall for each in mitred)


def test_thresholds_are_named_by_their_doorway():
    room, layout = lay(corners=DINING, openings=[opening(1, 1.0, 0.9, "door", "hall door")])
    (found,) = cut_strips(room, layout, Role.THRESHOLD)
    assert found.along == "hall door" and found.shape.long == found.shape.short == pytest.approx(0.9)


def test_joints_are_no_wood():
    """With joints of 2 mm, a piece as far as the border line is half a joint shorter than its share of the floor, and
    a board's width across, not a board's and a joint's."""
    room, layout = lay(corners=DINING, board_length=20 * INCH, gap=0.002)
    ends = [each.shape for each in cut_boards(room, layout) if isinstance(each.shape, EndCut)]
    full = [each for each in ends if each.kept == "both"]
    assert len(full) > 40 and all(each.width == pytest.approx(4 * INCH) for each in full)
    for each in cut_boards(room, layout):
        assert each.shape.area < layout.pieces.polygons[each.piece].area


@checked(15, 60, rooms())
def test_records_add_up_to_the_floor(job):
    """Whole boards and cut pieces together are the field, and strips the border, to a millionth of a square metre."""
    if (found := laid_or_refused(job)) is None:
        return
    room, layout = found
    pieces, board = layout.pieces, layout.board
    cut = cut_boards(room, layout)
    assert [each.piece for each in cut] == np.flatnonzero((pieces.role == Role.BOARD) & ~pieces.whole).tolist()
    whole = int((pieces.whole & (pieces.role == Role.BOARD)).sum()) * board.width * board.length
    covered = room.field
    for vent in room.vents:
        covered = covered.difference(vent.polygon)
    assert whole + sum(each.shape.area for each in cut) == pytest.approx(covered.area, abs=1e-6)
    strips = cut_strips(room, layout, Role.BORDER)
    assert sum(each.shape.area for each in strips) == pytest.approx(layout.measures["border_area"], abs=1e-6)
    names = {f"wall {number}" for number in range(1, len(room.corners) + 1)}
    names |= {each.name for each in room.obstacles} | {f"grille {each.name}" for each in room.vents}
    assert all(each.along and set(each.along) <= names for each in cut)
    assert all(each.along in names for each in strips)
    assert all(1 <= each.course <= layout.count or each.course > 0 for each in cut)


@checked(15, 40, rooms())
def test_every_piece_is_rebuilt_from_its_shape(job):
    """Laid back on its blank, a piece's numbers give its outline again, turned round where it was sawn so."""
    if (found := laid_or_refused(job)) is None:
        return
    room, layout = found
    width, length = layout.board.width, layout.board.length
    for each in cut_boards(room, layout):
        if isinstance(each.shape, Taper) or (isinstance(each.shape, EndCut) and each.keeps == "none"):
            continue  # their place along the board is not in their numbers
        polygon = layout.pieces.polygons[each.piece]
        grain = layout.pieces.grain[each.piece]
        origin = layout.pieces.origin[each.piece]
        local = affinity.rotate(affinity.translate(polygon, *-origin), -grain, origin=(0, 0), use_radians=True)
        local = shapely.transform(local, lambda points: np.stack([width - points[:, 1], points[:, 0]], axis=1))
        drawn = drawing(each.shape, width)
        back = shapely.transform(drawn, lambda points: np.array([width, length]) - points)
        if isinstance(each.shape, EndCut) and each.shape.kept is None:
            continue
        assert min(drawn.symmetric_difference(local).area, back.symmetric_difference(local).area) < 1e-8


def drawing(found, width):
    """A piece drawn from its numbers, near end at y = 0."""
    if isinstance(found, Marked):
        return Polygon(found.rings[0], found.rings[1:])
    if isinstance(found, CornerCut):
        left = found.left_over if found.hand == "left" else found.width - found.left_over
        edges = (found.long, found.short) if found.hand == "left" else (found.short, found.long)
        return Polygon([(0, 0), (width, 0), (width, edges[1]), (left, found.long), (0, edges[0])]).buffer(0)
    x = width - found.width if found.kept == "right" else 0.0
    return Polygon([(x, 0), (x + found.width, 0), (x + found.width, found.right), (x, found.left)]).buffer(0)


def test_by_hand_of_a_known_corner():
    """A room whose field is one board's width over a lattice corner: the diagonal cut is W / sqrt2 deep."""
    room, layout = lay(corners=DINING, board_length=20 * INCH, border=0.0, baseboard=0.0)
    (near,) = [each for each in layout.stretches if each.wall == 1]
    assert near.triangles.shortest == pytest.approx(4 * INCH)
    first = [each for each in cut_boards(room, layout) if each.along == ("wall 1",) and each.shape.short < 1e-9]
    assert first and {round(each.shape.area / INCH**2, 6) for each in first} == {8.0}  # W^2 / 2, W sqrt2 by W / sqrt2
    assert sqrt(2) * 4 * 4 / sqrt(2) / 2 == pytest.approx(8)
