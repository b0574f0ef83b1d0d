"""The steps from jobs to lit floors, each result held under all that it depends on, so that a change redoes only what
it touches.

    job -> room -> layout -> boards (racks of strips) -> model (shell, floor) -> light -> exposure

**Light.** It depends on the room and on mean reflectances, not on single boards. A variant of the same woods in the
same room, light and paint takes the base's, whatever its own boards' mean comes to, so that pictures side by side
differ in the floor alone; any other is lit by its own floor.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray

from preview.floor.laid import LaidFloor
from preview.room.measured import build_room
from preview.room.room import Room
from preview.scene.job import Job, LightChoice, PaintChoice, Viewpoint
from preview.session.memo import Memo
from preview.steps import cameras, lay_in, room_key, shell_key

if TYPE_CHECKING:
    from pathlib import Path

    from preview.light.result.lighting import Lighting
    from preview.light.result.report import FloorLux
    from preview.model.build import RoomShell
    from preview.model.model import Model
    from preview.picture.view.camera import Camera
    from preview.wood.boards import Boards
    from preview.wood.stock import Rack, SawnRack

Array = NDArray[np.float64]

MANY = 64  # rooms and floors; small, and in a session many variants are laid at each change
FEW = 8
LAID_BYTES, MODEL_BYTES, LIGHT_BYTES = 30_000_000, 40_000_000, 40_000_000
VISIBILITY_BYTES = 150_000_000  # a room's takes some 70 to 100 million
PAGE_BYTES = 90_000_000  # of boards' pages; one floor's take up to 160 million (see `wood.stock`), a room's often 20
UNLIT = LightChoice("overcast", None, "auto")


@dataclass(frozen=True, eq=False)
class LitFloor:
    """What is drawn: a floor's boards, its model, the light on it, and its exposure (3,), see `exposure_for`."""

    boards: Boards
    model: Model
    lighting: Lighting
    exposure: Array


