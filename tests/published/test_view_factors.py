"""View factors and radiosity against closed forms.

J. R. Howell, *A Catalog of Radiation Configuration Factors*: C-11 and C-14 (rectangles), B-3 and B-4 (an element and a
rectangle); the numbers are those formulas worked out, equal to quadrature at 1e-6. White furnace, energy and
reciprocity hold exactly in any closed room.
"""

from __future__ import annotations

import numpy as np
import pytest
from light_rooms import box_room

from preview.light.geometry.factors import point_factors
from preview.light.geometry.transport import form_factors, patch_faces
from preview.light.geometry.visibility import build_geometry
from preview.light.solve.radiosity import solve_irradiance

CLOSED, MESHED = 1e-6, 0.01


def element_to(rectangle):
    up = np.array([[0.0, 0.0, 1.0]])
    return point_factors(np.zeros((1, 3)), up, np.array([rectangle], dtype=float))[0, 0]


@pytest.mark.parametrize(
    ("a", "b", "factor"), [(1, 1, 0.138532), (2, 1, 0.167375), (0.5, 0.5, 0.059864), (3, 2, 0.217575)]
)
def test_b3_element_to_parallel_rectangle(a, b, factor):
    assert element_to([(0, 0, 1), (0, b, 1), (a, b, 1), (a, 0, 1)]) == pytest.approx(factor, abs=CLOSED)


@pytest.mark.parametrize(
    ("h", "w", "factor"), [(1, 1, 0.055734), (0.5, 1, 0.021121), (2, 1, 0.095068), (1, 3, 0.071590)]
)
def test_b4_element_to_perpendicular_rectangle(h, w, factor):
    standing = [(0, 1, 0), (w, 1, 0), (w, 1, h), (0, 1, h)]
    assert element_to(standing) == pytest.approx(factor, abs=CLOSED)
    sunk = [(0, 1, -5), (w, 1, -5), (w, 1, h), (0, 1, h)]
    assert element_to(sunk) == pytest.approx(factor, abs=CLOSED), "what lies under the horizon counts for nothing"
    assert element_to([(0, 1, -2), (w, 1, -2), (w, 1, -1), (0, 1, -1)]) == 0.0


def mean_over(corner, s, t, normal, polygon, power=1):
    """Mean factor over a rectangle by Gauss-Legendre, crowded towards t = 0 by `power`."""
    node, weight = np.polynomial.legendre.leggauss(40)
    node, weight = (node + 1) / 2, weight / 2
    u, v = (each.ravel() for each in np.meshgrid(node, node**power))
    wu, wv = (each.ravel() for each in np.meshgrid(weight, weight * power * node ** (power - 1)))
    points = np.asarray(corner, float) + u[:, None] * np.asarray(s, float) + v[:, None] * np.asarray(t, float)
    normals = np.tile(np.asarray(normal, float), (len(points), 1))
    return (point_factors(points, normals, np.array([polygon], float))[:, 0] * wu * wv).sum()


@pytest.mark.parametrize(
    ("x", "y", "factor"), [(1, 1, 0.199825), (2, 1, 0.285875), (0.5, 0.5, 0.068590), (4, 3, 0.587616)]
)
def test_c11_opposed_rectangles(x, y, factor):
    above = [(0, 0, 1), (0, y, 1), (x, y, 1), (x, 0, 1)]
    assert mean_over((0, 0, 0), (x, 0, 0), (0, y, 0), (0, 0, 1), above) == pytest.approx(factor, abs=CLOSED)


@pytest.mark.parametrize(
    ("h", "w", "factor"), [(1, 1, 0.200044), (0.5, 1, 0.146187), (2, 1, 0.232853), (1, 2, 0.116426)]
)
def test_c14_perpendicular_rectangles(h, w, factor):
    wall = [(0, 0, 0), (0, 0, h), (1, 0, h), (1, 0, 0)]
    found = mean_over((0, 0, 0), (1, 0, 0), (0, w, 0), (0, 0, 1), wall, power=3)
    assert found == pytest.approx(factor, abs=CLOSED)


# Room 5 x 4 x 2.5 m: faces floor, ceiling, walls along 5 m (two), along 4 m (two); C-11 and C-14.
SIZE = (5.0, 4.0, 2.5)
FACTORS = {
    ("floor", "ceiling"): 0.376013,
    ("floor", "wall 1"): 0.174570,
    ("floor", "wall 2"): 0.137424,
    ("wall 1", "wall 3"): 0.161183,
    ("wall 1", "wall 2"): 0.140097,
    ("wall 2", "wall 4"): 0.100064,
}


@pytest.fixture(scope="module")
def closed_room():
    """Form factors, areas and each patch's face of a closed room as the bake meshes it."""
    model, room = box_room(SIZE)
    geometry = build_geometry(model, room)
    faces = patch_faces(geometry.around)
    owner = np.full(len(faces.areas), len(geometry.shell.names))
    owner[geometry.shell.patch] = geometry.shell.part
    factors, areas = form_factors(faces)
    return factors, areas, np.array([*geometry.shell.names, "floor"])[owner]


