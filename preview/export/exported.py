"""What is exported of a job: its floor's boards on textures of a given size, and the room round it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.export.painted_boards import painted, shrunk_to
from preview.export.plan_pages import PlanPages, plan_pages
from preview.floor.laid import LaidFloor
from preview.model.build import build_shell, lay_in_shell
from preview.model.model import Model
from preview.model.paints import room_paints
from preview.picture.picture import NATURE
from preview.version import release
from preview.wood.boards import Boards, cut_boards
from preview.wood.seasons import drawn_in_season
from preview.wood.stock import PIXEL, WIDEST, PageLimits

if TYPE_CHECKING:
    from preview.export.baked_light import BakedLight

F32 = NDArray[np.float32]

FINEST = 1250.0  # pixels a metre of wood at most; a pore is a few tenths of a millimetre wide


@dataclass(frozen=True, eq=False)
class ModelFile:
    """A file's bytes; of each texture in it width, height and bytes; `density` of the wood, pixels a metre."""

    data: bytes
    textures: tuple[tuple[int, int, int], ...]
    density: float


def boards_and_model(floor: LaidFloor, texture: int) -> tuple[Boards, Model]:
    """Return a floor's boards, on pages of up to `texture` pixels a side that together have no more than one such page,
    and its model: boards in the room's shell, as wide apart as in the season that the job names."""
    boards = shrunk_to(_cut(floor, FINEST, PageLimits(texture, PIXEL * texture * texture)), texture**2)
    return boards, _model(floor, boards)


def painted_and_model(floor: LaidFloor, texture: int, beyond: bool = True) -> tuple[Boards, Model]:
    """Return the same with each board's own colour on the pages (see `painted`). beyond: whether the next rooms' boards
    are wanted."""
    layout, _ = drawn_in_season(floor.layout, floor.job)
    boards = painted(layout, lambda density: _cut(floor, min(density, FINEST), WIDEST), texture, beyond)
    return boards, _model(floor, boards)


@dataclass(frozen=True, eq=False)
class LitModel:
    """What a lit file is made of: the boards, the model and its light; the floor's pages in plan, as shown."""

    boards: Boards
    model: Model
    light: BakedLight
    sheets: PlanPages
    pages: tuple[NDArray[np.uint8], ...]


def lit_model(floor: LaidFloor, base: LaidFloor, texture: int, beyond: bool = True) -> LitModel:
    """Return a floor as its pictures are lit and exposed, `base` being the scene's own floor, with whose light variants
    in the same room are drawn. texture, beyond: as in `painted_and_model`."""
    from preview.export.baked_light import BakedLight
    from preview.export.lit_pages import lit_page
    from preview.session.pipeline import Pipeline

    lit = Pipeline().lit(floor, base, ())
    light = BakedLight(lit.model, lit.lighting, lit.exposure, lit.boards.finish)
    layout, _ = drawn_in_season(floor.layout, floor.job)
    polygons = np.concatenate([layout.pieces.polygons, layout.beyond.polygons])
    wanted = np.arange(len(polygons)) < (len(polygons) if beyond else len(layout.pieces))
    sheets = plan_pages(polygons, wanted, texture, FINEST)
    boards = _cut(floor, sheets.density, WIDEST)
    pages = tuple(lit_page(layout, boards, light, each) for each in sheets.sheets)
    return LitModel(boards, lit.model, light, sheets, pages)


def _cut(floor: LaidFloor, finest: float, limits: PageLimits) -> Boards:
    job = floor.job
    strip = job.border.strip.wood if job.border.strip else None
    return cut_boards(floor.layout, job.wood, job.border_wood, job.materials, finest, None, strip, limits=limits)


def _model(floor: LaidFloor, boards: Boards) -> Model:
    shell = build_shell(floor.room, floor.layout, room_paints(floor.job.paint, floor.job.materials))
    layout, shrunk = drawn_in_season(floor.layout, floor.job)
    return lay_in_shell(shell, layout, boards, shrunk)


def upright(vectors: F32) -> F32:
    """Return vectors (n, 3) of the plan, x east, y north, z up, as glTF and USD have them: y up, and so (x, z, -y)."""
    return np.column_stack([vectors[:, 0], vectors[:, 2], -vectors[:, 1]]).astype(np.float32)


def named(floor: LaidFloor) -> str:
    """Return what the whole of a model is called."""
    return f"{floor.layout.title}, {floor.layout.variant}"


def told(floor: LaidFloor) -> Mapping[str, str]:
    """Return what every file says of itself, by plain names."""
    return {
        "title": floor.layout.title,
        "variant": floor.layout.variant,
        "comment": NATURE,
        "measure": "Measure on site before anything is cut or ordered by this file.",
        "software": f"herringbone-preview {release()}",
    }
