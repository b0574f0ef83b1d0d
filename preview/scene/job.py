"""A validated job: one variant of a scene, in metres and radians. Plain frozen values, no behaviour.

Angles are radians anticlockwise from +x unless a field says otherwise; lengths are metres.
`None` means the scene left the choice to the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from preview.errors import Place

Point = tuple[float, float]
Unit = Literal["in", "ft", "mm", "cm", "m"]
OpeningKind = Literal["cased opening", "door", "window"]
ObstacleKind = Literal["hearth", "column", "island", "cabinet"]
Cut = Literal["plainsawn", "riftsawn", "quartersawn"]
Season = Literal["install", "summer", "winter"]


@dataclass(frozen=True)
class Leg:
    """One wall of a tape walk: `bearing` radians anticlockwise from +x, `length` metres, `text` as typed."""

    bearing: float
    length: float
    text: str


@dataclass(frozen=True)
class Diagonal:
    """A taped length between two corners that are no neighbours, both counted from 1; metres."""

    first: int
    last: int
    length: float


@dataclass(frozen=True)
class RoomMeasure:
    """The room as measured: either `corners` or `walk` is filled, the other is empty; `diagonals` go with both."""

    corners: tuple[Point, ...]
    walk: tuple[Leg, ...]
    height: float
    baseboard: float
    wall_thickness: float
    diagonals: tuple[Diagonal, ...] = ()


@dataclass(frozen=True)
class Opening:
    """A door, cased opening or window; `wall` counts from 1, `offset` runs from the wall's first corner."""

    name: str
    kind: OpeningKind
    wall: int
    offset: float
    width: float
    height: float
    sill: float
    beyond: float


@dataclass(frozen=True)
class Obstacle:
    """Something the floor stops at; `baseboard` is the thickness of one that runs round it, 0 for none."""

    name: str
    kind: ObstacleKind
    corners: tuple[Point, ...]
    height: float
    baseboard: float


@dataclass(frozen=True)
class Vent:
    """A flush grille: `size` is the frame's outer (along, across), `angle` the direction of along."""

    name: str
    center: Point
    size: tuple[float, float]
    angle: float


@dataclass(frozen=True)
class Center:
    """What the courses are centred on; `opening` and `point` are set for their own kind only."""

    kind: Literal["room", "opening", "point"]
    opening: str | None = None
    point: Point | None = None


@dataclass(frozen=True)
class FloorChoice:
    """What was asked of the layout. `board_length` None means "fit"; `run` None means not given.

    `lengths` are those of ready-cut blocks in stock, of which one is to be chosen; empty where boards are cut to fit.
    `pattern` is the name of how boards are laid, the usual one where empty; `own` are the keys that this pattern alone
    takes, as far as they were given, with their values (metres, radians).
    `start` is "full", "both" or the distance in metres from the near end of the field to the start point.
    """

    board_width: float
    board_length: float | None
    courses: Literal["even", "odd", "any"] | int
    run: float | None
    center: Center
    start: Literal["full", "both"] | float
    thickness: float
    gap: float
    lengths: tuple[float, ...] = ()
    pattern: str = ""
    own: tuple[tuple[str, float], ...] = ()

    def of_pattern(self, key: str) -> float | None:
        """Return what was given for a key that the pattern takes, None where it wasn't."""
        return dict(self.own).get(key)


@dataclass(frozen=True)
class Sticks:
    """`count` sticks of flooring of one length, metres."""

    length: float
    count: int


@dataclass(frozen=True)
class StockChoice:
    """What one buys: `lengths`, the sticks at hand, or `shortest` and `longest` where they come in random lengths.

    `bundle` is the area of a bundle, square metres, None where it isn't given; `kerf` what a cut takes, `trim` what
    squaring each end of a stick takes, the cut included; metres.
    """

    lengths: tuple[Sticks, ...] = ()
    shortest: float | None = None
    longest: float | None = None
    bundle: float | None = None
    kerf: float = 0.003175
    trim: float = 0.0127

    @property
    def random(self) -> bool:
        """Whether sticks come in random lengths."""
        return self.longest is not None


@dataclass(frozen=True)
class Moisture:
    """Moisture content of the wood when it is laid, at the end of summer and at the end of winter, per cent."""

    install: float
    summer: float
    winter: float


