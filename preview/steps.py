"""The steps of one job strung together: room, floor, wood, model, light, picture. Equal steps are done once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from preview.errors import UsageError
from preview.floor.laid import LaidFloor
from preview.floor.lay import lay_floor
from preview.floor.remedies import advised
from preview.letters import same
from preview.room.measured import build_room
from preview.room.places import shows_north
from preview.room.room import Room
from preview.scene.job import BorderChoice, Job, Viewpoint
from preview.scene.nodes import suggest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from preview.light.result.lighting import Lighting
    from preview.light.result.report import FloorLux
    from preview.model.model import Model
    from preview.picture.picture import Picture
    from preview.picture.view.camera import Camera
    from preview.wood.boards import Boards

SIZE = (1600, 1000)


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
        room = rooms[key]
        layout = advised(room, lay_floor(room, job), job)
        laid.append(_through_the_year(LaidFloor(job, room, layout)))
    return laid


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
    return [remark for camera in _cameras(floor, names, size) for remark in camera.remarks]


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


def draw_floors(
    floors: Sequence[LaidFloor],
    names: Sequence[str] = (),
    size: tuple[int, int] = SIZE,
    base: LaidFloor | None = None,
) -> Iterator[Drawn]:
    """Draw floors of one scene, floor by floor, from the viewpoints called `names` (all where there are none).

    Every floor is seen by the cameras of `base` (the first floor where None). Floors in the same room, light and paint
    as the base share its exposure and white balance, so that pictures from one viewpoint differ only in the floor,
    whether they are drawn together or one by one; any other is metered anew, as the eye adapts. Floors that share a
    room, a wood and a light are lit once.

    Raises:
        UsageError: no viewpoint is called so.
        RenderError: no picture can be drawn on this machine.
    """
    from preview.picture import check_drawing, mark_plan, open_engine

    base = base or floors[0]
    cameras = _cameras(base, names, size)
    check_drawing()
    light: dict[object, Lighting] = {}
    metered = _lit(base, light, cameras)
    exposure = _exposure(metered, base.job)
    for floor in floors:
        job = floor.job
        ready = metered if floor is base else _lit(floor, light, cameras)
        seen = exposure if job.lit_by == base.job.lit_by else _exposure(ready, job)
        with open_engine(ready.model, ready.boards, ready.lighting) as engine:
            for camera in cameras:
                picture = engine.draw(camera, seen, job.title, job.variant)
                if camera.fov is None:
                    north = floor.room.north if shows_north(floor.room, job) else None
                    picture = mark_plan(picture, floor.room, job.units, north, floor.layout.center_line)
                yield Drawn(floor, picture)


def _exposure(ready: _Lit, job: Job) -> NDArray[np.float64]:
    """Return the exposure of a floor's pictures, (3,)."""
    from preview.picture import exposure_for

    return exposure_for(ready.lighting, job.light.exposure, ready.model.floor_albedo, ready.model.bounds)


def floor_light(floor: LaidFloor) -> FloorLux:
    """Return the illuminance of a floor in numbers."""
    from preview.light.result.report import floor_lux

    return floor_lux(_lit(floor, {}, ()).lighting, floor.room, floor.job.light)


@dataclass(frozen=True, eq=False)
class _Lit:
    """What is drawn: a floor's boards, its model, and the light on it."""

    boards: Boards
    model: Model
    lighting: Lighting


def _lit(floor: LaidFloor, light: dict[object, Lighting], cameras: Sequence[Camera]) -> _Lit:
    """Cut the boards of a floor as finely as the cameras see it, build its model and light it; `light` keeps what
    floors share."""
    from preview.light.bake import light_room
    from preview.light.sources.lamps import lamps_for
    from preview.model.build import build_model
    from preview.model.paints import room_paints
    from preview.picture.view.footprint import floor_density
    from preview.wood.boards import cut_boards
    from preview.wood.seasons import drawn_in_season

    job = floor.job
    finest = floor_density(cameras, floor.room)
    strip_wood = job.border.strip.wood if job.border.strip else None
    boards = cut_boards(floor.layout, job.wood, job.border_wood, job.materials, finest, strip_wood=strip_wood)
    layout, shrunk = drawn_in_season(floor.layout, job)
    model = build_model(floor.room, layout, boards, room_paints(job.paint, job.materials), shrunk)
    key = _light_key(job, model)
    if key not in light:
        light[key] = light_room(model, floor.room, job.light, lamps=lamps_for(floor.room))
    return _Lit(boards, model, light[key])


def _cameras(floor: LaidFloor, names: Sequence[str], size: tuple[int, int]) -> list[Camera]:
    """Return the cameras of the viewpoints called `names`, each checked against the room."""
    from preview.picture import camera_for

    views = viewpoints(floor)
    chosen = pick([view.name for view in views], names, "viewpoint")
    return [
        camera_for(view, floor.room, size, floor.job.place(f"viewpoints[{number}]") if floor.job.viewpoints else None)
        for number, view in enumerate(views, 1)
        if view.name in chosen
    ]


def eye_cameras(floor: LaidFloor, size: tuple[int, int] = SIZE) -> list[Camera]:
    """Return the cameras of a scene's viewpoints from eye level, in their order."""
    return [each for each in _cameras(floor, (), size) if each.fov is not None]


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
    from preview.picture import propose_viewpoints

    return floor.job.viewpoints or propose_viewpoints(floor.room, first=floor.job.floor.center.opening)


def _room_key(job: Job) -> object:
    """What a room is built from."""
    return (job.title, job.north, job.room, job.openings, job.obstacles, job.vents, *_around(job.border))


def _around(border: BorderChoice) -> tuple[float, ...]:
    return border.width, border.overlap, border.strip_width


def _light_key(job: Job, model: Model) -> object:
    """What a room's light depends on; the shell's vertices carry light, so their count is part of it."""
    shell = tuple((part.name, len(part.vertices)) for part in model.parts)
    woods = [replace(each, moisture=None, season="install") for each in job.woods]
    return (_room_key(job), job.light, job.paint, job.materials, *woods, job.floor.thickness, shell)
