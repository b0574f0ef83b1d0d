"""Straight rows: joints by the printed rule, rows about the centre line, boards as they come, and their year."""

import math
import re
from dataclasses import replace
from itertools import pairwise, permutations

import numpy as np
import pytest
import shapely

from preview.floor.blank_sides import kept_ends
from preview.floor.layout import Role
from preview.floor.packing import cut_lengths, cutting
from preview.options.search import all_candidates, search
from preview.paper.words.layout_text import layout_text
from preview.scene.job import Center, Moisture, Sticks
from preview.steps import lay_jobs
from preview.units import parse_length
from preview.wood.seasons import seasons
from tests.strategies import INCH, box, make_job, obstacle

ROOM = box(0, 0, 4.0, 6.0)


def straight(corners=ROOM, run=math.pi / 2, **changes):
    own = {key: changes.pop(key) for key in ("stagger",) if key in changes}
    stock = {key: changes.pop(key) for key in ("shortest", "longest", "lengths") if key in changes}
    seed = changes.pop("seed", 7)
    mixed, units = changes.pop("mixed", ()), changes.pop("units", "in")
    job = make_job(corners=corners, run=run, **{"board_width": 0.09, **changes})
    floor = replace(job.floor, pattern="straight", own=tuple(own.items()), lengths=mixed)
    return replace(job, units=units, floor=floor, stock=replace(job.stock, **stock), wood=replace(job.wood, seed=seed))


def laid(job):
    (floor,) = lay_jobs([job])
    return floor


def rows_of(layout):
    """The pieces of each row as intervals along the run, in order: course to (n, 2)."""
    pieces = layout.pieces.take(layout.pieces.role == Role.BOARD)
    along = np.array([math.cos(layout.run), math.sin(layout.run)])
    found = {}
    for polygon, course in zip(pieces.polygons, pieces.course.tolist(), strict=True):
        r = shapely.get_coordinates(polygon) @ along
        found.setdefault(course, []).append((r.min(), r.max()))
    return {course: np.array(sorted(each)) for course, each in found.items()}


def told(text, pattern):
    return parse_length(re.search(pattern, " ".join(text.split()))[1], "m")


@pytest.mark.parametrize("length", [None, 1.2])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_joints_keep_the_stagger_and_the_end_pieces_that_are_printed(length, units):
    floor = laid(straight(board_length=length, units=units))
    text = layout_text(floor)
    stagger = told(text, r"side by side at least (.*?) apart")
    end = told(text, r"no piece under (.*?) at the end of a row")
    assert not [each for each in floor.layout.warnings if "joint" in each]
    rows = rows_of(floor.layout)
    assert len(rows) == floor.layout.count
    joints = [rows[number][1:, 0] for number in range(len(rows))]
    for one, other in pairwise(joints):
        assert np.abs(one[:, None] - other[None]).min() > stagger - 1e-6
    for each in rows.values():
        assert np.allclose(each[1:, 0], each[:-1, 1])  # end to end
        ends = np.ptp(each[[0, -1]], axis=1)
        assert ends.min() > end - 1e-6


def test_boards_are_as_long_as_they_are_bought():
    floor = laid(straight(shortest=0.5, longest=1.5))
    pieces = floor.layout.pieces.take((floor.layout.pieces.role == Role.BOARD) & floor.layout.pieces.whole)
    assert 0.5 - 1e-9 <= pieces.size[:, 0].min() < 0.7 and 1.3 < pieces.size[:, 0].max() <= 1.5 + 1e-9
    fixed = laid(straight(board_length=1.2)).layout
    assert fixed.pieces.size[fixed.pieces.role == Role.BOARD, 0] == pytest.approx(1.2)
    three = laid(straight(mixed=(0.9, 1.2, 1.8))).layout
    assert set(np.round(three.pieces.size[three.pieces.role == Role.BOARD, 0], 6)) == {0.9, 1.2, 1.8}
    sticks = laid(straight(lengths=(Sticks(1.0, 50), Sticks(2.0, 5)))).layout
    lengths = np.round(sticks.pieces.size[sticks.pieces.role == Role.BOARD, 0], 6)
    assert set(lengths) == {1.0, 2.0} and (lengths == 1.0).sum() > 3 * (lengths == 2.0).sum()


