"""Ends of border pieces, against angles worked out by hand."""

import numpy as np
import pytest
from paper_scenes import PLAIN, laid
from shapely import Polygon, affinity, box

from preview.floor.layout import Role
from preview.paper.cutting_list import Cut, cutting_list, end_angles


@pytest.mark.parametrize("turn", [0, 30, 137.5, 270])
@pytest.mark.parametrize(
    ("corners", "ends"),
    [
        ([(0, 0), (10, 0), (10, 1), (0, 1)], (0.0, 0.0)),
        ([(0, 0), (10, 0), (9, 1), (1, 1)], (45.0, 45.0)),
        ([(0, 0), (10, 0), (9, 1), (0, 1)], (0.0, 45.0)),
        ([(0, 0), (10, 0), (11, 1), (1, 1)], (45.0, 45.0)),
        ([(0, 0), (10, 0), (10 - np.tan(np.radians(22.5)), 1), (0, 1)], (0.0, 22.5)),
    ],
)
def test_ends(corners, ends, turn):
    piece = affinity.rotate(Polygon(corners), turn, origin=(0, 0))
    assert end_angles(piece, np.radians(turn)) == ends


def test_a_notch_along_the_strip_leaves_its_ends():
    assert end_angles(box(0, 0, 10, 1) - box(4, 0.5, 5, 1), 0.0) == (0.0, 0.0)


def test_an_end_of_two_cuts_is_fitted_on_site():
    assert end_angles(Polygon([(0, 0), (10, 0), (10, 0.4), (9, 1), (0, 1)]), 0.0) is None


def test_every_border_piece_is_on_the_list_once():
    layout = laid(PLAIN)[0].layout
    lines = cutting_list(layout, Role.BORDER, "in")
    assert sum(line.count for line in lines) == (layout.pieces.role == Role.BORDER).sum()
    assert [line.length for line in lines] == sorted((line.length for line in lines), reverse=True)


def test_words():
    assert Cut(0.0254 * 60, (0.0, 45.0), 2).text("in") == "2 of 5', one end square, one 45° mitre"
    assert Cut(1.5, (22.5, 22.5), 1).text("mm") == "1 of 1500 mm, both ends 22.5° mitre"
    assert Cut(1.5, None, 1).text("mm") == "1 of 1500 mm, ends fitted on site"