class Pipeline:
    """The steps, and what they made. Safe in several threads."""

    def __init__(self) -> None:
        self._rooms: Memo[Room] = Memo(MANY)
        self._laid: Memo[LaidFloor] = Memo(MANY, LAID_BYTES)
        self._racks: Memo[SawnRack] = Memo(MANY, PAGE_BYTES)
        self._boards: Memo[Boards] = Memo(FEW)
        self._shells: Memo[RoomShell] = Memo(FEW, MODEL_BYTES)
        self._models: Memo[Model] = Memo(FEW, MODEL_BYTES)
        self._before_light: Memo[Any] = Memo(FEW, VISIBILITY_BYTES)  # what sees what, and direct light
        self._lights: Memo[Lighting] = Memo(FEW, LIGHT_BYTES)
        self._last_light: Memo[Lighting] = Memo(FEW, LIGHT_BYTES)
        self._cameras: Memo[Camera] = Memo(MANY)

    def lay(self, job: Job) -> LaidFloor:
        """Return a job's floor laid.

        Raises:
            SceneError: it can't be.
        """
        room = self._rooms.of(room_key(job), lambda: build_room(job))
        plain = replace(job, light=UNLIT, paint=PaintChoice(), viewpoints=())
        laid = self._laid.of((room, plain), lambda: lay_in(room, job))
        return laid if laid.job is job else replace(laid, job=job)

    def camera(self, base: LaidFloor, view: str | Viewpoint | Camera, size: tuple[int, int]) -> Camera:
        """Return a camera in the room of `base`: of the viewpoint called so, of one that the scene hasn't, or the one
        given; its pictures are of `size`, a plan's at most.

        Raises:
            SceneError, UsageError: it stands where none can; no viewpoint is called so.
        """
        if not isinstance(view, str | Viewpoint):
            return replace(view, size=size)
        from preview.picture.view.viewpoints import camera_for

        if isinstance(view, str):
            first = base.job.floor.center.opening  # what is proposed depends on it
            key = (base.room, base.job.viewpoints, first, view, size)
            return self._cameras.of(key, lambda: cameras(base, [view], size)[0])
        return self._cameras.of((base.room, view, size), lambda: camera_for(view, base.room, size))

    def lit(
        self,
        floor: LaidFloor,
        base: LaidFloor,
        views: Sequence[Camera],
        soon: bool = False,
        between: Callable[[], None] = lambda: None,
    ) -> LitFloor:
        """Return a floor ready to be drawn.

        Args:
            floor, base: a floor in the same room, light and paint as `base` has its white balance, and its exposure or
                less (`shared_exposure`); any other is metered anew, as the eye adapts.
            views: the boards are cut as finely as these cameras see the floor.
            soon: whether the light of another layout or border of the same woods will do.
            between: called between steps; it may raise.
        """
        from preview.picture.exposure import shared_exposure

        of_base = self._cut_and_lit(base, views, None, soon, between)
        if floor.layout is base.layout and floor.job == base.job:
            return of_base
        ready = self._cut_and_lit(floor, views, (base.job, of_base), soon, between)
        if floor.job.lit_by != base.job.lit_by:
            return ready
        if ready.lighting is of_base.lighting or base.job.light.exposure != "auto":
            return replace(ready, exposure=of_base.exposure)
        return replace(ready, exposure=shared_exposure(of_base.exposure, ready.exposure))

    def _cut_and_lit(
        self,
        floor: LaidFloor,
        views: Sequence[Camera],
        base: tuple[Job, LitFloor] | None,
        soon: bool,
        between: Callable[[], None],
    ) -> LitFloor:
        from preview.picture.exposure import exposure_for
        from preview.picture.view.footprint import floor_density

        between()
        boards = self._cut(floor, floor_density(views, floor.room))
        between()
        model = self._model(floor, boards)
        between()
        if base is not None and _light_key(floor.job, model) == _light_key(base[0], base[1].model):
            lighting = base[1].lighting
        else:
            lighting = self._lighting(floor, model, soon)
        exposure = exposure_for(lighting, floor.job.light.exposure, model.floor_albedo, model.bounds)
        return LitFloor(boards, model, lighting, exposure)

    def _cut(self, floor: LaidFloor, finest: float) -> Boards:
        from preview.wood.boards import cut_boards

        job = floor.job
        strip_wood = job.border.strip.wood if job.border.strip else None
        woods = (job.wood, job.border_wood, strip_wood, job.materials)
        return self._boards.of(
            (floor.layout, woods, finest),
            lambda: cut_boards(
                floor.layout, job.wood, job.border_wood, job.materials, finest, None, strip_wood, self._saw
            ),
        )

    def _saw(self, rack: Rack, density: float, folder: Path | None) -> SawnRack:
        from preview.wood.stock import saw_rack

        return self._racks.of((rack, density, folder), lambda: saw_rack(rack, density, folder))

    def _model(self, floor: LaidFloor, boards: Boards) -> Model:
        from preview.model.build import build_shell, lay_in_shell
        from preview.model.paints import room_paints
        from preview.wood.seasons import drawn_in_season

        job, room = floor.job, floor.room
        paints = room_paints(job.paint, job.materials)
        shell = self._shells.of(
            (shell_key(job), paints, floor.layout.board.thickness), lambda: build_shell(room, floor.layout, paints)
        )

        def make() -> Model:
            layout, shrunk = drawn_in_season(floor.layout, job)
            return lay_in_shell(shell, layout, boards, shrunk)

        return self._models.of((shell, floor.layout, boards, job.woods), make)

    def _lighting(self, floor: LaidFloor, model: Model, soon: bool) -> Lighting:
        from preview.light.bake import light_room
        from preview.light.solve.floor_finish import finish_of
        from preview.light.sources.lamps import lamps_for

        finish = finish_of(model)  # its albedos are rounded, so that most layouts of a wood share their light
        field = "" if finish.field is None else shapely.to_wkb(finish.field, hex=True)
        light, room = replace(floor.job.light, exposure="auto"), floor.room
        edge = floor.job.border.overlap  # with the walls, where the floor's edge lies
        alike = (shell_key(floor.job), *_furnished(floor.job))
        if soon and (known := self._last_light.known(alike)) is not None:
            return known
        found = self._lights.of(
            (model.parts, model.panes, light, edge, (*finish.albedo,), (*finish.border,), model.coat, field),
            lambda: light_room(model, room, light, lamps=lamps_for(room, light), hold=self._before_light.of),
        )
        return self._last_light.put(alike, found)


def floor_light(floor: LaidFloor) -> FloorLux:
    """Return the illuminance of a floor in numbers."""
    from preview.light.result.report import floor_lux

    return floor_lux(Pipeline().lit(floor, floor, ()).lighting, floor.room, floor.job.light)


def _light_key(job: Job, model: Model) -> object:
    """Return what a room's light depends on, by what its job says. The shell's vertices carry light, so their count is
    part of it."""
    shell = tuple((part.name, len(part.vertices)) for part in model.parts)
    return (room_key(job), *_furnished(job), shell)


def _furnished(job: Job) -> tuple[object, ...]:
    """Return what a room's light depends on besides its shape: sky, colours and woods."""
    woods = [replace(each, moisture=None, season="install") for each in job.woods]
    return job.light, job.paint, job.materials, *woods, job.floor.thickness
