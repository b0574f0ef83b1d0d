"""Materials as data: species, grades, stains and finishes read from TOML; paints and surfaces as tables.

A species has a file of its own, ``white-oak.toml`` for "white oak"; the rest share a file per kind. Every table carries
a `source`; one that starts with ``estimate`` was not read anywhere. A firm's own folder adds to the program's and wins.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple

from preview.data import data_folder
from preview.errors import UsageError
from preview.scene.woods import material_tables
from preview.wood.gloss import floor_alpha

KINDS = ("water-borne", "oil")  # of finishes
SHARED = ("finishes", "stains", "grades", "paints", "surfaces")


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
    `shows` which wood clear boards are of: the sapwood of maple, ash and birch is what is sold. `estimates` the
    tables of the file whose values were read nowhere, `described` the handbook's words."""

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


CLEAR = Finish("clear", 35, 0.05, 1.5)
"""A water-borne coat, under which the colours of the species are given."""


def _folders(materials: Path | None) -> tuple[Path, ...]:
    return (data_folder("materials"),) if materials is None else (data_folder("materials"), Path(materials))


def _mm(data: dict[str, Any], name: str) -> dict[str, float]:
    """Return the numbers of the table `name` in SI: a key that ends in _mm loses the ending and is divided by 1,000."""
    numbers = {key: value for key, value in data[name].items() if key != "source"}
    for key, value in numbers.items():
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"{name}.{key} is {value!r}, not a number")
        if key.endswith("_mm") and not value > 0:
            raise ValueError(f"{name}.{key} is {value:g}; it must be more than 0")
    return {key.removesuffix("_mm"): value / 1000 if key.endswith("_mm") else value for key, value in numbers.items()}


def _lab(table: dict[str, Any], key: str) -> Lab:
    if len(table[key]) != 3:
        raise ValueError(f"{key} is {table[key]}; it takes three numbers: L, a and b")
    return Lab(*map(float, table[key]))


def _species(path: Path) -> Species:
    data = material_tables(path)
    try:
        look, spread = data["look"], data["spread"]
        return Species(
            name=data["name"],
            botanical=data["botanical"],
            aliases=tuple(data.get("aliases", ())),
            heartwood=_lab(data["heartwood"], "lab"),
            sapwood=_lab(data["sapwood"], "lab"),
            spread=(float(spread["lightness"]), float(spread["a"]), float(spread["b"])),
            shift=(float(look["shift"][0]), float(look["shift"][1])),
            cloud=float(look["cloud"]),
            fibre=float(look["fibre"]),
            streaks=float(look["streaks"]),
            shows=str(look["shows"]),
            rings=Rings(**_mm(data, "rings")),
            pores=Pores(**_mm(data, "pores")),
            rays=Rays(**_mm(data, "rays")),
            figure=Figure(**(_mm(data, "figure") if "figure" in data else {})),
            shrinkage=Shrinkage(**_mm(data, "shrinkage")),
            density=float(data["density"]["kg_per_m3"]),
            estimates=tuple(
                key
                for key, table in data.items()
                if isinstance(table, dict) and str(table["source"]).startswith("estimate")
            ),
            measured=_measured(data.get("measured")),
            ageing=_ageing(data.get("ageing")),
            described=str(data["described"]["words"]) if "described" in data else "",
        )
    except (KeyError, TypeError, ValueError, IndexError) as fault:
        said = f"no {fault}" if isinstance(fault, KeyError) else fault
        raise UsageError(f"{path}: this species is not complete: {said}; compare it with white-oak.toml") from fault


def _measured(table: dict[str, Any] | None) -> Measured | None:
    if table is None:
        return None
    return Measured(_lab(table, "lab"), str(table["wood"]), str(table["source"]))


def _ageing(table: dict[str, Any] | None) -> Ageing | None:
    if table is None:
        return None
    years = float(table["years"])
    if years <= 0:
        raise ValueError(f"ageing.years is {years:g}; it must be more than 0")
    return Ageing(_lab(table, "change"), years)


@cache
def _all_species(folders: tuple[Path, ...]) -> dict[str, Species]:
    found: dict[str, Species] = {}
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            if path.stem not in SHARED:
                species = _species(path)
                found[species.name] = species
    return found


def _choose(kind: str, name: str, known: dict[str, Any]) -> Any:  # noqa: ANN401
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1) or [each for each in known if name and name in each][:1]
    hint = f'did you mean "{near[0]}"? ' if near else ""
    raise UsageError(f'no {kind} is called "{name}"; {hint}known: {", ".join(sorted(known))}')