def test_the_seed_draws_the_joints_and_nothing_else():
    first, again, other = (laid(straight(seed=seed)).layout for seed in (7, 7, 8))
    assert shapely.equals_exact(first.pieces.polygons, again.pieces.polygons).all()
    assert (first.count, first.start_point.tolist()) == (other.count, other.start_point.tolist())
    assert not np.allclose(rows_of(first)[3][:2, 1], rows_of(other)[3][:2, 1])


def test_an_even_number_of_rows_has_a_seam_on_the_line_and_ends_alike_at_both_sides():
    for courses, phase in (("even", 0.0), ("odd", 0.5)):
        floor = laid(straight(courses=courses))
        assert floor.layout.count % 2 == (courses == "odd")
        assert floor.layout.chalk_offset == pytest.approx(-phase * 0.09, abs=1e-9)
        assert floor.layout.mirrored
        sides = [each for each in floor.layout.stretches if each.meets == "sides"]
        widths = [each.boards.narrowest for each in sides]
        assert widths[0] == pytest.approx(widths[1])
        text = " ".join(layout_text(floor).split())
        printed = re.findall(r"side: a row ripped to (.*?) \(full", text)
        assert [parse_length(each, "m") for each in printed] == pytest.approx(widths, abs=INCH / 16)


def test_any_takes_the_wider_last_rows_and_narrow_ones_are_warned_of():
    width = 4.0 / 40.2  # of 40 rows between, a tenth of a row is left at either side where a seam is on the line
    narrow = laid(straight(board_width=width, border=0.0, baseboard=0.0, courses="even"))
    better = laid(straight(board_width=width, border=0.0, baseboard=0.0, courses="any")).layout
    assert any("end in a row ripped to" in each for each in narrow.layout.warnings)
    assert any("to avoid narrow rows, try" in each for each in narrow.remedy.advice)
    assert not any("ripped to" in each for each in better.warnings) and better.count % 2 == 1


def test_too_short_boards_for_the_stagger_are_warned_of():
    layout = laid(straight(board_length=0.5, stagger=0.3)).layout
    assert any("floor.stagger" in each for each in layout.warnings)


def test_rows_go_on_past_what_stands_in_the_room():
    island = obstacle([(1.5, 2.0), (2.5, 2.0), (2.5, 3.0), (1.5, 3.0)], "island", "island")
    layout = laid(straight(obstacles=[island])).layout
    boards = layout.pieces.take(layout.pieces.role == Role.BOARD)
    assert float(shapely.area(boards.polygons).sum()) == pytest.approx(layout.field.area, abs=1e-9)


def test_the_field_grows_across_the_rows_by_all_that_its_boards_do_and_not_along_them():
    """White oak, plainsawn, 8 to 11 %: 0.00365 x 3 of its width (USDA Wood Handbook, Table 13-5, commercial white
    oak), summed over half the field's width."""
    job = straight(gap=0.0)
    moist = replace(job.wood, cut="plainsawn", moisture=Moisture(8, 11, 5))
    floor = laid(replace(job, wood=moist, border_wood=moist))
    wanted = [each.wanted for each in seasons(floor).spaces]
    border = 0.00365 * 3 * floor.layout.border_width
    low, _, high, _ = floor.layout.field.bounds
    assert wanted[0] == pytest.approx(border, rel=1e-6) and wanted[2] == pytest.approx(border, rel=1e-6)
    across = 0.00365 * 3 * (high - low) / 2
    assert wanted[1] == pytest.approx(across + border, rel=1e-3) and wanted[3] == pytest.approx(wanted[1])


