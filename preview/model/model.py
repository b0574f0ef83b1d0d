"""What is drawn and lit: triangle meshes in metres, z up, finished floor at z = 0. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

F32 = NDArray[np.float32]
I32 = NDArray[np.int32]

SHEEN = 0.04  # what a rough boundary of n = 1.5 returns of light from all round: paint, stone and wood's share besides
Surface = Literal["wall", "ceiling", "trim", "stone", "cabinet", "grille", "duct", "subfloor", "glass", "outside"]


@dataclass(frozen=True, eq=False)
class FloorMesh:
    """The visible faces of all boards on one texture page (tops, bevels, sides where a joint shows).

    vertices (v, 3), normals (v, 3), uv (v, 2), grain (v, 2) unit direction of the grain in plan, tint (v, 3)
    linear factor, piece (v,) int32 index over pieces then beyond, faces (f, 3). `turned` (v, 2) is -1 where u or v runs
    against the board's own axes, None where none does. `coat` is 0 for the field's finish
    and 1 for the border's, (v,). `drawn_back` (v,) is how far, metres, the edge to which a bevel's vertices belong lies
    inside the board as it was laid; None where no edge does.
    """

    page: int
    vertices: F32
    normals: F32
    uv: F32
    grain: F32
    tint: F32
    piece: I32
    coat: F32
    faces: I32
    turned: F32 | None = None
    drawn_back: F32 | None = None


@dataclass(frozen=True, eq=False)
class Part:
    """A part of the room shell: one surface kind, flat-shaded (vertices are not shared across edges).

    vertices (v, 3), normals (v, 3) facing the side that is seen, faces (f, 3), albedo (3,) linear RGB.
    Faces are cut small enough (about 0.25 m) that light can be carried by vertices.
    """

    name: str
    surface: Surface
    vertices: F32
    normals: F32
    faces: I32
    albedo: tuple[float, float, float]

    @property
    def sheen(self) -> float:
        """Of light from all round, the share that it returns white besides its body colour: the rest, 1 - sheen, falls
        on that. What lies under the floor has none."""
        return 0.0 if self.surface in ("duct", "subfloor") else SHEEN


@dataclass(frozen=True, eq=False)
class Pane:
    """Where daylight comes in: the clear (glazed or open) polygon of a window or opening.

    corners (k, 3) anticlockwise seen from the room, inward (3,) unit normal into the room; `glazed` is False
    for a door or cased opening, through which the next room's light comes.
    """

    name: str
    corners: NDArray[np.float64]
    inward: NDArray[np.float64]
    glazed: bool


@dataclass(frozen=True, eq=False)
class Model:
    """A room with its floor. `bounds` (2, 3) of the room proper.

    `floor_albedo` mean linear RGB of the field's wood, `border_albedo` that of the floor outside the polygon
    `field`, the same where it is None; `coat` GGX roughness and refractive index of the finish.
    """

    floor: tuple[FloorMesh, ...]
    parts: tuple[Part, ...]
    panes: tuple[Pane, ...]
    bounds: NDArray[np.float64]
    floor_albedo: tuple[float, float, float]
    border_albedo: tuple[float, float, float] = (0.0, 0.0, 0.0)
    field: Polygon | MultiPolygon | None = None
    coat: tuple[float, float] = (0.25, 1.5)