def list_species(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all species, sorted; `materials` is a folder that adds to the program's own.

    Raises:
        UsageError: where a file in it can't be read or lacks a value.
    """
    return tuple(sorted(_all_species(_folders(materials))))


def load_species(name: str, materials: Path | None = None) -> Species:
    """Return a species by its name or one of its aliases.

    Raises:
        UsageError: for an unknown name, with the known ones; for a file that can't be read.
    """
    known = _all_species(_folders(materials))
    by_alias = {alias: species for species in known.values() for alias in species.aliases}
    species: Species = by_alias[name] if name in by_alias and name not in known else _choose("species", name, known)
    return species


@cache
def _tables(kind: str, folders: tuple[Path, ...]) -> dict[str, dict[str, Any]]:
    merged: dict[str, dict[str, Any]] = {}
    for folder in folders:
        path = folder / f"{kind}.toml"
        if path.exists():
            merged |= {name: {**table, "file": str(path)} for name, table in material_tables(path).items()}
    return merged


def read_tables(
    kind: Literal["stains", "finishes", "grades", "paints", "surfaces"], materials: Path | None = None
) -> dict[str, Any]:
    """Return the tables of one kind by name as they are written, each with the `file` that it stands in."""
    return dict(_tables(kind, _folders(materials)))


def _entry(kind: str, word: str, name: str, materials: Path | None) -> dict[str, Any]:
    entry: dict[str, Any] = _choose(word, name, _tables(kind, _folders(materials)))
    return entry


def list_stains(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all stains, as they stand in stains.toml."""
    return tuple(_tables("stains", _folders(materials)))


def list_finishes(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all finishes, as they stand in finishes.toml."""
    return tuple(_tables("finishes", _folders(materials)))


def list_grades(materials: Path | None = None) -> tuple[str, ...]:
    """Return the names of all grades, best first."""
    return tuple(_tables("grades", _folders(materials)))


def load_stain(name: str, materials: Path | None = None) -> Stain:
    """Return a stain by name; UsageError for an unknown one, or one that can't be read."""
    entry = _entry("stains", "stain", name, materials)
    with _telling(entry, name, "absorption = [0.1, 0.2, 0.4], scatter = 0.0 and pores = 1.5"):
        scatter = entry["scatter"]
        return Stain(
            name,
            _three(entry["absorption"]),
            _three([scatter] * 3 if isinstance(scatter, int | float) else scatter),
            float(entry["pores"]),
        )


def load_finish(name: str, materials: Path | None = None) -> Finish:
    """Return a finish by name; UsageError for an unknown one, or one that can't be read."""
    entry = _entry("finishes", "finish", name, materials)
    with _telling(entry, name, 'gloss = 35, ior = 1.5, kind = "oil", deepening = 0.3 and amber = [0, 0.01, 0.05]'):
        gloss, ior = float(entry["gloss"]), float(entry["ior"])
        deepening = float(entry["deepening"])
        if not 0 <= deepening < 1:
            raise ValueError(f"deepening is {deepening:g}; it is a share, 0 to 0.9")
        kind = str(entry["kind"])
        if kind not in KINDS:
            raise ValueError(f"kind is {kind!r}; it is one of {', '.join(KINDS)}")
        return Finish(name, gloss, floor_alpha(gloss, ior), ior, kind, deepening, _three(entry["amber"]))


def _three(values: Any) -> tuple[float, float, float]:  # noqa: ANN401 (what a file holds)
    red, green, blue = map(float, values)
    if min(red, green, blue) < 0:
        raise ValueError(f"found {values}; none may be negative")
    return (red, green, blue)


@contextmanager
def _telling(entry: dict[str, Any], name: str, example: str) -> Iterator[None]:
    """Turn what is wrong with a table into an error that names the file, the table, the key and what is accepted."""
    try:
        yield
    except KeyError as fault:
        raise UsageError(f'{entry["file"]}: ["{name}"] lacks the key {fault}; such as {example}') from fault
    except (TypeError, ValueError) as fault:
        raise UsageError(f'{entry["file"]}: ["{name}"] {fault}; such as {example}') from fault


def load_grade(name: str, materials: Path | None = None) -> Grade:
    """Return a grade by name; UsageError for an unknown one."""
    entry = _entry("grades", "grade", name, materials)
    with _telling(entry, name, "sapwood = 0.1, knots = 2, streaks = 1 and spread = 1.2"):
        return Grade(name, *(float(entry[key]) for key in ("sapwood", "knots", "streaks", "spread")))
