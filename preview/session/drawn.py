"""Floors drawn one after another, as the commands ask for them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from preview.floor.laid import LaidFloor
from preview.room.places import shows_north
from preview.session.pipeline import LitFloor, Pipeline
from preview.steps import SIZE, cameras

if TYPE_CHECKING:
    from preview.picture.draw import Engine
    from preview.picture.picture import Picture
    from preview.picture.view.camera import Camera


@dataclass(frozen=True, eq=False)
class Drawn:
    """A picture with the floor it shows."""

    floor: LaidFloor
    picture: Picture


def draw_floors(
    floors: Sequence[LaidFloor],
    names: Sequence[str] = (),
    size: tuple[int, int] = SIZE,
    base: LaidFloor | None = None,
) -> Iterator[Drawn]:
    """Draw floors of one scene, floor by floor, from the viewpoints called `names` (all where there are none).

    Every floor is seen by the cameras of `base` (the first floor where None). Floors in the same room, light and paint
    as the base share its exposure and white balance (`shared_exposure`: a much paler one is exposed less), so that
    pictures from one viewpoint differ only in the floor, whether they are drawn together or one by one; any other is
    metered anew, as the eye adapts. Floors that share a room, a wood and a light with the base are lit as it is.

    Raises:
        UsageError: no viewpoint is called so.
        RenderError: no picture can be drawn on this machine.
    """
    base = base or floors[0]
    yield from draw_views(floors, cameras(base, names, size), base)


def draw_views(floors: Sequence[LaidFloor], views: Sequence[Camera], base: LaidFloor) -> Iterator[Drawn]:
    """Draw floors of one scene, floor by floor, as `draw_floors` does, by any cameras in the room of `base`."""
    from preview.picture.draw import check_drawing, empty_engine

    check_drawing()
    pipeline = Pipeline()
    with empty_engine() as engine:
        for floor in floors:
            ready = pipeline.lit(floor, base, views)
            for camera in views:
                yield Drawn(floor, draw_lit(engine, floor, ready, camera))


def draw_lit(
    engine: Engine,
    floor: LaidFloor,
    ready: LitFloor,
    camera: Camera,
    between: Callable[[], None] | None = None,
    coat_pixels: int | None = None,
) -> Picture:
    """Draw one picture of a floor; a plan gets its marks. `between` and `coat_pixels` as in `Engine.draw`."""
    from preview.picture.plan.plan_marks import mark_plan

    job = floor.job
    engine.show(ready.model, ready.boards, ready.lighting)
    picture = engine.draw(camera, ready.exposure, job.title, job.variant, between, coat_pixels)
    if camera.fov is not None:
        return picture
    north = floor.room.north if shows_north(floor.room, job) else None
    return mark_plan(picture, floor.room, job.units, north, floor.layout.center_line)
