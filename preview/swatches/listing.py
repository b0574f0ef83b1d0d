"""What there is to choose from, in words and as JSON: species, cuts, grades, stains, finishes and paints."""

from __future__ import annotations

import json
import textwrap
from pathlib import Path
from typing import Any, get_args

from preview.model.paints import paint_code, surface_code
from preview.scene.job import Cut
from preview.wood.material_types import Species
from preview.wood.species import (
    list_finishes,
    list_species,
    load_finish,
    load_species,
    load_stain,
    read_tables,
)

CUTS = {
    "plainsawn": "rings lie at 0 to 30 degrees to the face: cathedrals",
    "riftsawn": "at 30 to 60 degrees: straight lines",
    "quartersawn": "at 60 to 90 degrees: straight and fine, with fleck where rays are broad",
}
TABLES = {
    "heartwood": "colour of heartwood",
    "sapwood": "colour of sapwood",
    "spread": "how far boards differ",
    "look": "tone and texture",
    "rings": "rings",
    "pores": "pores",
    "rays": "rays",
    "shrinkage": "shrinkage",
    "density": "density",
    "ageing": "ageing",
}


def materials_text(materials: Path | None = None) -> str:
    """Return what there is to choose from, in plain English; `materials` is a folder that adds to the program's own.

    Raises:
        UsageError: where a material can't be read.
    """
    lines = ["Species"]
    for name in list_species(materials):
        lines += _species(load_species(name, materials))
    lines += ["", "Cuts", *(_row(cut, CUTS[cut]) for cut in get_args(Cut))]
    lines += ["", "Grades", *(_row(name, _grade(table)) for name, table in read_tables("grades", materials).items())]
    stains = [(load_stain(name, materials).name, table) for name, table in read_tables("stains", materials).items()]
    lines += ["", "Stains", *(_row(name, str(table.get("what", "a stain of your own"))) for name, table in stains)]
    lines += ["", "Finishes", *(_row(name, _finish(name, materials)) for name in list_finishes(materials))]
    paints, surfaces = read_tables("paints", materials), read_tables("surfaces", materials)
    lines += ["", "Paints", *(_coloured(name, each, paint_code(name, materials)) for name, each in paints.items())]
    lines += ["", "Stones and what else is in the room"]
    lines += [_coloured(name, each, surface_code(name, materials)) for name, each in surfaces.items()]
    lines += [
        "",
        "Colours are CIELAB under daylight, D65 and the 2 degree observer. What is estimated was read nowhere:",
    ]
    lines += ["real wood varies from board to board, so choose it from samples."]
    return "\n".join(lines) + "\n"


def materials_json(materials: Path | None = None) -> str:
    """Return the same as JSON."""
    species: dict[str, Any] = {}
    for name in list_species(materials):
        wood = load_species(name, materials)
        measured = wood.measured
        species[name] = {
            "botanical": wood.botanical,
            "aliases": list(wood.aliases),
            "shows": wood.shows,
            "heartwood": list(wood.heartwood),
            "sapwood": list(wood.sapwood),
            "measured": measured and {"lab": list(measured.lab), "wood": measured.wood, "source": measured.source},
            "described": wood.described,
            "estimates": list(wood.estimates),
            "shrinkage": vars(wood.shrinkage),
            "density": wood.density,
        }
    found: dict[str, Any] = {"species": species, "cuts": CUTS}
    for kind in ("grades", "stains", "finishes", "paints", "surfaces"):
        found[kind] = read_tables(kind, materials)
    return json.dumps(found, indent=2, ensure_ascii=False) + "\n"


def _row(name: str, words: str) -> str:
    return f"  {name:<16}{words}"


def _species(wood: Species) -> list[str]:
    also = f", also {', '.join(wood.aliases)}" if wood.aliases else ""
    told = {table: words for table, words in TABLES.items() if table != "ageing" or wood.ageing}
    read = [words for table, words in told.items() if table not in wood.estimates]
    known = [words for table, words in told.items() if table in wood.estimates]
    lines = [_row(wood.name, f"{wood.botanical}{also}")]
    said = [
        f"colour {_lab(wood.main)}, of {wood.shows}, finished: {'estimate' if wood.shows in wood.estimates else 'read'}"
    ]
    if wood.measured:
        said.append(f"measured, bare: {_lab(wood.measured.lab)}, {wood.measured.wood}; {wood.measured.source}")
    if wood.described:
        said.append(f"the Wood Handbook: {wood.described}")
    if wood.ageing:
        way = "grows lighter" if wood.ageing.change.lightness > 0 else "darkens"
        said.append(f"{way} in daylight, half of it in about {8.3 * wood.ageing.years:.0f} months")
    said.append(f"read in a source: {', '.join(read) or 'nothing'}; estimated: {', '.join(known) or 'nothing'}")
    for words in said:
        first, *rest = textwrap.wrap(words, 94)
        lines += [f"  {'':<16}{first}", *(f"  {'':<18}{line}" for line in rest)]
    return lines


def _finish(name: str, materials: Path | None) -> str:
    finish = load_finish(name, materials)
    tone = "deepens and warms the wood" if finish.deepening or any(finish.amber) else "clear"
    return f"{finish.kind}, {tone}; {finish.gloss:g} gloss units at 60 degrees"


def _grade(table: dict[str, Any]) -> str:
    sapwood, knots = float(table["sapwood"]), float(table["knots"])
    if not sapwood and not knots:
        return "clear boards of one colour"
    seen = f"some other wood in {sapwood:.0%} of boards, {knots:g} small knots a square metre"
    return f"{seen}, colours {float(table['spread']):g} times as far apart"


def _lab(lab: tuple[float, float, float]) -> str:
    return "CIELAB " + ", ".join(f"{value:g}" for value in lab)


def _coloured(name: str, table: dict[str, Any], code: str) -> str:
    """Return the row of a paint or a stone: what it is, its colour on a screen, and whether it was read somewhere."""
    source = str(table.get("source", "estimate"))
    told = "estimate" if source.startswith("estimate") else source
    return _row(name, f"{table.get('what', 'your own')}, {code}; {told}")
