"""The command that gives a floor to other programs as a model."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from preview.commands.reading import choose_variants, file_stem, read_jobs
from preview.errors import UsageError
from preview.files import check_file, distinct_slugs, write_whole
from preview.floor.laid import LaidFloor
from preview.steps import lay_jobs
from preview.units import Unit, system

if TYPE_CHECKING:
    from preview.export.exported import ModelFile

ENDINGS = (".glb", ".usdz", ".obj", ".stl", ".ply")
TEXTURED = (".glb", ".usdz")
SMALLEST, LARGEST = 512, 8192


def export_scene(
    scene: str,
    variant: str | None,
    out: Path | None,
    texture: int,
    floor_only: bool,
    lit: bool,
    unit: Literal["mm", "m"],
    tell: Callable[[str], None],
    materials: Path | None = None,
) -> Path:
    """Write a variant's floor, the base scene's where it is None, as a model; return its path.

    The ending of `out` says what it is: .glb or .usdz, with colours and the room; .obj, .stl or .ply, closed solids of
    every piece. `texture` is the most pixels a side of the textures of the first two; `lit` has the room's light
    put into a .glb's colours; `tell` is called with what there is to say of it.

    Raises:
        UsageError: wrong use, the file can't be written, or what writes a .usdz is not installed.
    """
    if not SMALLEST <= texture <= LARGEST:
        raise UsageError(f"--texture: {texture} pixels; a side has from {SMALLEST} to {LARGEST}")
    jobs = read_jobs(scene, materials)
    chosen = choose_variants(jobs, [variant])[0] if variant is not None else jobs[0]
    part = distinct_slugs([job.variant for job in jobs])[chosen.variant]
    path = out or Path("previews") / f"{file_stem(scene, jobs)}--{part}--floor.glb"
    check_file(path, "floor.glb", [scene])
    form = path.suffix.casefold()
    if form not in ENDINGS:
        raise UsageError(f"--out: {path.name} does not end in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
    if form == ".usdz":
        from preview.export.usdz_model import check_usd

        check_usd()
    if lit and form != ".glb":
        raise UsageError(f"--lit: {path.name} is no .glb, the one form that can have the room's light in its colours")
    base, floor = lay_jobs([jobs[0], chosen])
    if form not in TEXTURED:
        from preview.export.solids import solids_file

        return write_whole(path, solids_file(floor, form[1:], unit))  # type: ignore[arg-type]
    made = _with_textures(floor, base if lit else None, form, texture, floor_only)
    sizes = ", ".join(f"{wide} x {high}" for wide, high, _ in made.textures)
    total = sum(count for *_, count in made.textures)
    tell(f"textures of {sizes} pixels, {total / 1e6:.1f} MB of the file's {len(made.data) / 1e6:.1f}")
    if coarser := _coarser(made.density, texture, floor.job.units):
        tell(coarser)
    return write_whole(path, made.data)


def _coarser(density: float, texture: int, units: Unit) -> str:
    """Return what is to be told where textures have fewer pixels a metre than wood is drawn with, so as not to exceed
    `texture` pixels; else nothing."""
    from preview.export.exported import FINEST

    if density >= FINEST:
        return ""
    imperial = system(units) == "imperial"
    had, finest = (f"{each * 0.0254:.2g}" if imperial else f"{each / 1000:.2f}" for each in (density, FINEST))
    per = "an inch" if imperial else "a millimetre"
    return f"to keep within --texture {texture}, the wood has {had} pixels {per}; at its finest it has {finest}"


def _with_textures(floor: LaidFloor, base: LaidFloor | None, form: str, texture: int, floor_only: bool) -> ModelFile:
    """Return a .glb or a .usdz; lit, and then exposed as `base` is, where that is given."""
    from preview.export.exported import boards_and_model, lit_model, painted_and_model

    if form == ".usdz":
        from preview.export.usdz_model import usdz_model

        return usdz_model(floor, *painted_and_model(floor, texture, beyond=not floor_only), floor_only)
    from preview.export.glb_model import glb_model, lit_glb_model

    if base is not None:
        return lit_glb_model(floor, lit_model(floor, base, texture, beyond=not floor_only), floor_only)
    return glb_model(floor, *boards_and_model(floor, texture), floor_only)
