"""What a floor does in summer and in winter: its joints, and the space that it wants at the walls.

**The field.** How far a pattern grows along the run and across it when its boards change their width is the pattern's
to say (`FloorPattern.movement`): bounds for boards that nothing holds to the subfloor. The space is worked out from
them over the distance from the middle of the field. A border runs along its wall and only widens, by its own wood,
and so does a feature strip.
Boards held to a sound subfloor move less, and open their joints instead.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from preview.floor.laid import LaidFloor
from preview.floor.layout import Layout, wood_of
from preview.floor.patterns import pattern_of
from preview.scene.job import Job, Season, Unit, WoodChoice
from preview.units import format_length, round_length
from preview.vectors import right_of, unit
from preview.wood.movement import change
from preview.wood.species import load_species

Array = NDArray[np.float64]

MEANINGS: dict[str, tuple[str, str]] = {
    "board_change_summer": ("m", "change of a field board's width from installation to summer; below 0 it is narrower"),
    "board_change_winter": ("m", "the same to winter"),
    "border_change_summer": ("m", "change of the border's width from installation to summer"),
    "border_change_winter": ("m", "the same to winter"),
    "joint_summer": ("m", "joint between field boards in summer"),
    "joint_winter": ("m", "joint between field boards in winter"),
    "space_wanted": ("m", "the most that the floor needs at a wall in its wetter season, if nothing holds it"),
    "space_left": ("m", "from the floor's outer edge to the walls, under the baseboard"),
}
"""Unit and definition of the measures that a layout has where the wood's moisture is given."""

STRIP_MEANINGS: dict[str, tuple[str, str]] = {
    "strip_change_summer": ("m", "change of the feature strip's width from installation to summer"),
    "strip_change_winter": ("m", "the same to winter"),
}
"""The same of those that it has besides where it has a feature strip."""


@dataclass(frozen=True)
class InSeason:
    """A floor in one season: `moisture` per cent; changes since installation of a field `board`'s width, of the
    `border`'s and of the feature `strip`'s, and the `joint` between field boards, metres; `push` the share by which
    boards that have closed their joints are too wide."""

    name: Season
    moisture: float
    board: float
    border: float
    strip: float
    joint: float
    push: float


@dataclass(frozen=True)
class Space:
    """What the floor wants at one thing that it stops at, and what the layout leaves there, metres."""

    name: str
    wall: bool
    wanted: float
    left: float


@dataclass(frozen=True)
class Seasons:
    """The floor's year: `install` per cent when laid."""

    install: float
    summer: InSeason
    winter: InSeason
    spaces: tuple[Space, ...]

    @property
    def wetter(self) -> InSeason:
        """The season in which the boards are widest."""
        return self.summer if self.summer.board >= self.winter.board else self.winter


def seasons(floor: LaidFloor) -> Seasons | None:
    """Return what a floor does through the year, None where the moisture of its wood isn't given."""
    job, layout = floor.job, floor.layout
    if job.wood.moisture is None:
        return None
    summer, winter = (_in_season(layout, job, name) for name in ("summer", "winter"))
    wettest = max(summer, winter, key=lambda each: each.board)
    border = max(summer.border + summer.strip, winter.border + winter.strip, 0.0)
    return Seasons(job.wood.moisture.install, summer, winter, tuple(_spaces(floor, wettest.push, border)))


def through_the_year(floor: LaidFloor) -> LaidFloor:
    """Return the floor with the measures of its seasons and a warning where it finds too little space."""
    year = seasons(floor)
    if year is None:
        return floor
    layout, units = floor.layout, floor.job.units
    walls = [each for each in year.spaces if each.wall]
    changing = ("board", "border", "strip") if layout.strip_width else ("board", "border")
    measures = {f"{what}_change_{each.name}": getattr(each, what)
                for what in changing for each in (year.summer, year.winter)}  # fmt: skip
    measures |= {f"joint_{each.name}": each.joint for each in (year.summer, year.winter)}
    measures |= {"space_wanted": max(each.wanted for each in walls), "space_left": floor.room.edge}
    things = [each for each in year.spaces if not each.wall]
    warnings = (*layout.warnings, *_warnings(year, walls, units), *_warnings(year, things, units))
    return replace(floor, layout=replace(layout, measures=layout.measures | measures, warnings=warnings))