def test_meshed_room_has_the_closed_forms(closed_room):
    factors, areas, owner = closed_room
    for (one, other), expected in FACTORS.items():
        rows, columns = owner == one, owner == other
        found = (areas[rows] @ factors[rows][:, columns].sum(axis=1)) / areas[rows].sum()
        assert found == pytest.approx(expected, rel=MESHED), (one, other)


def test_closed_room_is_closed_and_reciprocal(closed_room):
    factors, areas, _ = closed_room
    assert np.abs(factors.sum(axis=1) - 1).max() < 1e-9
    flow = factors.multiply(areas[:, None]).tocsr()
    assert abs(flow - flow.T).max() < 1e-12


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.5, 0.8])
def test_white_furnace(closed_room, rho):
    factors, areas, _ = closed_room
    emission = np.full((len(areas), 1), 1 - rho)
    light = solve(factors, areas, rho, emission)
    assert np.abs(rho * light + emission - 1).max() < 1e-9


def solve(factors, areas, rho, emission):
    """Irradiance where patches emit by themselves: what the emission gives directly, then the balance."""
    direct = factors @ emission
    reflectance = np.broadcast_to(np.asarray(rho, dtype=float).reshape(-1, 1), emission.shape)
    return solve_irradiance(factors, reflectance, direct, areas, np.zeros(len(areas)), tolerance=1e-13)


@pytest.mark.parametrize("rho", [0.5, 0.8])
def test_energy_of_one_bright_wall(closed_room, rho):
    """Mean E = Phi / (A (1 - rho)), at any meshing."""
    factors, areas, owner = closed_room
    emission = (owner == "wall 2").astype(float)[:, None]
    light = solve(factors, areas, rho, emission)[:, 0]
    flux = areas[owner == "wall 2"].sum()
    assert (areas * light).sum() == pytest.approx(flux / (1 - rho), rel=1e-9)


def six_faces(size):
    """Form factors of a box, one patch a face: floor, ceiling, two walls along x, two along y."""
    x, y, z = size
    corners = np.array([(0, 0, 0), (x, 0, 0), (x, y, 0), (0, y, 0), (0, 0, z), (x, 0, z), (x, y, z), (0, y, z)], float)
    faces = [(0, 1, 2, 3), (4, 7, 6, 5), (0, 4, 5, 1), (2, 6, 7, 3), (1, 5, 6, 2), (3, 7, 4, 0)]
    count = len(faces)
    factors, areas = np.zeros((count, count)), np.zeros(count)
    for i, face in enumerate(faces):
        a, b, _, d = corners[list(face)]
        normal = np.cross(b - a, d - a)
        areas[i] = np.linalg.norm(normal)
        normal /= areas[i]
        for j, other in enumerate(faces):
            if i != j:
                factors[i, j] = mean_towards_edges(a, b - a, d - a, normal, corners[list(other)])
    return factors, areas


def mean_towards_edges(corner, s, t, normal, polygon):
    """Mean factor by Gauss-Legendre crowded towards all four edges, where neighbours touch."""
    node, weight = np.polynomial.legendre.leggauss(40)
    node, weight = (node + 1) / 2, weight / 2
    crowded, share = node**3 * (10 - 15 * node + 6 * node**2), weight * 30 * node**2 * (1 - node) ** 2
    u, v = (each.ravel() for each in np.meshgrid(crowded, crowded))
    wu, wv = (each.ravel() for each in np.meshgrid(share, share))
    points = corner + u[:, None] * s + v[:, None] * t
    found = point_factors(points, np.tile(normal, (len(points), 1)), polygon[None])[:, 0]
    return abs((found * wu * wv).sum())


@pytest.mark.parametrize(
    ("rho", "emitter", "opposite", "side"), [(0.5, 1.09091, 0.18175, 0.18184), (0.8, 1.55172, 0.68955, 0.68968)]
)
def test_unit_cube_with_one_bright_face(rho, emitter, opposite, side):
    """A side sees the bright face with 0.200044, the opposite face with 0.199825, so that sides are the brighter."""
    factors, areas = six_faces((1, 1, 1))
    emission = np.array([[1.0], [0], [0], [0], [0], [0]])
    radiosity = emission + rho * solve(factors, areas, rho, emission)
    assert radiosity[:, 0] == pytest.approx([emitter, opposite, side, side, side, side], abs=1e-5)


def test_room_with_a_bright_ceiling():
    factors, areas = six_faces(SIZE)
    rho = np.array([0.3, 0.7, 0.5, 0.5, 0.5, 0.5])
    emission = np.array([[0.0], [1], [0], [0], [0], [0]])
    light = solve(factors, areas, rho, emission)[:, 0]
    assert light == pytest.approx([0.57917, 0.21255, 0.47338, 0.47338, 0.46990, 0.46990], abs=1e-5)
    assert (areas * (1 - rho) * light).sum() == pytest.approx(20.0, abs=1e-4)
