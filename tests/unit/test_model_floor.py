"""The floor's meshes: they cover the floor, their textures lie along the grain, nothing is left undefined."""

import numpy as np
import pytest
import shapely
from model_values import boards, grille, herringbone, layout, pieces

from preview.floor.layout import Role
from preview.model.ease import BEVEL, SHRINK
from preview.model.floor import floor_meshes

AREA = shapely.box(0, 0, 3, 2.5)


@pytest.fixture(scope="module")
def laid():
    """A herringbone field with a grille in it and two boards of the next room."""
    holed, slots, vent = grille((1.5, 1.0))
    polygons, grain = herringbone(AREA.difference(vent.polygon))
    roles = np.append(np.zeros(len(polygons)), Role.GRILLE)
    floor = pieces([*polygons, holed], roles, np.append(grain, 0.0))
    next_room = pieces([shapely.box(3, 0, 4, 0.1), shapely.box(3, 0.1, 4, 0.2)])
    return layout(floor, next_room, slots=slots)


def triangles(mesh):
    return mesh.vertices[mesh.faces].astype(float)


def plan_area(mesh, chosen=slice(None)):
    a, b, c = np.moveaxis(triangles(mesh)[chosen, :, :2], 1, 0)
    return np.abs(np.cross(np.pad(b - a, ((0, 0), (0, 1))), np.pad(c - a, ((0, 0), (0, 1))))[:, 2]).sum() / 2


def test_tops_and_bevels_cover_the_floor(laid):
    """With no joint the plan areas of tops and bevels sum to the pieces' areas (1e-6: vertices are 32-bit)."""
    meshes = floor_meshes(laid, boards(laid))
    whole = shapely.area(laid.pieces.polygons).sum() + shapely.area(laid.beyond.polygons).sum()
    assert sum(plan_area(mesh) for mesh in meshes) == pytest.approx(whole, rel=1e-6)


def test_faces_agree_with_their_normals(laid):
    """Every face turns the way its normals say; normals have length one and never point down."""
    for mesh in floor_meshes(laid, boards(laid)):
        cross = np.cross(*np.moveaxis(np.diff(triangles(mesh), axis=1), 1, 0))
        size = np.linalg.norm(cross, axis=1)
        real = size > 1e-9
        agree = (cross[real] / size[real, None] * mesh.normals[mesh.faces[real, 0]]).sum(1)
        assert agree.min() > 0.99
        assert np.linalg.norm(mesh.normals, axis=1) == pytest.approx(1, abs=1e-6)
        assert mesh.normals[:, 2].min() >= 0


def test_each_piece_is_on_its_page_with_its_own_marks(laid):
    wood = boards(laid)
    meshes = floor_meshes(laid, wood)
    seen = np.concatenate([np.unique(mesh.piece) for mesh in meshes])
    assert sorted(seen) == list(range(len(laid.pieces) + len(laid.beyond)))
    for mesh in meshes:
        assert (wood.page[mesh.piece] == mesh.page).all()
        assert (mesh.coat == 0).all()  # a grille is of the field's wood and has its finish
        for values in (mesh.vertices, mesh.normals, mesh.uv, mesh.grain, mesh.tint):
            assert np.isfinite(values).all()


def test_texture_runs_along_the_grain_without_stretch(laid):
    """In pixels, texture distance is plan distance x density, and u turns with the grain (either way round)."""
    wood = boards(laid)
    for mesh in floor_meshes(laid, wood):
        pixels = mesh.uv * np.array(wood.pages[mesh.page].shape[1::-1])
        flat = mesh.normals[:, 2] > 0.999
        chosen = mesh.faces[flat[mesh.faces].all(1)]
        for one, two in ((0, 1), (1, 2)):
            step = mesh.vertices[chosen[:, two], :2] - mesh.vertices[chosen[:, one], :2]
            texel = pixels[chosen[:, two]] - pixels[chosen[:, one]]
            along = mesh.grain[chosen[:, 0]]
            s = (step * along).sum(1)
            t = along[:, 0] * step[:, 1] - along[:, 1] * step[:, 0]
            turned = np.sign(wood.uv_scale[mesh.piece[chosen[:, 0]]])
            assert texel == pytest.approx(turned * np.stack([s, t], 1) * wood.density, abs=0.02)


def test_texture_stays_in_the_boards_rectangle(laid):
    wood = boards(laid)
    sizes = np.concatenate([laid.pieces.size, laid.beyond.size])
    ends = np.stack([wood.uv_origin, wood.uv_origin + wood.uv_scale * sizes])
    low, high = ends.min(0), ends.max(0)
    for mesh in floor_meshes(laid, wood):
        assert (mesh.uv >= low[mesh.piece] - 1e-6).all()
        assert (mesh.uv <= high[mesh.piece] + 1e-6).all()


def test_sides_only_where_a_slot_shows(laid):
    """Only the grille has upright faces; open joints have none, but every edge draws back by half of one."""
    wood = boards(laid)

    def upright(each):
        return np.unique(np.concatenate([m.piece[m.normals[:, 2] == 0] for m in floor_meshes(each, wood)]))

    # Where an edge or a neck is too small for the bevel, it is cut back and leaves a step beside the neighbour.
    def keeps_its_corners(shape):
        inset = shape.buffer(-BEVEL / SHRINK, join_style="mitre", mitre_limit=50)
        return inset.geom_type == "Polygon" and shapely.get_num_coordinates(inset) == shapely.get_num_coordinates(shape)

    stepped = {k for k, each in enumerate(laid.pieces.polygons[:-1]) if not keeps_its_corners(each)}
    assert len(stepped) < len(laid.pieces) / 4
    assert set(upright(laid)) - stepped == {len(laid.pieces) - 1}
    open_jointed = layout(laid.pieces, laid.beyond, gap=0.002, slots=laid.slots)
    assert set(upright(open_jointed)) - stepped == {len(laid.pieces) - 1}
    back = np.concatenate([mesh.outline.drawn_back for mesh in floor_meshes(open_jointed, wood)])
    assert back.max() == pytest.approx(0.001) and np.mean(back > 0.00099) > 0.95
    assert not any(mesh.outline.drawn_back.any() for mesh in floor_meshes(laid, wood))


def test_slots_have_depth(laid):
    """Looking into a grille one sees its bars' sides down to the underside of the boards."""
    number = len(laid.pieces) - 1
    points = np.concatenate([m.vertices[m.piece == number] for m in floor_meshes(laid, boards(laid))])
    inside = points[shapely.contains_xy(laid.pieces.polygons[number].envelope.buffer(-0.01), points[:, :2])]
    assert inside[:, 2].min() == pytest.approx(-laid.board.thickness)
    assert inside[:, 2].max() == 0


def test_bevel_is_as_wide_as_it_says():
    """One board: the bevels' plan area is P b - 4 b^2 (32-bit vertices: 1e-4)."""
    one = layout(pieces([shapely.box(0, 0, 0.5, 0.1)]))
    (mesh,) = floor_meshes(one, boards(one))
    sloping = (mesh.normals[mesh.faces[:, 0], 2] < 0.9)  # fmt: skip
    assert plan_area(mesh, sloping) == pytest.approx(1.2 * BEVEL - 4 * BEVEL**2, rel=1e-4)


def test_no_pieces_no_meshes():
    assert floor_meshes(layout(pieces([])), boards(layout(pieces([])))) == ()
