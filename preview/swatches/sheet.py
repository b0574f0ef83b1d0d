"""The sheet of swatches: species and cuts on pages of five species, stains, sheens and oil on a page each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from preview.paper.compare.compare_pages import NOTE
from preview.paper.typesetting import Pictures, typeset
from preview.picture.picture import NATURE
from preview.png import typeset_png
from preview.scene.job import Cut, WoodChoice
from preview.swatches.panels import draw_panels
from preview.swatches.sheens import draw_sheens
from preview.wood.material_types import Species
from preview.wood.species import (
    list_finishes,
    list_grades,
    list_species,
    list_stains,
    load_finish,
    load_species,
    read_tables,
)

Pixels = NDArray[np.uint8]

WIDTH, MARGIN, GAP = 3300, 110, 28
CUT = (WIDTH - 2 * MARGIN - 2 * GAP) // 3  # pixels across a panel of a cut, three in a row
PANEL = 640  # pixels across a panel of a stain or of oil, before it is cut to its place
A_PAGE = 5  # species on a page
LABEL = 230  # pixels that the name of a species takes before its stains
SHEEN = (748, 500)
CUTS: tuple[Cut, ...] = get_args(Cut)
TEMPLATE = Path(__file__).with_name("swatches.typ")
TITLE = "Woods, stains and sheens"
LIGHT = "All boards are drawn under the same even light, in their own colours and at one scale"

OIL = "The same boards, {} below: oil goes in between the fibres and deepens the wood."


@dataclass(frozen=True, eq=False)
class Swatches:
    """What is set: species from light to dark, for each its panels by cut, by stain and by finish; rooms by finish."""

    species: tuple[Species, ...]
    cuts: list[dict[str, Pixels]]
    stains: list[dict[str, Pixels]]
    tones: list[dict[str, Pixels]]
    sheens: dict[str, Pixels]
    floor: str
    materials: Path | None


def swatch_count(materials: Path | None = None) -> int:
    """Return how many steps `draw_swatches` tells of."""
    return len(list_species(materials)) + len(list_finishes(materials))


def draw_swatches(materials: Path | None = None, drawn: Callable[[str], None] = lambda name: None) -> Swatches:
    """Draw every species in each cut, with each stain and under each tone of finish, and every finish on a floor.

    drawn: called with the name of each species and each finish as soon as it is drawn.

    Raises:
        UsageError: where a material can't be read. RenderError: no picture can be drawn on this machine.
    """
    names = sorted(list_species(materials), key=lambda name: -load_species(name, materials).main.lightness)
    grade, finishes, stains = list_grades(materials)[0], list_finishes(materials), list_stains(materials)
    tones = _tones(finishes, materials)
    plain = next(iter(tones.values()))
    cuts, dyed, toned = [], [], []
    for seed, name in enumerate(names, 7):  # boards of other logs, so that no two species have one figure
        sawn = [WoodChoice(name, cut, grade, "none", plain, seed) for cut in CUTS]
        cuts.append(dict(zip(map(str, CUTS), draw_panels(sawn, CUT, materials), strict=True)))
        choose = [(stain, plain) for stain in stains] + [("none", finish) for finish in list(tones.values())[1:]]
        coloured = [WoodChoice(name, CUTS[0], grade, stain, finish, seed) for stain, finish in choose]
        panels = draw_panels(coloured, PANEL, materials)
        dyed.append(dict(zip(stains, panels, strict=False)))
        toned.append(dict(zip(tones, [dyed[-1]["none"], *panels[len(stains) :]], strict=True)))
        drawn(name)
    floor = "white oak" if "white oak" in names else names[0]
    rooms = draw_sheens(finishes, floor, SHEEN, materials, drawn)
    species = tuple(load_species(name, materials) for name in names)
    return Swatches(species, cuts, dyed, toned, dict(zip(finishes, rooms, strict=True)), floor, materials)


def _tones(finishes: tuple[str, ...], materials: Path | None) -> dict[str, str]:
    """Return one finish for each kind that colours wood in its own way, by the kind; satin where there is one."""
    found: dict[str, str] = {}
    for name in sorted(finishes, key=lambda name: (load_finish(name, materials).deepening, "satin" not in name)):
        found.setdefault(load_finish(name, materials).kind, name)
    return found


def sheet_png(swatches: Swatches) -> bytes:
    """Return the sheet as one PNG, its parts under each other."""
    return typeset_png(_typeset(swatches, 1.0, "png"), {"Title": TITLE, "Comment": NATURE})


def sheet_pdf(swatches: Swatches) -> bytes:
    """Return the sheet as a PDF, a page for each part, 11 inches wide and as tall as it takes."""
    return _typeset(swatches, 11 * 72 / WIDTH, "pdf")


def _typeset(swatches: Swatches, pixel: float, form: Literal["png", "pdf"]) -> bytes:
    """Return the sheet as it is set; a pixel of it takes `pixel` points."""
    panels = Pictures(form)
    kinds = list(swatches.tones[0])
    data = {
        "px": pixel,
        "paged": form == "pdf",
        "wide": WIDTH,
        "gap": GAP,
        "label": LABEL,
        "title": TITLE,
        "nature": NATURE,
        "note": f"{NATURE} {NOTE}",
        "cuts-say": f"Each species in three cuts, select grade, clear satin finish. {LIGHT}; each panel shows 24 in "
        "(610 mm).",
        "stains-say": f"The same plainsawn boards with each stain, clear satin finish. {LIGHT}.",
        "sheens-say": f"The same floor of {swatches.floor} under each finish, seen at a slant beside a window, where a "
        "sheen shows most; by the same daylight and exposure.",
        "oil-say": OIL.format(" above, ".join(kinds)) if len(kinds) > 1 else "",
        "floor": swatches.floor,
        "kinds": kinds,
        "a-page": A_PAGE,
        "per-row": (WIDTH - 2 * MARGIN + GAP) // (SHEEN[0] + GAP),
        "species": _species(swatches, panels),
        "stains": _stains(swatches),
        "sheens": [_panel(panels, *each) | {"what": _sheen(each[0], swatches)} for each in swatches.sheens.items()],
    }
    return typeset(TEMPLATE, data, panels.assets, form)


def _species(swatches: Swatches, panels: Pictures) -> list[dict[str, object]]:
    """Return each species with its panels, cut to what a row of them has room for."""
    stain_wide = _stain_width(swatches)
    stain_high = min(swatches.stains[0]["none"].shape[0], round(0.5 * stain_wide))
    count = len(swatches.species)
    tone_wide = min(PANEL, (WIDTH - 2 * MARGIN - 12 * (count - 1)) // count)
    tone_high = round(0.62 * tone_wide)
    return [
        {
            "name": species.name,
            "botanical": species.botanical,
            "cuts": [_panel(panels, name, each) for name, each in cuts.items()],
            "stains": [_panel(panels, name, each[:stain_high, :stain_wide]) for name, each in stains.items()],
            "tones": [_panel(panels, name, each[:tone_high, :tone_wide]) for name, each in tones.items()],
        }
        for species, cuts, stains, tones in zip(
            swatches.species, swatches.cuts, swatches.stains, swatches.tones, strict=True
        )
    ]


def _panel(panels: Pictures, name: str, picture: Pixels) -> dict[str, object]:
    """Return a picture called `name` as the template takes it."""
    return {"name": name, **panels.put(picture)}


def _stain_width(swatches: Swatches) -> int:
    count = len(swatches.stains[0])
    return min(PANEL, (WIDTH - 2 * MARGIN - LABEL - GAP * (count - 1)) // count)


def _stains(swatches: Swatches) -> list[dict[str, object]]:
    tables = read_tables("stains", swatches.materials)
    return [
        {"name": "no stain", "what": "", "wide": _stain_width(swatches)}
        if name == "none"
        else {"name": name, "what": str(tables[name].get("what", "")), "wide": _stain_width(swatches)}
        for name in swatches.stains[0]
    ]


def _sheen(name: str, swatches: Swatches) -> str:
    finish = load_finish(name, swatches.materials)
    return f"{finish.kind}, {finish.gloss:g} gloss units"
