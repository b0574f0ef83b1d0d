"""The command that holds variants against each other: a sheet, a PDF, or one picture that fades into another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from preview.commands.drawing import draw, slim, with_base
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.errors import UsageError
from preview.files import check_file, write_whole
from preview.floor.laid import LaidFloor
from preview.session import Drawn
from preview.steps import eye_cameras, pick, viewpoint_names

if TYPE_CHECKING:
    from preview.paper.compare.compare_sheet import Comparison

ENOUGH = 0.4
"""Share of a line that a picture must hold, for the first viewpoint to be taken (by choice)."""


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


def comparison(floors: Sequence[LaidFloor], views: Sequence[str], drawn: Sequence[Drawn]) -> Comparison:
    """Return all that is set side by side of floors that were drawn one by one, each from all views; plans aside, which
    a sheet has of its own."""
    from preview.paper.compare.compare_sheet import Comparison

    rows = [[each.picture for each in drawn[view :: len(views)]] for view in range(len(views))]
    return Comparison(floors, [row for row in rows if row[0].camera.fov is not None])


def decision_views(base: LaidFloor, floors: Sequence[LaidFloor]) -> list[str]:
    """Return the viewpoint, one or none, that a choice between floors is made by: the first from eye level that shows
    enough of each floor's centre line, else the one that shows most."""
    from preview.paper.compare.view_marks import lines_in_frame

    shares = {camera.name: lines_in_frame(camera, floors) for camera in eye_cameras(base)}
    enough = [name for name, share in shares.items() if share >= ENOUGH]
    return enough[:1] or sorted(shares, key=lambda name: -shares[name])[:1] or viewpoint_names(base)[:1]
