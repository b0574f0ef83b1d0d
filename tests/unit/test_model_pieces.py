"""Single pieces as solids: closed, facing outwards, and of exactly the volume that the bevel leaves."""

import numpy as np
import pytest
import shapely
from model_values import grille, layout, pieces
from shapely import Polygon, affinity

from preview.model.ease import BEVEL, SHRINK
from preview.model.solid import piece_mesh

THICKNESS = 0.019

SHAPES = {
    "board": shapely.box(0, 0, 0.508, 0.1016),
    "end triangle": Polygon([(0, 0), (0.1016, 0), (0, 0.1016)]),
    "mitred border": Polygon([(0, 0), (1.2, 0), (1.1, 0.1), (0.1, 0.1)]),
    "L": Polygon([(0, 0), (0.4, 0), (0.4, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3)]),
    "with a corner on a straight edge": Polygon([(0, 0), (0.2, 0), (0.5, 0), (0.5, 0.1), (0, 0.1)]),
    "grille": grille((0.3, 0.2))[0],
    "turned far from the origin": affinity.rotate(shapely.box(40, 30, 40.5, 30.1), 37),
}


def volume(shape, joint=0.0, thickness=THICKNESS, leg=BEVEL):
    """Independent of the program: areas of shapely's own mitred insets, and the prismoid formula for the bevel.

    The area of an inset is a quadratic in its depth, so (top + 4 middle + bottom) leg / 6 is exact.
    """
    base, middle, top = (shape.buffer(-d, join_style="mitre", mitre_limit=50).area
                         for d in (joint / 2, joint / 2 + leg / 2, joint / 2 + leg))  # fmt: skip
    return base * (thickness - leg) + (base + 4 * middle + top) * leg / 6


@pytest.mark.parametrize("joint", [0.0, 0.002])
@pytest.mark.parametrize("name", SHAPES)
def test_solid_is_closed_and_of_exact_volume(name, joint):
    """Closed form against mesh; 1e-9 of the volume is float noise forty metres from the origin."""
    mesh = piece_mesh(layout(pieces([SHAPES[name]]), gap=joint), 0)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(volume(SHAPES[name], joint), rel=1e-9)
    assert mesh.bounds[:, 2] == pytest.approx([-THICKNESS, 0.0])


def test_rectangle_by_hand():
    """L W T - P b^2/2 + 4 b^3/3: four right-angled corners, tan(45 degrees) = 1 each."""
    long, wide = 0.508, 0.1016
    mesh = piece_mesh(layout(pieces([shapely.box(0, 0, long, wide)])), 0)
    by_hand = long * wide * THICKNESS - 2 * (long + wide) * BEVEL**2 / 2 + 4 * BEVEL**3 / 3
    assert mesh.volume == pytest.approx(by_hand, rel=1e-12)


@pytest.mark.parametrize("name", SHAPES)
def test_faces_look_outwards(name):
    """Points just outside along each face's normal are not in the solid: bevels rise towards the light."""
    mesh = piece_mesh(layout(pieces([SHAPES[name]])), 0)
    sloping = mesh.face_normals[np.abs(np.abs(mesh.face_normals[:, 2]) - 0.5**0.5) < 1e-6]
    assert len(sloping) >= 6
    assert (sloping[:, 2] > 0).all()
    middles = mesh.triangles_center[np.abs(mesh.face_normals[:, 2]) < 0.9]
    out = mesh.face_normals[np.abs(mesh.face_normals[:, 2]) < 0.9]
    spots = shapely.points(middles[:, :2] + 1e-3 * out[:, :2])
    assert not shapely.contains(SHAPES[name].buffer(-1e-9), spots).any()


def test_tiny_pieces_keep_a_top():
    """A sliver's joint and bevel are cut back so that something stays of it."""
    sliver = shapely.box(0, 0, 0.3, 0.001)
    mesh = piece_mesh(layout(pieces([sliver]), gap=0.003), 0)
    assert mesh.is_watertight
    assert mesh.volume > (1 - 2 * SHRINK) * 0.3 * 0.001 * (THICKNESS - BEVEL) * 0.9
    top = mesh.area_faces[mesh.face_normals[:, 2] > 0.999].sum()
    assert 0 < top < 0.3 * 0.001


def test_narrow_neck_is_not_turned_inside_out():
    """A slot almost at the edge: the inset must not cross it."""
    shape = Polygon(shapely.box(0, 0, 0.2, 0.1).exterior, [shapely.box(0.02, 0.0005, 0.18, 0.05).exterior])
    mesh = piece_mesh(layout(pieces([shape])), 0)
    assert mesh.is_watertight
    assert (mesh.area_faces > 0).all()
    assert 0 < mesh.volume < shape.area * THICKNESS


def test_no_such_piece():
    with pytest.raises(IndexError, match="piece 1 of 1"):
        piece_mesh(layout(pieces([SHAPES["board"]])), 1)