@dataclass(frozen=True)
class WoodChoice:
    """A wood as ordered; names are those of the files in materials/.

    `moisture` is None where its movement isn't asked for; `season` is when the floor is drawn, and `age` how many
    years of daylight it has had by then.
    """

    species: str
    cut: Cut
    grade: str
    stain: str
    finish: str
    seed: int
    moisture: Moisture | None = None
    season: Season = "install"
    age: float = 0.0


@dataclass(frozen=True)
class StripChoice:
    """A feature strip between border and field: its `width`, metres, and its `wood`."""

    width: float
    wood: WoodChoice


@dataclass(frozen=True)
class BorderChoice:
    """The border: `width` 0 for none, `overlap` under the baseboard, `longest` piece, which goes for the feature
    `strip` inside it too; None for no strip."""

    width: float
    overlap: float
    longest: float
    strip: StripChoice | None = None

    @property
    def strip_width(self) -> float:
        """Width of the feature strip, metres, 0 where there is none."""
        return self.strip.width if self.strip else 0.0

    @property
    def depth(self) -> float:
        """How far inside the floor's edge the field begins, metres: the border's width and the strip's."""
        return self.width + self.strip_width


@dataclass(frozen=True)
class Sun:
    """The sun is asked for by place (degrees, north and east positive) and a time with its offset."""

    latitude: float
    longitude: float
    time: datetime


@dataclass(frozen=True)
class LightChoice:
    """Daylight and lamps: `exposure` is "auto" or an exposure value in stops (EV100); `lamps` the lux that lamps throw
    on the ceiling, or "auto": on where there is no window, off elsewhere."""

    sky: Literal["overcast", "clear"]
    sun: Sun | None
    exposure: Literal["auto"] | float
    lamps: Literal["auto"] | float = "auto"


@dataclass(frozen=True)
class PaintChoice:
    """What the room is painted in: for each surface the name of a paint or its sRGB, "#rrggbb" in small letters; None
    where the scene doesn't say."""

    walls: str | None = None
    ceiling: str | None = None
    trim: str | None = None
    cabinets: str | None = None


@dataclass(frozen=True)
class Target:
    """A place named in a viewpoint: an opening, obstacle or vent by name, the centre, or a point (z may be None)."""

    kind: Literal["opening", "obstacle", "vent", "center", "point"]
    name: str | None = None
    point: tuple[float, float, float | None] | None = None


@dataclass(frozen=True)
class Viewpoint:
    """A camera as the scene asks for it; a plan needs none of at, eye, look, fov, tilt.

    `look` None: from an opening along its sight line, else the middle of the floor. `fov` is horizontal, radians; None:
    what suits the view. `tilt` is how far down the camera is tipped, radians.
    """

    name: str
    kind: Literal["eye", "plan"]
    at: Target | None
    eye: float
    look: Target | None
    fov: float | None
    tilt: float = 0.0


@dataclass(frozen=True)
class Job:
    """One variant of a scene, validated as far as the file alone allows.

    `materials` is a folder whose woods, stains, finishes and paints add to the program's own, None for none.

    `lines` maps a key path (as in `Place.key`) to its line in the file, so that later steps can say where.
    """

    file: str
    title: str
    variant: str
    units: Unit
    north: float
    room: RoomMeasure
    openings: tuple[Opening, ...]
    obstacles: tuple[Obstacle, ...]
    vents: tuple[Vent, ...]
    floor: FloorChoice
    border: BorderChoice
    wood: WoodChoice
    border_wood: WoodChoice
    light: LightChoice
    viewpoints: tuple[Viewpoint, ...]
    stock: StockChoice = StockChoice()
    paint: PaintChoice = PaintChoice()
    materials: Path | None = None
    lines: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}), compare=False, repr=False)

    @property
    def woods(self) -> tuple[WoodChoice, ...]:
        """The woods of the field, of border and thresholds, and of the feature strip where there is one."""
        return (self.wood, self.border_wood, *([self.border.strip.wood] if self.border.strip else []))

    @property
    def lit_by(self) -> object:
        """What a room's light hangs on: variants alike in it are drawn at one white balance, and no brighter than one
        exposure."""
        return self.light, self.paint, self.north, self.room, self.openings, self.obstacles

    def place(self, key: str) -> Place:
        """Return where `key` stands; a missing key takes the line of the nearest table above it."""
        above = key
        while above and above not in self.lines:
            above = above.rpartition(".")[0]
        return Place(self.file, key, self.lines.get(above))
