"""Insets of pieces for their joints and eased edges, against shapely's own mitred insets."""

import numpy as np
import pytest
import shapely
from model_values import grille
from shapely import Polygon, affinity

from preview.model.ease import BEVEL, SHRINK, as_polygon, ease, mitres, outlines, triangles_of

THICKNESS = 0.019

SHAPES = {
    "board": shapely.box(0, 0, 0.508, 0.1016),
    "end triangle": Polygon([(0, 0), (0.1016, 0), (0, 0.1016)]),
    "mitred border": Polygon([(0, 0), (1.2, 0), (1.1, 0.1), (0.1, 0.1)]),
    "L": Polygon([(0, 0), (0.4, 0), (0.4, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3)]),
    "with a corner on a straight edge": Polygon([(0, 0), (0.2, 0), (0.5, 0), (0.5, 0.1), (0, 0.1)]),
    "grille": grille((0.3, 0.2))[0],
    "turned far from the origin": affinity.rotate(shapely.box(40, 30, 40.5, 30.1), 37),
    "clockwise": Polygon([(0, 0), (0, 0.1), (0.5, 0.1), (0.5, 0)]),
}


def eased(shape, joint=0.0):
    """The outline of a piece's sides, and that of its top."""
    found = outlines(np.array([shape], dtype=object))
    inset, leg = ease(found, 1, joint, THICKNESS)
    move = mitres(found)
    base = found.points + inset[0] * move
    return as_polygon(base, found.ring), as_polygon(base + leg[0] * move, found.ring)


@pytest.mark.parametrize("joint", [0.0, 0.002])
@pytest.mark.parametrize("name", SHAPES)
def test_sides_and_top_are_mitred_insets(name, joint):
    """Half the joint, and a bevel's leg more: the same places as shapely's buffers, to float noise 40 m off."""
    base, top = eased(SHAPES[name], joint)
    for found, depth in ((base, joint / 2), (top, joint / 2 + BEVEL)):
        expected = SHAPES[name].buffer(-depth, join_style="mitre", mitre_limit=50)
        assert found.is_valid and found.symmetric_difference(expected).area < 1e-9


def test_all_pieces_at_once_are_eased_as_each_alone():
    shapes = np.array(list(SHAPES.values()), dtype=object)
    together = outlines(shapes)
    inset, leg = ease(together, len(shapes), 0.002, THICKNESS)
    for number, shape in enumerate(shapes):
        one, its = ease(outlines(shapes[number : number + 1]), 1, 0.002, THICKNESS)
        assert (inset[number], leg[number]) == pytest.approx((one[0], its[0])), shape


def test_tiny_pieces_keep_a_top():
    """A sliver's joint and bevel are cut back so that something stays of it: at least what both may take leaves."""
    sliver = shapely.box(0, 0, 0.3, 0.001)
    base, top = eased(sliver, joint=0.003)
    assert base.is_valid and top.is_valid
    assert sliver.area > base.area > top.area > 0
    assert base.bounds[3] - base.bounds[1] == pytest.approx((1 - SHRINK) * 0.001)


def test_a_narrow_neck_is_not_turned_inside_out():
    """A slot almost at the edge: the inset must not cross it."""
    shape = Polygon(shapely.box(0, 0, 0.2, 0.1).exterior, [shapely.box(0.02, 0.0005, 0.18, 0.05).exterior])
    base, top = eased(shape, joint=0.003)
    assert base.is_valid and top.is_valid and top.area > 0
    assert shape.covers(base.buffer(-1e-9)) and base.covers(top.buffer(-1e-9))


@pytest.mark.parametrize("name", SHAPES)
def test_triangles_cover_a_piece_once(name):
    made = triangles_of(shapely.orient_polygons(SHAPES[name]))
    one, two = made[:, 1] - made[:, 0], made[:, 2] - made[:, 0]
    area = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2
    assert (area > 0).all() and area.sum() == pytest.approx(SHAPES[name].area)
    assert shapely.union_all(shapely.polygons(made)).symmetric_difference(SHAPES[name]).area < 1e-9
