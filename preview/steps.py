"""The first steps of jobs strung together: rooms, floors in them, cameras that see them. Equal rooms are built once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preview.errors import UsageError
from preview.floor.laid import LaidFloor
from preview.floor.lay import lay_floor
from preview.floor.remedies import Remedy
from preview.letters import same
from preview.room.measured import build_room
from preview.room.room import Room
from preview.scene.job import Job, Viewpoint
from preview.scene.nodes import suggest

if TYPE_CHECKING:
    from preview.picture.view.camera import Camera

SIZE = (1600, 1000)


def lay_jobs(jobs: Sequence[Job]) -> list[LaidFloor]:
    """Lay every job; jobs that differ in nothing the room is built from share one room."""
    rooms: dict[object, Room] = {}
    laid = []
    for job in jobs:
        key = room_key(job)
        if key not in rooms:
            rooms[key] = build_room(job)
        laid.append(lay_in(rooms[key], job))
    return laid


def lay_in(room: Room, job: Job) -> LaidFloor:
    """Lay a job in its room."""
    layout = lay_floor(room, job)
    return _through_the_year(LaidFloor(job, room, layout, Remedy(room, layout, job)))


def _through_the_year(floor: LaidFloor) -> LaidFloor:
    if floor.job.wood.moisture is None:
        return floor
    from preview.wood.seasons import through_the_year

    return through_the_year(floor)


def viewpoint_names(floor: LaidFloor) -> list[str]:
    """Return the names of a scene's viewpoints, its own or those proposed where it has none."""
    return [each.name for each in viewpoints(floor)]


def check_viewpoints(floor: LaidFloor) -> list[str]:
    """Return what the scene's own viewpoints can't show or keep upright, in words.

    Raises:
        SceneError: one is in no place from which the room can be seen.
    """
    return view_remarks(floor) if floor.job.viewpoints else []


def view_remarks(floor: LaidFloor, names: Sequence[str] = (), size: tuple[int, int] = SIZE) -> list[str]:
    """Return what pictures from the viewpoints called `names` (all where there are none) can't show or keep upright."""
    return [remark for camera in cameras(floor, names, size) for remark in camera.remarks]


def check_materials(jobs: Sequence[Job]) -> None:
    """Raise UsageError where a file of a wood, stain, finish or paint that the jobs use can't be read or lacks a
    value."""
    from preview.model.paints import room_paints
    from preview.wood.species import load_finish, load_species, load_stain

    for job in jobs:
        room_paints(job.paint, job.materials)
        for wood in job.woods:
            load_species(wood.species, job.materials)
            load_stain(wood.stain, job.materials)
            load_finish(wood.finish, job.materials)


def cameras(floor: LaidFloor, names: Sequence[str], size: tuple[int, int]) -> list[Camera]:
    """Return the cameras of the viewpoints called `names`, each checked against the room."""
    from preview.picture.view.viewpoints import camera_for

    views = viewpoints(floor)
    chosen = pick([view.name for view in views], names, "viewpoint")
    return [
        camera_for(view, floor.room, size, floor.job.place(f"viewpoints[{number}]") if floor.job.viewpoints else None)
        for number, view in enumerate(views, 1)
        if view.name in chosen
    ]


def eye_cameras(floor: LaidFloor, size: tuple[int, int] = SIZE) -> list[Camera]:
    """Return the cameras of a scene's viewpoints from eye level, in their order."""
    return [each for each in cameras(floor, (), size) if each.fov is not None]


def pick(known: Sequence[str], wanted: Sequence[str], what: str) -> list[str]:
    """Return the names in `known` that are `wanted`, in the order of `known`; all of them where none is wanted.

    A name may be typed in any case.

    Raises:
        UsageError: a name is not known; the message gives the nearest one.
    """
    by_name = {same(name): name for name in known}
    for name in wanted:
        if same(name) not in by_name:
            raise UsageError(f'no {what} is called "{name}"; {suggest(name, known)}')
    chosen = {by_name[same(name)] for name in wanted}
    return [name for name in known if not wanted or name in chosen]


def viewpoints(floor: LaidFloor) -> Sequence[Viewpoint]:
    """Return a scene's viewpoints, its own or those proposed where it has none."""
    if floor.job.viewpoints:
        return floor.job.viewpoints
    from preview.picture.view.proposals import propose_viewpoints

    return propose_viewpoints(floor.room, first=floor.job.floor.center.opening)


def room_key(job: Job) -> object:
    """Return what a room is built from."""
    return shell_key(job), job.border.width, job.border.overlap, job.border.strip_width


def shell_key(job: Job) -> object:
    """Return what a room's shell is built from: all that its walls are and that stands in it."""
    return job.title, job.north, job.room, job.openings, job.obstacles, job.vents
