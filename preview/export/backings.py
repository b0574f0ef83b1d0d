"""Plain faces just under the boards: between boards that share no corners, far away, a viewer leaves a pixel here and
there to what lies below them. So that is of the wood's mean colour, under the same finish."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.export.board_faces import BEYOND, NAMES
from preview.floor.layout import Layout, Role
from preview.model.ease import triangles_of
from preview.wood.boards import Boards

DEPTH = 0.002  # metres under the floor: a depth buffer tells the two apart for some tens of metres
INSET = 0.001  # metres that it ends before the boards do, and that it reaches under grilles


@dataclass(frozen=True, eq=False)
class Backing:
    """Faces under the boards of a kind: `name` of it, `wood` (see `wood_of`), positions (v, 3), metres, z up, faces
    (f, 3) seen from above, `albedo` (3,) linear."""

    name: str
    wood: int
    positions: NDArray[np.float32]
    faces: NDArray[np.int32]
    albedo: tuple[float, float, float]


def backings(layout: Layout, boards: Boards, beyond: bool = True) -> list[Backing]:
    """Return what lies under a floor's field, its border and thresholds, and the next rooms' floors; under grilles and
    strips there is nothing."""
    role = layout.pieces.role
    grilles = shapely.union_all(
        [shapely.Polygon(each.exterior) for each in layout.pieces.polygons[role == Role.GRILLE]]
    )
    open_below = shapely.buffer(grilles, -INSET, join_style="mitre")
    under = [
        (NAMES[Role.BOARD], 0, [layout.field]),
        (NAMES[Role.BORDER], 1, layout.pieces.polygons[role == Role.BORDER]),
        (NAMES[Role.THRESHOLD], 1, layout.pieces.polygons[role == Role.THRESHOLD]),
        (BEYOND, 0, layout.beyond.polygons if beyond else []),
    ]
    found = []
    for name, wood, polygons in under:
        # Joined, then drawn in: pieces drawn in one by one would leave their joints open.
        whole = shapely.buffer(shapely.union_all(list(polygons), grid_size=1e-6), -INSET, join_style="mitre")
        shut = shapely.difference(whole, open_below)
        parts = [triangles_of(each) for each in shapely.get_parts(shut) if each.area > 0]
        if parts:
            corners = np.concatenate(parts).reshape(-1, 2)
            red, green, blue = (float(each) for each in (boards.border_albedo if wood else boards.mean_albedo))
            found.append(
                Backing(
                    name,
                    wood,
                    np.column_stack([corners, np.full(len(corners), -DEPTH)]).astype(np.float32),
                    np.arange(len(corners), dtype=np.int32).reshape(-1, 3),
                    (red, green, blue),
                )
            )
    return found
