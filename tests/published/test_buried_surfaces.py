"""Walls that run on behind a baseboard: what lies inside it neither eats light nor gives any.

In any closed room whose surfaces all reflect rho, the mean irradiance is E = Phi / (A (1 - rho)), A being what the room
sees of its surfaces; and where every surface sends out 1 - rho by itself, all are equally bright, B = 1 (the white
furnace). Both follow from the conservation of energy, at any shape and meshing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from light_rooms import box_room, part, sheet

from preview.light.geometry.transport import form_factors, patch_faces
from preview.light.geometry.visibility import build_geometry
from preview.light.solve.radiosity import solve_irradiance

SIZE = X, Y, Z = 3.6, 2.8, 2.4
THICK, TALL = 0.05, 0.11  # of the boards round the room: over half of the lowest row of patches lies behind them


def baseboards():
    """Boards along all four walls, mitred into one another: front and top of each, as a model has them."""
    low, high = np.array([THICK, THICK]), np.array([X - THICK, Y - THICK])
    corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])]
    sheets = []
    for number, corner in enumerate(corners):
        way = np.array([*np.subtract(corners[(number + 1) % 4], corner), 0.0])
        length = np.linalg.norm(way)
        inward = np.array([-way[1], way[0], 0.0]) / length
        sheets.append(sheet((*corner, 0), way, (0, 0, TALL), 0.25, flip=True))
        start = np.array([*corner, TALL]) - inward * THICK - way / length * THICK * (number % 2)
        sheets.append(sheet(start, way * (1 + 2 * THICK / length * (number % 2)), inward * THICK, 0.25))
    return part("baseboard", "trim", 0.5, *sheets)


@pytest.fixture(scope="module")
def room():
    """Form factors of the patches, the areas of what is seen of them, and which are the ceiling's."""
    model, room = box_room(SIZE)
    inner = room.outline.buffer(-THICK, join_style="mitre")
    model = replace(model, parts=(*model.parts, baseboards()))
    geometry = build_geometry(model, replace(room, floor=inner))
    factors, areas = form_factors(patch_faces(geometry.around))
    owner = np.full(len(areas), len(geometry.shell.names))
    owner[geometry.shell.patch] = geometry.shell.part
    return factors, areas, owner == geometry.shell.names.index("ceiling")


def visible():
    """What is seen of all surfaces, square metres."""
    floor = (X - 2 * THICK) * (Y - 2 * THICK)
    boards = 2 * (X + Y - 4 * THICK) * TALL + (X * Y - floor)
    return X * Y + 2 * (X + Y) * (Z - TALL) + floor + boards


def test_areas_are_what_is_seen(room):
    assert room[1].sum() == pytest.approx(visible(), rel=0.01)


@pytest.mark.parametrize("rho", [0.5, 0.8])
def test_energy_of_a_bright_ceiling(room, rho):
    factors, areas, ceiling = room
    emission = ceiling.astype(float)[:, None]
    reflectance = np.full((len(areas), 1), rho)
    light = solve_irradiance(factors, reflectance, factors @ emission, areas, np.zeros(len(areas)), tolerance=1e-12)
    assert (areas @ light)[0] / visible() == pytest.approx(X * Y / visible() / (1 - rho), rel=0.01)


@pytest.mark.parametrize("rho", [0.3, 0.8])
def test_white_furnace(room, rho):
    factors, areas, _ = room
    emission = np.full((len(areas), 1), 1 - rho)
    reflectance = np.full((len(areas), 1), rho)
    light = solve_irradiance(factors, reflectance, factors @ emission, areas, np.zeros(len(areas)), tolerance=1e-12)
    seen = areas > 1e-6
    assert (rho * light + emission)[seen] == pytest.approx(np.ones((seen.sum(), 1)), abs=0.01)
