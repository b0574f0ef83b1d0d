"""The command that lists the materials, and draws them on a sheet of swatches."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from preview.commands.progress import progress
from preview.errors import UsageError
from preview.files import check_file, write_whole

ENDINGS = (".png", ".pdf")


def list_materials(form: Literal["text", "json"], materials: Path | None) -> str:
    """Return what there is to choose from, as text or JSON; `materials` is a folder that adds to the program's own."""
    from preview.scene.woods import wood_names
    from preview.swatches.listing import materials_json, materials_text

    wood_names(materials)  # says what is wrong with the folder itself
    return materials_json(materials) if form == "json" else materials_text(materials)


def draw_materials(out: Path, materials: Path | None) -> Path:
    """Write the sheet of swatches to `out`, a PNG or a PDF by its ending, and return its path.

    Raises:
        UsageError: it has another ending, or its folder can't be written to.
    """
    if out.suffix.lower() not in ENDINGS:
        raise UsageError(f"--swatches: {out.name} does not end in {' or '.join(ENDINGS)}; name it swatches.png")
    from preview.scene.woods import wood_names
    from preview.swatches.sheet import draw_swatches, sheet_pdf, sheet_png, swatch_count

    wood_names(materials)
    check_file(out)
    with progress(swatch_count(materials)) as step:
        swatches = draw_swatches(materials, step)
    return write_whole(out, sheet_pdf(swatches) if out.suffix.lower() == ".pdf" else sheet_png(swatches))
