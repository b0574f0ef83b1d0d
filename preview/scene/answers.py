"""What somebody answered who walked a room with a tape. Plain frozen values; lengths as they were typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from preview.scene.job import Unit


@dataclass(frozen=True)
class OpeningAnswer:
    """An opening as measured along its wall; lengths as typed, `sill` empty for what is no window."""

    name: str
    kind: str
    wall: int
    offset: str
    width: str
    height: str
    sill: str = ""


@dataclass(frozen=True)
class ObstacleAnswer:
    """A rectangle measured from a wall: `offset` along it, `width` along and `depth` away from it, `clear` of it."""

    name: str
    kind: str
    wall: int
    offset: str
    width: str
    depth: str
    clear: str = "0"


@dataclass(frozen=True)
class VentAnswer:
    """A grille measured to its middle: `offset` along a wall, `clear` away; its frame `along` and `across` the wall."""

    wall: int
    offset: str
    clear: str
    along: str
    across: str


@dataclass(frozen=True)
class DiagonalAnswer:
    """A length taped from corner `first` to corner `last`, counted from 1, as typed."""

    first: int
    last: int
    length: str


@dataclass(frozen=True)
class FloorAnswers:
    """What the floor is to be. `run` is a direction as in a walk, or empty to leave it to the program.

    `board_length` is empty where it is to be fitted; `center` is "room" or an opening's name; `border_species` is empty
    where the border is of the field's wood. `strip` is the width of a feature strip, empty for none, and
    `strip_species` is empty where it is of the border's wood.
    """

    board_width: str
    board_length: str
    species: str
    cut: str
    stain: str
    finish: str
    run: str
    center: str
    border: str
    border_species: str
    strip: str = ""
    strip_species: str = ""


@dataclass(frozen=True)
class PaintAnswers:
    """What the room is painted in: names of paints or "#rrggbb", empty where it is left to the program."""

    walls: str = ""
    ceiling: str = ""
    trim: str = ""
    cabinets: str = ""


@dataclass(frozen=True)
class VariantAnswer:
    """Another layout: its name, and the fields of `FloorAnswers` and `PaintAnswers` that it has otherwise."""

    name: str
    changes: Mapping[str, str]


@dataclass(frozen=True)
class Answers:
    """Everything one is asked in the room. Lengths stay as they were typed, numbers alone being in `units`."""

    title: str
    units: Unit
    walk: tuple[str, ...]
    diagonals: tuple[DiagonalAnswer, ...]
    height: str
    baseboard: str
    openings: tuple[OpeningAnswer, ...]
    obstacles: tuple[ObstacleAnswer, ...]
    vents: tuple[VentAnswer, ...]
    floor: FloorAnswers
    paint: PaintAnswers
    variants: tuple[VariantAnswer, ...]
