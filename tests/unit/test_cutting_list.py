"""The printed cutting lists, read back: every piece is on them once, and they add up to the floor."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import strategies as st
from paper_scenes import ASKEW, PLAIN, laid
from printed_lists import read_area, read_courses, read_list, section

from preview.data import data_folder
from preview.floor.cut_shapes import CornerCut, EndCut, Marked, Taper
from preview.floor.cuts import CutBoard, CutStrip
from preview.floor.layout import Role
from preview.paper.words.cutting_list import board_words, courses_text, strip_words
from preview.paper.words.layout_text import layout_text, lists_text
from preview.paper.words.shape_words import shape_words
from preview.scene.read import load_scene
from preview.steps import lay_jobs
from tests.strategies import checked, laid_or_refused, rooms

INCH = 0.0254
SCENES = data_folder("scenes")


def floors():
    return [*laid(PLAIN), *laid(ASKEW), *(floor for name in ("dining-room", "kitchen") for floor in scene(name))]


def scene(name):
    return lay_jobs(load_scene(SCENES / f"{name}.toml"))


def adds_up(room, layout, job):
    """Read the lists of a layout back and hold them against its pieces."""
    text = "\n".join(["", *lists_text(room, layout, job.units)])
    pieces, board = layout.pieces, layout.board
    cut = (pieces.role == Role.BOARD) & ~pieces.whole
    if not cut.any():
        assert "Cut field boards" not in text
        return []
    lines = read_list(text, "Cut field boards", board.width, job.units)
    assert sum(line.count for line in lines) == cut.sum()
    courses = np.zeros(pieces.course.max() + 2, int)
    for line in lines:
        for course in line.courses:
            courses[course] += line.count // len(line.courses)
    assert courses[1:].tolist() == np.bincount(pieces.course[cut], minlength=len(courses) - 1).tolist()
    slack = sum(line.count * line.slack for line in lines)
    assert sum(line.count * line.area for line in lines) == pytest.approx(
        float(shapely.area(pieces.polygons[cut]).sum()), abs=slack + 1e-9
    )
    for line in lines:  # a heading's count is that of its lines
        head = re.search(r": ([\d,]+) pieces?", line.group)
        assert int(head[1].replace(",", "")) == sum(each.count for each in lines if each.group == line.group)
    return lines


@pytest.mark.parametrize("floor", floors(), ids=lambda each: f"{each.job.title[:7]} {each.job.variant}")
def test_the_printed_list_adds_up_to_the_field(floor):
    lines = adds_up(floor.room, floor.layout, floor.job)
    pieces = floor.layout.pieces
    whole = (
        int((pieces.whole & (pieces.role == Role.BOARD)).sum()) * floor.layout.board.width * floor.layout.board.length
    )
    listed = sum(line.count * line.area for line in lines)
    slack = sum(line.count * line.slack for line in lines)
    assert slack < 0.02 * listed  # so that the check is one
    assert whole + listed == pytest.approx(floor.layout.measures["field_area"], abs=slack)


@pytest.mark.parametrize("floor", floors(), ids=lambda each: f"{each.job.title[:7]} {each.job.variant}")
def test_the_printed_border_adds_up(floor):
    text = layout_text(floor)
    pieces = floor.layout.pieces
    border = pieces.role == Role.BORDER
    lines = read_list(text, "Border", float(np.median(pieces.size[border, 1])), floor.job.units)
    assert sum(line.count for line in lines) == border.sum()
    slack = sum(line.count * line.slack for line in lines)
    assert sum(line.count * line.area for line in lines) == pytest.approx(
        floor.layout.measures["border_area"], abs=slack
    )


@checked(15, 40, rooms(2.2, 5.0), st.sampled_from(["in", "mm", "m"]))
def test_any_room_prints_a_list_that_adds_up(job, units):
    job = replace(job, units=units)
    if (found := laid_or_refused(job)) is None:
        return
    room, layout = found
    adds_up(room, layout, job)


def test_the_sum_is_printed_as_it_is():
    for floor in scene("dining-room"):
        text = layout_text(floor)
        (said,) = re.findall(r"The (\d+) pieces of (.+?) and (\d+) whole boards of .*? are the field's (.+?)\.\n", text)
        whole = int(said[2]) * floor.layout.board.width * floor.layout.board.length
        assert read_area(said[1]) + whole == pytest.approx(read_area(said[3]), abs=0.011)


def test_a_hearth_and_a_grille_are_named_over_what_is_cut_along_them():
    for floor in [*scene("dining-room"), *scene("kitchen")]:
        text = layout_text(floor)
        heads = [line.strip() for line in section(text, "Cut field boards") if line.startswith("  Along")]
        things = [f"the {each.name}" for each in floor.room.obstacles]
        boards = floor.layout.pieces.polygons[floor.layout.pieces.role == Role.BOARD]
        touched = [each for each in floor.room.vents if shapely.distance(boards, each.polygon).min() < 1e-6]
        things += [f"grille {each.name}" for each in touched]
        for thing in things:
            assert any(re.search(rf"(Along|and|,) {thing}[:,]? ?", each) for each in heads), thing
        border = "\n".join(section(text, "Border"))
        for each in floor.room.obstacles:
            assert f"Along the {each.name}" in border


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (EndCut(12 * INCH, 8 * INCH, 4 * INCH, 45.0, 0.0, "both"), 'long 12", short 8", 45° left'),
        (EndCut(8 * INCH, 12 * INCH, 4 * INCH, -44.8, 0.0, "both"), 'long 12", short 8", 45° right'),
        (EndCut(8 * INCH, 8 * INCH, 4 * INCH, 0.1, 0.0, "both"), '8" long, square'),
        (EndCut(8 * INCH, 8 * INCH, 2 * INCH, 0.0, 0.0, "left"), '8" long, square, ripped to 2", left edge uncut'),
        (EndCut(3 * INCH, 0.0, 3 * INCH, 45.0, 0.0, "left"), 'triangle, 3" along the edge, 3" across the end, left'),
        (EndCut(9 * INCH, 5 * INCH, 4 * INCH, 26.6, 26.6, "both"), 'long 9", short 5", both ends 26.5°'),
        (
            EndCut(9 * INCH, 9 * INCH, 4 * INCH, 45.0, -45.0, "both"),
            '9" along each edge, both ends 45° and parallel, far point left',
        ),
        (
            EndCut(9 * INCH, 6 * INCH, 4 * INCH, 45.0, -14.0, "both"),
            'left edge 9", right edge 6", far end 45° left, near end 14° right',
        ),
        (
            CornerCut(20 * INCH, 17 * INCH, 4 * INCH, INCH, "left", 45.0),
            'long 20", short 17", 45° left, far end 1" wide',
        ),
        (Taper(20 * INCH, 4 * INCH, 3 * INCH, "left"), '20" long, ripped from 4" to 3", left edge uncut'),
        (Taper(20 * INCH, 3.001 * INCH, 3 * INCH, "left"), '20" long, square, ripped to 3", left edge uncut'),
        (
            EndCut(6 * INCH, 0.0, 4 * INCH, 52.0, -38.0, "both"),
            'triangle, 6" along the edge, 4" deep, far end 52° left, near end 38° right',
        ),
        (
            Marked((((4 * INCH, 0), (4 * INCH, 9 * INCH), (2 * INCH, 11 * INCH), (0, 10 * INCH), (0, 0)),)),
            'corners 0" × 0", 0" × 10", 2" × 11", 4" × 9", 4" × 0"',
        ),
    ],
)
def test_words_of_the_saw(shape, words):
    assert shape_words(shape, "in") == words


def test_corners_in_metric_name_their_unit_once():
    found = Marked((((0.09, 0.0), (0.09, 0.2), (0.0, 0.25), (0.0, 0.0)),))
    assert shape_words(found, "mm") == "corners in mm: 0 × 0, 0 × 250, 90 × 200, 90 × 0"


def test_a_mitred_end_of_the_boards_own_is_not_called_near_or_far():
    """In the same line these are the ends of the board as it lies in the floor: "far end 52°; far end uncut" is no
    piece."""
    shape = EndCut(6 * INCH, 3 * INCH, 4 * INCH, 52.0, -38.0, "both")
    words = board_words(CutBoard(0, 1, 0, ("wall 1",), "far", shape), "in")
    assert words == 'left edge 6", right edge 3", sawn end 52° left, own end 38° right; far end uncut'
    shape = EndCut(6 * INCH, 6 * INCH, 4 * INCH, 38.0, -38.0, "both")
    words = board_words(CutBoard(0, 1, 0, ("wall 1",), "near", shape), "in")
    assert words == "6\" along each edge, both ends 38° and parallel, the sawn end's point left; near end uncut"


def test_corners_on_one_printed_line_are_printed_once():
    ring = ((0.0, 0.0), (0.09, 0.0), (0.09, 0.163), (0.0004, 0.253), (0.0, 0.2524))
    assert shape_words(Marked((ring,)), "mm") == "corners in mm: 0 × 0, 0 × 253, 90 × 163, 90 × 0"


def test_edges_that_differ_by_less_than_a_millimetre_are_alike_at_a_wall():
    """A wall a hair out of square makes no edge of a parallel piece the short one."""
    shape = EndCut(0.6412, 0.6410, 0.09, 45.0, -45.05, "both")
    words = strip_words(CutStrip(0, "range hearth", "right", shape), "mm")
    assert words == "641 mm along each edge, both ends 45° and parallel, far point left, from 731 mm"


def test_a_corner_that_two_lines_cut_is_no_mitre():
    """An end of two cuts is given by its corners; no single angle is printed for it."""
    ring = ((0, 0), (4 * INCH, 0), (4 * INCH, 10 * INCH), (2 * INCH, 12 * INCH), (0, 10 * INCH))
    assert "°" not in shape_words(Marked((ring,)), "in")


def test_the_short_edge_at_a_wall_is_told():
    shape = EndCut(6 * INCH, 2 * INCH, 4 * INCH, 26.6, 26.6, "both")
    assert strip_words(CutStrip(0, "wall 1", "left", shape), "in") == 'long 6", short 2", both ends 26.5°'
    assert strip_words(CutStrip(0, "wall 1", "right", shape), "in").endswith("; short edge at the wall")
    assert strip_words(CutStrip(0, "stove", "right", shape), "in").endswith("; short edge at the stove")


@pytest.mark.parametrize(
    ("courses", "words"),
    [
        ([3], "course 3"),
        ([1, 2], "courses 1 and 2"),
        ([1, 2, 3], "courses 1 to 3"),
        ([1, 3, 5, 7], "courses 1, 3, 5 and 7"),
        ([1, 3, 5, 7, 9], "courses 1, 3, 5 ... 9"),
        ([2, 4, 6], "courses 2, 4 and 6"),
        ([1, 2, 3, 7, 9, 10], "courses 1 to 3, 7, 9 and 10"),
    ],
)
def test_courses_in_words(courses, words):
    assert courses_text(courses) == words
    assert read_courses(words) == tuple(courses)