@pytest.mark.parametrize("seed", [7, 13, 73])
@pytest.mark.parametrize("gap", [0.0, 0.002])
def test_as_many_offcuts_are_used_as_can_be(gap, seed):
    """Against every way to give the offcuts of one lot of rows to the pieces that another lot needs."""
    skew = [(0, 0), (1.0, 0.35), (1.0, 2.3), (0, 2.7)]
    layout = laid(straight(skew, board_width=0.2, shortest=0.4, longest=0.9, border=0.0, gap=gap, seed=seed)).layout
    boards = layout.pieces.take(layout.pieces.role == Role.BOARD)
    cut = boards.take(~boards.whole)
    lengths, keeps = cut_lengths(boards), kept_ends(cut)
    keys = [tuple(each) for each in cut.key.tolist()]
    free = [n for n in range(len(cut)) if keys.count(keys[n]) == 1]
    offcuts = [cut.size[n, 0] - gap - lengths[n] - 0.003175 for n in free if keeps[n] == 1]
    wanted = [lengths[n] for n in free if keeps[n] == 2]
    assert offcuts and wanted
    few, many = sorted((offcuts, wanted), key=len)
    fits = (lambda a, b: b <= a) if few is offcuts else (lambda a, b: a <= b)
    most = max(sum(fits(a, b) for a, b in zip(few, some, strict=True)) for some in permutations(many, len(few)))
    found = cutting(layout.pieces, layout.board.length)
    assert found.apart - found.reused == most
    assert found.least <= found.reused


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("changes", [{}, {"gap": 0.002, "seed": 3}, {"mixed": (0.6, 0.9, 1.1)}])
def test_ends_sawn_off_that_can_begin_a_row_are_counted_as_they_lie(units, changes):
    """Against the rows as they are laid: how far the last board of each would go on past the field."""
    floor = laid(straight(units=units, **changes))
    layout, gap = floor.layout, floor.job.floor.gap
    boards = layout.pieces.take(layout.pieces.role == Role.BOARD)
    along = np.array([math.cos(layout.run), math.sin(layout.run)])
    far = max(end for row in rows_of(layout).values() for _, end in row)
    past = boards.origin @ along + boards.size[:, 0] - gap / 2 - far - 0.003175
    sawn = past[(past > 1e-9) & ~boards.whole]
    least = 8 * INCH if units == "in" else 0.2
    enough = sawn[sawn >= least]
    assert 0 < len(enough) < len(sawn)
    text = " ".join(layout_text(floor).split())
    found = re.search(r"In this plan ([\d,]+) of the ([\d,]+) ends sawn off (?:is|are) so long, (\S+ \S+) in all", text)
    assert (int(found[1]), int(found[2])) == (len(enough), len(sawn))
    assert parse_length(found[3], "m") == pytest.approx(enough.sum(), abs=0.31 if units == "in" else 0.11)


def test_other_layouts_are_ranked_with_the_scene_s_lengths():
    found = search(all_candidates([straight()]))
    scored = [each for each in found.evaluated if each.score]
    assert len(scored) > 3
    assert {each.candidate.job.floor.board_length for each in scored} == {None}
    assert {each.candidate.job.floor.start for each in scored} == {"full"}


def test_a_row_of_pieces_that_all_lie_in_corners_is_told_by_its_width():
    """Seams at 735 mm and every 140 mm from it, the field's edge 4 mm off the walls: rows of 31 mm along the walls at 0
    and at 700 mm, though boards reach past the inner corner, and of 61 mm at 1500 mm. No row has a piece between two
    others."""
    corners = [(0, 0), (1, 0), (1, 0.7), (1.8, 0.7), (1.8, 1.5), (0, 1.5)]
    seam = Center("point", point=(0.9, 0.735))
    own = {"board_width": 0.14, "center": seam, "border": 0.0, "overlap": 0.006, "baseboard": 0.01, "units": "mm"}
    floor = laid(straight(corners, run=0.0, **own))
    said = {each.wall: each.short for each in floor.layout.ends.each}
    assert {wall: said[wall] for wall in (1, 3, 5)} == {1: "row of 31 mm", 3: "row of 31 mm", 5: "row of 61 mm"}
    (told,) = [each for each in floor.layout.warnings if "wall 1" in each]
    assert "a row ripped to 31 mm" in told
