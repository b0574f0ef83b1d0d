"""Drawing for the commands: which floors, by whose cameras, with a bar while it lasts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from preview.commands.progress import progress, tell
from preview.floor.laid import LaidFloor
from preview.light.sources.light_remarks import light_remarks
from preview.scene.job import Job
from preview.session import Drawn, draw_floors
from preview.steps import lay_jobs, view_remarks


def with_base(jobs: Sequence[Job], chosen: Sequence[Job]) -> list[LaidFloor]:
    """Lay the chosen jobs and return them after the base scene, by whose cameras and exposure all are drawn."""
    floors = lay_jobs(chosen if chosen[0] is jobs[0] else [jobs[0], *chosen])
    return [floors[0], *floors] if chosen[0] is jobs[0] else floors


def draw(
    base: LaidFloor, floors: Sequence[LaidFloor], views: Sequence[str], pixels: tuple[int, int]
) -> Iterator[Drawn]:
    """Draw floors from the viewpoints, floor by floor, by the cameras and at the exposure of `base`."""
    tell_of_light(floors)
    tell_of_views(base, views, pixels)
    with progress(len(floors) * len(views)) as step:
        for drawn in draw_floors(floors, views, pixels, base):
            yield drawn
            step(f"{drawn.floor.job.variant}, {drawn.picture.camera.name}")


def tell_of_light(floors: Sequence[LaidFloor]) -> None:
    """Warn, once, of every light of the floors that is not as one would expect."""
    said = [light_remarks(floor.room, floor.job.openings, floor.job.light) for floor in floors]
    for words in dict.fromkeys(words for each in said for words in each):
        tell(words)


def tell_of_views(base: LaidFloor, views: Sequence[str], pixels: tuple[int, int]) -> None:
    """Warn of what the pictures can't show or keep upright."""
    for words in view_remarks(base, views, pixels):
        tell(words)


def slim(drawn: Drawn) -> Drawn:
    """Return what was drawn without its linear light, which is most of its size and no sheet needs."""
    return replace(drawn, picture=replace(drawn.picture, hdr=drawn.picture.hdr[:0]))
