"""The steps of one job strung together: room, floor, wood, model, light, picture. Equal steps are done once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from preview.errors import UsageError
from preview.floor.lay import lay_floor
from preview.floor.layout import Layout
from preview.room.measured import build_room
from preview.room.room import Room
from preview.scene.nodes import suggest
from preview.scene.job import Job, Viewpoint

if TYPE_CHECKING:
    from preview.light.lighting import Lighting
    from preview.model.model import Model
    from preview.picture.camera import Camera
    from preview.picture.picture import Picture

SIZE = (1600, 1000)


@dataclass(frozen=True, eq=False)
class LaidFloor:
    """A job with its room and its layout."""

    job: Job
    room: Room
    layout: Layout


@dataclass(frozen=True, eq=False)
class Drawn:
    """A picture with the floor it shows."""

    floor: LaidFloor
    picture: Picture


def lay_jobs(jobs: Sequence[Job]) -> list[LaidFloor]:
    """Lay every job; jobs that differ in nothing the room is built from share one room."""
    rooms: dict[object, Room] = {}
    laid = []
    for job in jobs:
        key = _room_key(job)
        if key not in rooms:
            rooms[key] = build_room(job)
        laid.append(LaidFloor(job, rooms[key], lay_floor(rooms[key], job)))
    return laid


def viewpoint_names(floor: LaidFloor) -> list[str]:
    """Return the names of a scene's viewpoints, its own or those proposed where it has none."""
    return [each.name for each in _viewpoints(floor)]


def draw_floors(
    floors: Sequence[LaidFloor], names: Sequence[str] = (), size: tuple[int, int] = SIZE
) -> Iterator[Drawn]:
    """Draw floors of one scene, floor by floor, from the viewpoints called `names` (all where there are none).

    Every floor is seen by the first one's cameras at the first one's exposure, so that pictures from one
    viewpoint differ only in the floor. Floors that share a room, a wood and a light are lit once.

    Raises:
        UsageError: no viewpoint is called so.
        RenderError: no picture can be drawn on this machine.
    """
    from preview.light.bake import light_room
    from preview.model.build import build_model
    from preview.picture import exposure_for, mark_plan, open_engine
    from preview.wood.boards import cut_boards

    cameras = _cameras(floors[0], names, size)
    lit: dict[object, Lighting] = {}
    exposure: float | None = None
    for floor in floors:
        job = floor.job
        boards = cut_boards(floor.layout, job.wood, job.border_wood)
        model = build_model(floor.room, floor.layout, boards)
        key = _light_key(job, model)
        if key not in lit:
            lit[key] = light_room(model, floor.room, job.light)
        if exposure is None:
            exposure = exposure_for(lit[key], job.light.exposure, model.floor_albedo)
        with open_engine(model, boards, lit[key]) as engine:
            for camera in cameras:
                picture = engine.draw(camera, exposure, job.title, job.variant)
                if camera.fov is None:
                    north = floor.room.north if "north" in job.lines else None
                    picture = mark_plan(picture, floor.room, job.units, north)
                yield Drawn(floor, picture)


def _cameras(floor: LaidFloor, names: Sequence[str], size: tuple[int, int]) -> list[Camera]:
    """Return the cameras of the viewpoints called `names`, each checked against the room."""
    from preview.picture import camera_for

    views = _viewpoints(floor)
    chosen = pick([view.name for view in views], names, "viewpoint")
    return [
        camera_for(view, floor.room, size, floor.job.place(f"viewpoints[{number}]") if floor.job.viewpoints else None)
        for number, view in enumerate(views, 1)
        if view.name in chosen
    ]


def pick(known: Sequence[str], wanted: Sequence[str], what: str) -> list[str]:
    """Return the names in `known` that are `wanted`, in the order of `known`; all of them where none is wanted.

    A name may be typed in any case.

    Raises:
        UsageError: a name is not known; the message gives the nearest one.
    """
    by_name = {name.casefold(): name for name in known}
    for name in wanted:
        if name.casefold() not in by_name:
            raise UsageError(f'no {what} is called "{name}"; {suggest(name, known)}')
    chosen = {by_name[name.casefold()] for name in wanted}
    return [name for name in known if not wanted or name in chosen]


def _viewpoints(floor: LaidFloor) -> Sequence[Viewpoint]:
    from preview.picture import propose_viewpoints

    return floor.job.viewpoints or propose_viewpoints(floor.room)


def _room_key(job: Job) -> object:
    """What a room is built from."""
    return (job.title, job.north, job.room, job.openings, job.obstacles, job.vents, job.border)


def _light_key(job: Job, model: Model) -> object:
    """What a room's light depends on; the shell's vertices carry light, so their count is part of it."""
    shell = tuple((part.name, len(part.vertices)) for part in model.parts)
    return (_room_key(job), job.light, job.wood, job.border_wood, job.floor.thickness, shell)
