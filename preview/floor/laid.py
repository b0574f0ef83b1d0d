"""A floor as it was laid: the job, its room and its layout, which belong together from here on; and what would mend
it."""

from __future__ import annotations

from dataclasses import dataclass

from preview.floor.layout import Layout
from preview.floor.remedies import Remedy
from preview.room.room import Room
from preview.scene.job import Job


@dataclass(frozen=True, eq=False)
class LaidFloor:
    """A job with its room, its layout, and what would leave that without small triangles."""

    job: Job
    room: Room
    layout: Layout
    remedy: Remedy