def drawn_in_season(layout: Layout, job: Job) -> tuple[Layout, Array]:
    """Return the layout to draw in the season that `job` names, and the share (n + m,) by which each of its pieces and
    of those beyond is narrower than it was laid. Where boards are wider, open joints are narrower, or closed."""
    strains = np.array([strain(each, each.season, job.materials) for each in job.woods])
    board = layout.board
    gap = min(board.gap, max(board.gap - strains[0] * board.width, 0.0))
    role = np.concatenate([layout.pieces.role, layout.beyond.role])
    shrunk = np.maximum(-strains[wood_of(role)], 0.0)
    return (layout if gap == board.gap else replace(layout, board=replace(board, gap=gap))), shrunk


def strain(wood: WoodChoice, season: Season, materials: Path | None = None) -> float:
    """Return the change of a board's width from installation to a season, as a share of it."""
    if wood.moisture is None:
        return 0.0
    moisture = wood.moisture
    return change(
        load_species(wood.species, materials).shrinkage, wood.cut, moisture.install, getattr(moisture, season)
    )


def _in_season(layout: Layout, job: Job, name: Season) -> InSeason:
    width, gap = layout.board.width, layout.board.gap
    board = strain(job.wood, name, job.materials) * width
    return InSeason(
        name,
        getattr(job.wood.moisture, name),
        board,
        strain(job.border_wood, name, job.materials) * layout.border_width,
        strain(job.woods[-1], name, job.materials) * layout.strip_width,
        max(gap - board, 0.0),
        max(board - gap, 0.0) / (width + gap),
    )


def _spaces(floor: LaidFloor, push: float, border: float) -> Iterable[Space]:
    """Yield the space wanted at every wall, then at every obstacle that the floor meets."""
    room, layout = floor.room, floor.layout
    along = unit(layout.run)
    frame = np.stack([along, [along[1], -along[0]]])
    reach = shapely.get_coordinates(layout.field) @ frame.T
    middle = frame.T @ ((reach.min(0) + reach.max(0)) / 2)
    tensor = frame.T @ np.diag(push * np.array(pattern_of(floor.job).movement())) @ frame

    def wanted(edge: Array, outward: Array) -> float:
        """What is wanted at an edge (2, 2) of the room, where the field ends a border line inside it."""
        return max(float(((edge - room.border_line * outward - middle) @ tensor @ outward).max()), 0.0) + border

    turn = 1.0 if shapely.is_ccw(shapely.LinearRing(room.corners)) else -1.0
    for number, edge in enumerate(pairwise([*room.corners, room.corners[0]]), 1):
        yield Space(f"wall {number}", True, wanted(np.array(edge), turn * _right(np.array(edge))), room.edge)
    for thing in room.obstacles:
        edges = np.array(list(pairwise(orient(thing.polygon).exterior.coords)))
        met = shapely.distance(shapely.points(edges.mean(axis=1)), room.outline.exterior) > 1e-3
        if met.any():
            left = thing.baseboard - min(floor.job.border.overlap, thing.baseboard)
            yield Space(thing.name, False, max(wanted(edge, -_right(edge)) for edge in edges[met]), left)


def _right(edge: Array) -> Array:
    """Unit vector to the right of an edge (2, 2)."""
    return right_of((edge[1] - edge[0]) / np.hypot(*(edge[1] - edge[0])))


def _warnings(year: Seasons, spaces: list[Space], units: Unit) -> tuple[str, ...]:
    """Say at which of some walls or obstacles the floor, were nothing to hold it, would find too little space."""
    short = [each for each in spaces if round_length(each.wanted, units) > round_length(each.left, units)]
    if not short:
        return ()
    most = format_length(max(each.wanted for each in short), units)
    left = short[0].left
    space = f"{format_length(left, units)} is left under the baseboard" if left > 0 else "no space is left there"
    season = year.wetter
    names = [each.name if each.wall or each.name[:1].isupper() else f"the {each.name}" for each in short]
    where = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return (
        f"in {season.name}, at {season.moisture:g} % moisture, boards that nothing holds down would need up to "
        f"{most} at {where}, and {space}: fasten and space it as the boards' maker says",
    )
