"""The pages on which a lit floor lies in plan: within their bounds, every piece whole, every pixel the right piece."""

import numpy as np
import pytest
import shapely
from paper_scenes import laid
from unlike_rooms import UNLIKE, floors

from preview.export.baked_light import stitched
from preview.export.board_faces import Windows
from preview.export.plan_pages import BLEED, pieces_seen, plan_pages

HALLWAY = UNLIKE["corridor"].replace("690.4", "2890").replace('"S 690"', '"S 2890"')


def pieces_of(floor):
    both = (floor.layout.pieces, floor.layout.beyond)
    return [np.concatenate([getattr(each, name) for each in both]) for name in ("polygons", "grain", "origin")]


@pytest.mark.parametrize("side", [64, 512, 4096])
@pytest.mark.parametrize("name", [*UNLIKE, "long hallway"])
def test_pages_keep_to_their_bounds_and_use_them(name, side):
    floor = laid(HALLWAY)[0] if name == "long hallway" else floors(name)[0]
    polygons, grain, origin = pieces_of(floor)
    wanted = np.ones(len(polygons), bool)
    found = plan_pages(polygons, wanted, side, 1e9)
    sizes = np.array([each.size for each in found.sheets])
    assert sizes.max() <= side
    total = sizes.prod(axis=1).sum()
    assert total <= side**2
    area, density = shapely.area(polygons).sum(), found.density
    if side > 64:
        assert area * density**2 > 0.5 * side**2, "half of what is allowed shows the floor"
    for number, sheet in enumerate(found.sheets):
        at = sheet.pixels(shapely.get_coordinates(polygons[found.page == number]))
        assert at.min() >= 0 and (at <= sheet.size).all()
        assert np.allclose(sheet.plan(at), shapely.get_coordinates(polygons[found.page == number]))
    windows = found.windows(grain, origin)
    assert isinstance(windows, Windows)
    assert windows.off == pytest.approx(BLEED / density)
    sheet = found.sheets[found.page[0]]
    first = np.array([np.cos(grain[0]), np.sin(grain[0])])
    along = windows.origin[0] + np.array([0.1, 0.0]) @ windows.ways[0]
    assert along * sheet.size == pytest.approx(sheet.pixels(origin[:1] + 0.1 * first)[0])


@pytest.mark.parametrize("name", UNLIKE)
def test_a_pixel_shows_the_piece_that_its_middle_lies_in(name):
    """Pieces with notches, and rooms' edges, included; beside shapely's answer for places drawn at random."""
    polygons, _, _ = pieces_of(floors(name)[0])
    found = plan_pages(polygons, np.ones(len(polygons), bool), 400, 1e9)
    for sheet in found.sheets:
        seen = pieces_seen(polygons, sheet)
        wide, high = sheet.size
        assert seen.shape == (high, wide)
        rng = np.random.default_rng(5)
        column, row = rng.integers(0, wide, 2000), rng.integers(0, high, 2000)
        points = shapely.points(sheet.plan(np.column_stack([column, row]) + 0.5))
        for point, number in zip(points, seen[row, column], strict=True):
            if number >= 0:
                assert polygons[number].distance(point) < 1e-6
            else:
                assert (
                    not (shapely.distance(polygons, point) == 0).any()
                    or polygons[int(np.argmin(shapely.distance(polygons, point)))].boundary.distance(point) < 1e-6
                )


def test_what_is_under_the_boards_is_cut_by_pages_without_gap_or_overlap():
    polygons, _, _ = pieces_of(floors("L")[0])
    found = plan_pages(polygons, np.ones(len(polygons), bool), 512, 1e9)
    assert len(found.sheets) > 1
    square = np.array([[0.1, 0.1, -0.002], [3.2, 0.1, -0.002], [0.1, 3.4, -0.002]], np.float32)
    parts = [part for _, part in found.cut(square)]
    triangles = shapely.polygons(np.concatenate(parts).reshape(-1, 3, 3)[..., :2].astype(float))
    assert shapely.area(triangles).sum() == pytest.approx(3.1 * 3.3 / 2, rel=1e-4)
    assert shapely.union_all(triangles).area == pytest.approx(3.1 * 3.3 / 2, rel=1e-4)


def test_stitched_triangles_have_no_corner_on_an_edge_of_another():
    """A square cut in four unevenly, thrice; afterwards every edge within it belongs to two triangles."""
    triangles = np.array([[[0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]], float)
    for number in (0, 2, 5):
        a, b, c = triangles[number]
        ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
        small = np.array([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]])
        triangles = np.concatenate([np.delete(triangles, number, axis=0), small])
    whole = stitched(triangles)
    edges = {}
    for corners in whole:
        for k in range(3):
            ends = (tuple(corners[k]), tuple(corners[(k + 1) % 3]))
            edges[frozenset(ends)] = edges.get(frozenset(ends), 0) + 1
    for ends, count in edges.items():
        (x0, y0, _), (x1, y1, _) = ends
        rim = x0 == x1 in (0, 1) or y0 == y1 in (0, 1)
        assert count == (1 if rim else 2)
    one, two = whole[:, 1] - whole[:, 0], whole[:, 2] - whole[:, 0]
    area = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2
    assert (area > 0).all() and area.sum() == pytest.approx(1)
