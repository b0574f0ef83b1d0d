"""Doors, cased openings and windows, each put on its wall and checked."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.errors import SceneError
from preview.room.outline import inward
from preview.room.room import RoomOpening
from preview.scene.job import Job, Opening
from preview.units import format_length
from preview.vectors import steps_round

Array = NDArray[np.float64]

TOUCH = 1e-6
"""Openings may touch each other and the corners of the room to this (metres)."""


def place_openings(job: Job, corners: Array, slack: float) -> tuple[RoomOpening, ...]:
    """Return the openings on the walls between `corners` (n, 2).

    Where a walk was closed, an opening measured up to a corner may overshoot it by as much as the corner was moved,
    `slack` metres; it is pushed back onto its wall.

    Raises:
        SceneError: a wall that does not exist, an opening that leaves its wall at either end, is taller than the
            room or overlaps another.
    """
    step = steps_round(corners)
    lengths = np.hypot(*step.T)
    normals = inward(corners)
    slack += TOUCH
    placed: list[RoomOpening] = []
    spans: list[tuple[Opening, tuple[float, float]]] = []
    for number, opening in enumerate(job.openings, 1):
        key = f"openings[{number}]"
        if not 1 <= opening.wall <= len(corners):
            raise SceneError(
                job.place(f"{key}.wall"),
                f"wall {opening.wall} for {opening.name}",
                f"the room has walls 1 to {len(corners)}",
            )
        wall = opening.wall - 1
        _check_size(job, key, opening, lengths[wall], slack)
        near = max(0.0, min(opening.offset, lengths[wall] - opening.width))
        span = (near, min(near + opening.width, lengths[wall]))
        _check_overlap(job, key, opening, span, spans)
        spans.append((opening, span))
        along = step[wall] / lengths[wall]
        placed.append(
            RoomOpening(
                name=opening.name,
                kind=opening.kind,
                wall=opening.wall,
                a=corners[wall] + span[0] * along,
                b=corners[wall] + span[1] * along,
                inward=normals[wall],
                height=opening.height,
                sill=opening.sill,
                beyond=opening.beyond,
                depth=job.room.wall_thickness,
            )
        )
    return tuple(placed)


def _top(opening: Opening) -> float:
    return opening.sill + opening.height


def _check_size(job: Job, key: str, opening: Opening, length: float, slack: float) -> None:
    def say(metres: float) -> str:
        return format_length(metres, job.units)

    if opening.offset < -TOUCH:
        raise SceneError(
            job.place(f"{key}.offset"),
            f"{opening.name} begins {say(-opening.offset)} before wall {opening.wall}",
            "give the distance from the wall's first corner, 0 or more",
        )
    if opening.width > length + slack:
        raise SceneError(
            job.place(f"{key}.width"),
            f"{opening.name} is {say(opening.width)} wide, but wall {opening.wall} is {say(length)} long",
            "give a smaller width, or another wall",
        )
    if opening.offset + opening.width > length + slack:
        raise SceneError(
            job.place(f"{key}.offset"),
            f"{opening.name} ends {say(opening.offset + opening.width)} along wall {opening.wall}, which is "
            f"{say(length)} long",
            f"give an offset of at most {say(length - opening.width)}",
        )
    if _top(opening) > job.room.height + TOUCH:
        raise SceneError(
            job.place(f"{key}.height"),
            f"{opening.name} reaches {say(_top(opening))} above the floor in a room {say(job.room.height)} high",
            f"give a height of at most {say(job.room.height - opening.sill)}",
        )


def _check_overlap(
    job: Job,
    key: str,
    opening: Opening,
    span: tuple[float, float],
    others: list[tuple[Opening, tuple[float, float]]],
) -> None:
    for other, taken in others:
        beside = min(span[1], taken[1]) - max(span[0], taken[0]) > TOUCH
        above = min(_top(opening), _top(other)) - max(opening.sill, other.sill) > TOUCH
        if other.wall == opening.wall and beside and above:
            raise SceneError(
                job.place(f"{key}.offset"),
                f"{opening.name} overlaps {other.name} on wall {opening.wall}",
                f"{other.name} takes {format_length(taken[0], job.units)} to {format_length(taken[1], job.units)} "
                "of that wall; move one of them or make it narrower",
            )
