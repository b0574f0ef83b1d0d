"""What is drawn and lit: triangle meshes in metres, z up, finished floor at z = 0. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from preview.fresnel import SHEEN

F32 = NDArray[np.float32]
I32 = NDArray[np.int32]

Surface = Literal["wall", "ceiling", "trim", "stone", "cabinet", "grille", "duct", "subfloor", "glass", "outside"]


@dataclass(frozen=True, eq=False)
class FloorOutline:
    """The outlines of a mesh's pieces, where their eased edges end below, as rings one after another with the wood on
    the left of every edge.

    corner (k,) the row of each among the mesh's vertices; after (k,) which of these k follows it on its ring; ring (k,)
    counted over all; plain (k,) whether its piece is one ring without a reflex corner; drawn_back (k,) how far, metres,
    the edge from it to the next lies inside the board as it was laid.
    """

    corner: NDArray[np.intp]
    after: NDArray[np.intp]
    ring: NDArray[np.intp]
    plain: NDArray[np.bool_]
    drawn_back: F32


@dataclass(frozen=True, eq=False)
class FloorMesh:
    """The visible faces of all boards on one texture page (tops, bevels, sides where a joint shows).

    vertices (v, 3), normals (v, 3), uv (v, 2), grain (v, 2) unit direction of the grain in plan, tint (v, 3)
    linear factor, piece (v,) int32 index over pieces then beyond, faces (f, 3). `turned` (v, 2) is -1 where u or v runs
    against the board's own axes, None where none does. `coat` is 0 for the field's finish, 1 for the border's and 2 for
    the feature strip's, (v,). `outline` is the pieces', None where their edges are not eased; the faces from
    `first_side` on are sides, None where there are none.
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
    outline: FloorOutline | None = None
    first_side: int | None = None


@dataclass(frozen=True, eq=False)
class ReflectionProxy:
    """A large upright face as reflections take it: the plan line from `start` to `end` (2,), the room on its left, and
    its `height` over the floor, metres.

    A `solid` one, furniture or a column, has nothing before or behind it but a baseboard, which stands out by `foot`
    metres. `panes` are the names of those in a wall,
    `recess` how far the glazed ones stand behind it at most; through an `open` one the next room is seen.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    height: float
    solid: bool = False
    foot: float = 0.0
    panes: tuple[str, ...] = ()
    recess: float = 0.0
    open: bool = False


@dataclass(frozen=True, eq=False)
class Part:
    """A part of the room shell: one surface kind, flat-shaded (vertices are not shared across edges).

    vertices (v, 3), normals (v, 3) facing the side that is seen, faces (f, 3), albedo (3,) linear RGB.
    Faces are cut small enough (about 0.25 m) that light can be carried by vertices. `proxies` are what reflections take
    it for: nothing where it is small, or stands on something.
    """

    name: str
    surface: Surface
    vertices: F32
    normals: F32
    faces: I32
    albedo: tuple[float, float, float]
    proxies: tuple[ReflectionProxy, ...] = ()

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

    `floor_albedo` mean linear RGB of the field's wood, `border_albedo` that of the border and the feature strip outside
    the polygon `field`, the same where it is None; `coat` GGX roughness and refractive index of the finish.
    """

    floor: tuple[FloorMesh, ...]
    parts: tuple[Part, ...]
    panes: tuple[Pane, ...]
    bounds: NDArray[np.float64]
    floor_albedo: tuple[float, float, float]
    border_albedo: tuple[float, float, float] = (0.0, 0.0, 0.0)
    field: Polygon | MultiPolygon | None = None
    coat: tuple[float, float] = (0.25, 1.5)
