"""A floor as it was laid: the job, its room and its layout, which belong together from here on."""

from __future__ import annotations

from dataclasses import dataclass

from preview.floor.layout import Layout
from preview.room.room import Room
from preview.scene.job import Job


@dataclass(frozen=True, eq=False)
class LaidFloor:
    """A job with its room and its layout."""

    job: Job
    room: Room
    layout: Layout
