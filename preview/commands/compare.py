"""The command that holds variants against each other: a sheet, a PDF, or one picture that fades into another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from preview.commands.drawing import draw, slim, with_base
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.errors import UsageError
from preview.files import check_file, write_whole
from preview.session.paper_pictures import comparison, decision_views
from preview.steps import eye_cameras, pick, viewpoint_names


def compare_scene(
    scene: str,
    variants: Sequence[str],
    viewpoints: Sequence[str],
    size: str,
    out: Path | None,
    materials: Path | None = None,
) -> Path:
    """Hold a scene's variants against each other in the file `out` and return its path.

    Its ending says what it is: .png one sheet, .pdf pages, and .apng, .gif or .webp two variants from one viewpoint,
    which cross-fade. Where no viewpoint is named, it is the one that shows most of where the floors lie.

    Raises:
        UsageError: wrong use, or the file can't be written.
    """
    from preview.paper.compare.compare_sheet import compare_pdf, compare_sheet
    from preview.paper.compare.dissolve import FORMATS, dissolve

    pixels = read_size(size)
    jobs = read_jobs(scene, materials)
    chosen = choose_variants(jobs, variants)
    base, *floors = with_base(jobs, chosen)
    out = out or Path("previews") / f"{file_stem(scene, jobs)}--compare.png"
    check_file(out, "compare.png", [scene])
    kind = out.suffix.casefold()
    if kind not in (".png", ".pdf", *FORMATS):
        raise UsageError(
            f"--out: {out.name} does not end in .png or .pdf for a sheet, or in .apng, .gif or .webp for two variants "
            "that cross-fade"
        )
    if kind in FORMATS and len(floors) != 2:
        raise UsageError(f"--out: {out.name} shows two variants; name two with --variant, of {len(jobs)} there are")
    named = pick(viewpoint_names(base), viewpoints, "viewpoint") if viewpoints else []
    views = named or decision_views(base, floors)
    if kind in FORMATS:
        views = views[:1]
    else:
        eyes = {camera.name for camera in eye_cameras(base)}  # a sheet has plans of its own
        views = [each for each in views if each in eyes]
    drawn = [slim(each) for each in draw(base, floors, views, pixels)] if views else []
    if kind in FORMATS:
        first, second = (each.picture for each in drawn)
        return write_whole(out, dissolve((first.rgb, second.rgb), (first.variant, second.variant), kind))
    made = comparison(floors, views, drawn)
    return write_whole(out, compare_pdf(made) if kind == ".pdf" else compare_sheet(made))
