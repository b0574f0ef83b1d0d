"""The sheet of swatches: species and cuts, stains, sheens and oil, a page each."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.fonts import font, wrap
from preview.paper.compare.compare_sheet import INK, NOTE, PAPER, RULE, SOFT
from preview.picture.picture import NATURE
from preview.png import encode_png
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
PANEL = 485  # pixels across a panel
SHEEN = (748, 500)
CUTS: tuple[Cut, ...] = get_args(Cut)
TITLE = "Woods, stains and sheens"
LIGHT = "All boards are drawn under the same even light, in their own colours and at one scale"


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
    for name in names:
        choose = [(cut, "none", plain) for cut in CUTS]
        choose += [(CUTS[0], stain, plain) for stain in stains if stain != "none"]
        choose += [(CUTS[0], "none", finish) for finish in list(tones.values())[1:]]
        woods = [WoodChoice(name, cut, grade, stain, finish, 7) for cut, stain, finish in choose]
        panels = draw_panels(woods, PANEL, materials)
        cuts.append({str(cut): panel for cut, panel in zip(CUTS, panels, strict=False)})
        coloured = len(CUTS) + len(stains) - 1
        others = (each for each in stains if each != "none")
        dyed.append({"none": panels[0], **dict(zip(others, panels[len(CUTS) : coloured], strict=True))})
        toned.append(dict(zip(tones, [panels[0], *panels[coloured:]], strict=True)))
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
    """Return the sheet as one PNG, its pages under each other."""
    pages = sheet_pages(swatches)
    whole = Image.new("RGB", (WIDTH, sum(page.height for page in pages)), PAPER)
    top = 0
    for page in pages:
        whole.paste(page, (0, top))
        top += page.height
    return encode_png(whole, {"Title": TITLE, "Comment": NATURE})


def sheet_pdf(swatches: Swatches) -> bytes:
    """Return the sheet as a PDF, a page for each part, 11 inches wide."""
    first, *rest = sheet_pages(swatches)
    buffer = io.BytesIO()
    first.save(
        buffer,
        "PDF",
        save_all=True,
        append_images=rest,
        resolution=WIDTH / 11,
        quality=92,
        title=TITLE,
        creationDate=None,
        modDate=None,
    )
    return buffer.getvalue()


def sheet_pages(swatches: Swatches) -> list[Image.Image]:
    """Return the pages of the sheet."""
    return [_cuts_page(swatches), _stains_page(swatches), _sheens_page(swatches)]


class _Page:
    """A page that grows downwards: what is set on it, and how far it has come."""

    def __init__(self, title: str, words: str) -> None:
        self.image = Image.new("RGB", (WIDTH, 9000), PAPER)
        self.draw = ImageDraw.Draw(self.image)
        self.text(MARGIN, 90, title, 76, "Semibold")
        self.top = 190
        for line in wrap(words, font(34), WIDTH - 2 * MARGIN, 3):
            self.text(MARGIN, self.top, line, 34, colour=SOFT)
            self.top += 44
        self.top += 36

    def text(self, x: int, y: int, words: str, size: int, weight: str = "Regular", colour: str = INK) -> None:
        self.draw.text((x, y), words, font=font(size, weight), fill=colour)

    def put(self, x: int, y: int, picture: Pixels) -> None:
        self.image.paste(Image.fromarray(picture), (x, y))

    def done(self) -> Image.Image:
        self.draw.line((MARGIN, self.top + 10, WIDTH - MARGIN, self.top + 10), fill=RULE, width=2)
        self.text(MARGIN, self.top + 28, f"{NATURE} {NOTE}", 28, "It", SOFT)
        return self.image.crop((0, 0, WIDTH, self.top + 28 + 90))


def _cuts_page(swatches: Swatches) -> Image.Image:
    page = _Page(
        TITLE, f"Each species in three cuts, select grade, clear satin finish. {LIGHT}; each panel is 14 in wide."
    )
    block = (WIDTH - 2 * MARGIN - 3 * GAP) // 2
    across = (block - 2 * GAP) // 3
    for number, (species, panels) in enumerate(zip(swatches.species, swatches.cuts, strict=True)):
        left, top = MARGIN + number % 2 * (block + 3 * GAP), page.top
        page.text(left, top, species.name, 44, "Semibold")
        beside = left + round(font(44, "Semibold").getlength(species.name)) + 18
        page.text(
            beside, top + 14, wrap(species.botanical, font(28, "It"), left + block - beside, 1)[0], 28, "It", SOFT
        )
        for column, cut in enumerate(CUTS):
            x = left + column * (across + GAP)
            picture = panels[cut][:, :across]
            page.put(x, top + 66, picture)
            page.text(x, top + 66 + picture.shape[0] + 8, cut, 26, colour=SOFT)
        if number % 2 or number == len(swatches.species) - 1:
            page.top += 66 + picture.shape[0] + 74
    return page.done()


def _stains_page(swatches: Swatches) -> Image.Image:
    page = _Page("Stains", f"The same plainsawn boards with each stain, clear satin finish. {LIGHT}.")
    tables = read_tables("stains", swatches.materials)
    names = list(swatches.stains[0])
    label = 230
    across = min(PANEL, (WIDTH - 2 * MARGIN - label - GAP * (len(names) - 1)) // len(names))
    high = min(swatches.stains[0]["none"].shape[0], round(0.5 * across))
    lefts = [MARGIN + label + column * (across + GAP) for column in range(len(names))]
    for left, name in zip(lefts, names, strict=True):
        page.text(left, page.top, "no stain" if name == "none" else name, 44, "Semibold")
        said = "" if name == "none" else str(tables[name].get("what", ""))
        for line, words in enumerate(wrap(said, font(25), across, 3)):
            page.text(left, page.top + 56 + 30 * line, words, 25, colour=SOFT)
    page.top += 162
    for species, panels in zip(swatches.species, swatches.stains, strict=True):
        for line, words in enumerate(wrap(species.name, font(38, "Semibold"), label - 20, 2)):
            page.text(MARGIN, page.top + high // 2 - 26 + 42 * line, words, 38, "Semibold")
        for left, name in zip(lefts, names, strict=True):
            page.put(left, page.top, panels[name][:high, :across])
        page.top += high + GAP
    page.top += 14
    return page.done()


def _sheens_page(swatches: Swatches) -> Image.Image:
    page = _Page(
        "Sheens and oil",
        f"The same floor of {swatches.floor} under each finish, in one room, by the same daylight and exposure.",
    )
    per_row = (WIDTH - 2 * MARGIN + GAP) // (SHEEN[0] + GAP)
    for number, (name, picture) in enumerate(swatches.sheens.items()):
        left = MARGIN + number % per_row * (SHEEN[0] + GAP)
        finish = load_finish(name, swatches.materials)
        page.put(left, page.top, picture)
        page.text(left, page.top + SHEEN[1] + 10, name, 40, "Semibold")
        beside = left + round(font(40, "Semibold").getlength(name)) + 16
        page.text(beside, page.top + SHEEN[1] + 20, f"{finish.kind}, {finish.gloss:g} gloss units", 28, colour=SOFT)
        if number % per_row == per_row - 1 or number == len(swatches.sheens) - 1:
            page.top += SHEEN[1] + 92
    kinds = list(swatches.tones[0])
    if len(kinds) > 1:
        page.top += 16
        page.text(MARGIN, page.top, "What oil does", 56, "Semibold")
        words = f"The same boards, {' above, '.join(kinds)} below: oil goes in between the fibres and deepens the wood."
        page.text(MARGIN, page.top + 74, words, 32, colour=SOFT)
        page.top += 140
        count = len(swatches.species)
        across = min(PANEL, (WIDTH - 2 * MARGIN - 12 * (count - 1)) // count)
        for column, (species, panels) in enumerate(zip(swatches.species, swatches.tones, strict=True)):
            left = MARGIN + column * (across + 12)
            page.text(left, page.top, wrap(species.name, font(32, "Semibold"), across, 1)[0], 32, "Semibold")
            for row, kind in enumerate(kinds):
                part = panels[kind][: round(0.62 * across), :across]
                page.put(left, page.top + 48 + row * (part.shape[0] + 8), part)
        page.top += 48 + len(kinds) * (part.shape[0] + 8) + 32
    return page.done()
