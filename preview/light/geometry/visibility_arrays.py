"""A room's geometry and visibility, turned into plain arrays for the cache and back.

Another sky, wall paint or floor colour starts from these.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.cache import Arrays
from preview.light.geometry.final_gather import FinalGather
from preview.light.geometry.floor_cells import FloorCells
from preview.light.geometry.floor_grid import FloorGrid
from preview.light.geometry.pane_visibility import PaneVisibility
from preview.light.geometry.shell import Shell
from preview.light.geometry.surroundings import build_surroundings
from preview.light.geometry.visibility import RoomGeometry, Visibility, turned
from preview.model.model import Model

VALUES = {"shell": Shell, "grid": FloorGrid, "cells": FloorCells}
SEEN = {"nodes": FinalGather, "floor": FinalGather, "panes": PaneVisibility}
SPARSE = ("factors", "inpaint", "filter", "upsample")
PLAIN = ("areas", "emitters", "emitter_factors", "buried")
PACKED = (
    *(f"{name}.{each.name}" for name, kind in (VALUES | SEEN).items() for each in fields(kind)),
    *(f"{name}.{part}" for name in SPARSE for part in ("data", "indices", "indptr", "shape")),
    *PLAIN,
)


def pack(geometry: RoomGeometry, visibility: Visibility) -> Arrays:
    """Return geometry and visibility as plain arrays."""
    arrays: dict[str, NDArray[Any]] = {name: getattr(visibility, name) for name in PLAIN}
    for name, kind in (VALUES | SEEN).items():
        value = getattr(geometry if name in VALUES else visibility, name)
        arrays |= {f"{name}.{each.name}": np.asarray(getattr(value, each.name)) for each in fields(kind)}
    for name in SPARSE:
        matrix = getattr(visibility, name)
        arrays |= {f"{name}.data": matrix.data, f"{name}.shape": np.array(matrix.shape)}
        arrays |= {f"{name}.{part}": getattr(matrix, part).astype(np.int32) for part in ("indices", "indptr")}
    return arrays


def unpack(arrays: Arrays, model: Model) -> tuple[RoomGeometry, Visibility]:
    """Return geometry and visibility from what `pack` made of them, and the panes from their model."""
    from scipy.sparse import csr_array

    def value(name: str, kind: type[Any]) -> Any:  # noqa: ANN401, an object of that kind
        return kind(**{each.name: _plain(arrays[f"{name}.{each.name}"], str(each.type)) for each in fields(kind)})

    def matrix(name: str) -> csr_array:
        data, indices, indptr, shape = (arrays[f"{name}.{part}"] for part in ("data", "indices", "indptr", "shape"))
        return csr_array((data, indices, indptr), shape=tuple(shape.tolist()))

    shell, grid, cells = (value(name, kind) for name, kind in VALUES.items())
    panes = turned(model.panes)
    visibility: dict[str, Any] = {name: value(name, kind) for name, kind in SEEN.items()}
    visibility |= {name: matrix(name) for name in SPARSE} | {name: arrays[name] for name in PLAIN}
    return RoomGeometry(shell, grid, cells, build_surroundings(shell, cells, panes), panes), Visibility(**visibility)


def _plain(array: NDArray[Any], kind: str) -> Any:  # noqa: ANN401, whatever the field is said to hold
    if array.ndim == 0:
        return array.item()
    return tuple(array.tolist()) if kind.startswith("tuple") else array
