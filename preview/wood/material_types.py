"""What is known of materials: species, grades, stains, finishes and paints, as the files of `materials` have them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Lab(NamedTuple):
    """CIELAB under D65 and the 2 degree observer."""

    lightness: float
    a: float
    b: float


@dataclass(frozen=True)
class Rings:
    """Annual rings; lengths in metres, contrasts in CIELAB lightness.

    `width` and its relative `spread`; `earlywood` width laid down in spring and the width `turn` over which it passes
    into latewood; `early`, `late` how much darker than the middle of the ring its spring and its autumn wood are;
    `line` the darkening of its last tenth of a millimetre or so; `tone` the standard deviation between rings, `drift`
    (0..1) how far a ring resembles the one before it.
    """

    width: float
    spread: float
    earlywood: float
    turn: float
    early: float
    late: float
    line: float
    tone: float
    drift: float


@dataclass(frozen=True)
class Pores:
    """Vessels as they are cut by the face: dashes along the grain.

    `width`, `length` in metres; `early`, `late` the share of the face they cover in earlywood and in latewood;
    `depth` how much darker in CIELAB lightness a pore is where it fills a pixel.
    """

    width: float
    length: float
    early: float
    late: float
    depth: float


@dataclass(frozen=True)
class Rays:
    """Rays, ribbons standing along the radius: `thickness` across, `height` along the grain, metres.

    `share` of the wood they take; `fleck` the CIELAB lightness they add on a quartersawn face, `end` on plainsawn.
    """

    thickness: float
    height: float
    share: float
    fleck: float
    end: float


@dataclass(frozen=True)
class Figure:
    """How far the fibres leave the trunk's axis; angles in degrees, lengths in metres.

    `wave` the standard deviation of their slow undulation in every board; `interlock` the amplitude of the spiral that
    turns round every `interlock_span` of radius, seen as ribbons where the face is radial; `curly` the share of boards
    with regular waves of `curl` degrees and `curl_span` in length.
    """

    wave: float = 1.5
    interlock: float = 0.0
    interlock_span: float = 0.02
    curly: float = 0.0
    curl: float = 0.0
    curl_span: float = 0.01


@dataclass(frozen=True)
class Shrinkage:
    """Shrinkage, green to ovendry, per cent, and dimensional change coefficients per 1 % moisture content."""

    radial: float
    tangential: float
    volumetric: float
    change_radial: float
    change_tangential: float


@dataclass(frozen=True)
class Measured:
    """A colour that was published: of which `wood`, bare, and where."""

    lab: Lab
    wood: str
    source: str


@dataclass(frozen=True)
class Ageing:
    """How daylight indoors changes a wood in the end: `change` in CIELAB, 63 % of it within `years`."""

    change: Lab
    years: float


@dataclass(frozen=True)
class Species:
    """A wood. `spread` (L, a, b) is the standard deviation between boards, `shift` (a, b) the change for each unit of
    lightness lost, `cloud` the slow change within a board and `fibre` the finest texture, both in CIELAB lightness;
    `shows` which wood clear boards are of: the sapwood of maple, ash and birch is what is sold; `mixed` the share of
    boards that show both in every grade. `estimates` the tables of the file whose values were read nowhere, `described`
    the handbook's words."""

    name: str
    botanical: str
    aliases: tuple[str, ...]
    heartwood: Lab
    sapwood: Lab
    spread: tuple[float, float, float]
    shift: tuple[float, float]
    cloud: float
    fibre: float
    streaks: float
    shows: str
    rings: Rings
    pores: Pores
    rays: Rays
    shrinkage: Shrinkage
    density: float
    estimates: tuple[str, ...]
    figure: Figure = Figure()
    measured: Measured | None = None
    described: str = ""
    ageing: Ageing | None = None
    mixed: float = 0.0

    @property
    def main(self) -> Lab:
        """The colour of clear boards."""
        return self.sapwood if self.shows == "sapwood" else self.heartwood

    @property
    def other(self) -> Lab:
        """The colour of the wood that grades keep out."""
        return self.heartwood if self.shows == "sapwood" else self.sapwood


@dataclass(frozen=True)
class Grade:
    """What a grade lets in: share of boards with `sapwood`, `knots` a square metre, factors on `streaks`, `spread`."""

    name: str
    sapwood: float
    knots: float
    streaks: float
    spread: float


@dataclass(frozen=True)
class Stain:
    """A stain as a film of Kubelka and Munk's: `absorption` K X and `scatter` S X in linear R, G, B, of its whole
    thickness X on clear wood; in pores it is `pores` times as thick. A dye does not scatter."""

    name: str
    absorption: tuple[float, float, float]
    scatter: tuple[float, float, float]
    pores: float


@dataclass(frozen=True)
class Finish:
    """A finish: `gloss` in 60 degree gloss units (ISO 2813); `roughness` the GGX alpha and `ior` of its coat.

    `kind` is "water-borne" or "oil"; `deepening` the share of the wood's scattering that it takes away where it goes
    in between the fibres, `amber` the optical depth K X of its own colour in linear R, G, B.
    """

    name: str
    gloss: float
    roughness: float
    ior: float
    kind: str = "water-borne"
    deepening: float = 0.0
    amber: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Paint:
    """A paint or another plain surface: its colour as a screen shows it, "#rrggbb", or its `albedo` in linear R, G, B;
    the other is None."""

    name: str
    srgb: str | None
    albedo: tuple[float, float, float] | None


CLEAR = Finish("clear", 35, 0.05, 1.5)
"""A water-borne coat, under which the colours of the species are given."""
