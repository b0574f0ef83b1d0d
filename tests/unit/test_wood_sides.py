"""Sides and ends of boards show the board's own log."""

import numpy as np
import pytest

from preview.floor.layout import Role
from preview.model.floor import floor_meshes
from preview.wood.boards import END_DEPTH, cut_boards
from preview.wood.stock import END_DEPTH as DRAWN_DEPTH
from preview.wood.strip import Timber, draw
from tests.unit.test_wood_boards import OAK, keys, lay, rectangles

pytestmark = pytest.mark.usefixtures("own_cache")

SIZE = (0.25, 0.03)


@pytest.fixture(scope="module")
def slats():
    laid = lay(rectangles(Role.GRILLE, SIZE, keys(8)))
    wood = cut_boards(laid, OAK, OAK, finest=800)
    return wood, floor_meshes(laid, wood)


def sides(mesh, chosen):
    """Return the piece, the vertices and the texture coordinates of the sides whose |normal . grain| is chosen."""
    along = np.abs((mesh.normals[:, :2] * mesh.grain).sum(axis=1))
    rows = np.flatnonzero((np.abs(mesh.normals[:, 2]) < 1e-3) & chosen(along))
    return mesh.piece[rows], mesh.vertices[rows], mesh.uv[rows]


def test_long_sides_fold_the_face_s_own_grain_down(slats):
    """A side's texture moves as far into the board as it goes down, and starts at the edge that it hangs from."""
    wood, meshes = slats
    for mesh in meshes:
        piece, points, uv = sides(mesh, lambda along: along < 0.1)
        assert len(piece)
        t = (uv[:, 1] - wood.uv_origin[piece, 1]) / wood.uv_scale[piece, 1]
        edge = np.where(points[:, 1] - piece * SIZE[1] > SIZE[1] / 2, SIZE[1], 0.0)
        assert np.abs(t - edge) == pytest.approx(-points[:, 2], abs=2e-4)


def test_ends_show_the_log_s_section(slats):
    """At an edge between face and end the texture goes on at the end's picture, which goes down as the board does."""
    wood, meshes = slats
    for mesh in meshes:
        piece, points, uv = sides(mesh, lambda along: along > 0.9)
        assert len(piece)
        deep = (uv[:, 0] - wood.end[piece]) / np.abs(wood.uv_scale[piece, 0])
        assert deep == pytest.approx(np.minimum(-points[:, 2], END_DEPTH), abs=2e-4)
        t = (uv[:, 1] - wood.uv_origin[piece, 1]) / wood.uv_scale[piece, 1]
        assert t == pytest.approx(np.clip(points[:, 1] - piece * SIZE[1], 0, SIZE[1]), abs=2e-4)


def test_the_end_s_picture_lies_where_boards_say(slats):
    wood, _ = slats
    page = wood.pages[wood.page[0]]
    column = round(float(wood.end[0]) * page.shape[1])
    rows = np.flatnonzero(page[:, column + 2, :3].max(axis=1) > 5)
    shown = page[rows[0] : rows[-1] + 1, column : column + round(END_DEPTH * wood.density)]
    assert END_DEPTH == DRAWN_DEPTH
    assert shown[..., :3].min() > 5  # drawn, nothing black between
    face = page[rows[0] : rows[-1] + 1, : column - 8, :3]
    assert 3 < face.mean() - shown[..., :3].mean() < 40  # ends are a little darker


def test_an_end_meets_its_face():
    """The ring that leaves the face at the board's middle is the ring that goes down its end: the first column of the
    end follows the face's column beside it, pores and fibres left out."""
    from dataclasses import replace

    from preview.wood.species import load_grade, load_species, load_stain

    ash = load_species("ash")
    bare = replace(ash, pores=replace(ash.pores, early=0.0, late=0.0), fibre=0.0, cloud=0.0)
    wood = Timber(bare, "quartersawn", load_grade("select"), load_stain("none"), 7)
    likeness = []
    for seed in range(6):
        strip = draw((seed,), wood, (0.3, 0.1), 2000.0, 0.02)
        face, end = strip.picture[:, 300, 1].astype(float), strip.end[:, 0, 1].astype(float)
        likeness.append(np.corrcoef(face, end)[0, 1])
    assert np.median(likeness) > 0.9
