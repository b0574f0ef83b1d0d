"""The command that holds variants against each other: a sheet, a PDF, or one picture melting into another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from preview.commands.drawing import draw, slim, with_base
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.errors import UsageError
from preview.files import check_file, write_whole
from preview.floor.laid import LaidFloor
from preview.steps import Drawn, pick, viewpoint_names

if TYPE_CHECKING:
    from preview.paper.compare.compare_sheet import Comparison


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
    which cross-fade.

    Raises:
        UsageError: wrong use, or the file can't be written.
    """
    from preview.paper.compare.compare_sheet import compare_pdf, compare_sheet
    from preview.paper.compare.dissolve import FORMATS, dissolve

    pixels = read_size(size)
    jobs = read_jobs(scene, materials)
    chosen = choose_variants(jobs, variants)
    base, *floors = with_base(jobs, chosen)
    views = pick(viewpoint_names(base), viewpoints, "viewpoint")
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
    if kind in FORMATS:
        views = views[:1]
    drawn = [slim(each) for each in draw(base, floors, views, pixels)]
    if kind in FORMATS:
        first, second = (each.picture for each in drawn)
        return write_whole(out, dissolve((first.rgb, second.rgb), (first.variant, second.variant), kind))
    made = comparison(floors, views, drawn)
    return write_whole(out, compare_pdf(made) if kind == ".pdf" else compare_sheet(made))


def comparison(floors: Sequence[LaidFloor], views: Sequence[str], drawn: Sequence[Drawn]) -> Comparison:
    """Return all that is set side by side of floors that were drawn one by one, each from all views."""
    from preview.paper.compare.compare_pictures import compare_pictures
    from preview.paper.compare.compare_sheet import Comparison
    from preview.paper.compare.compare_words import compare_words
    from preview.paper.words.line_words import choice_words, line_words
    from preview.paper.words.refit_words import refit_words

    words = []
    for floor in floors:
        said = line_words(floor.room, floor.layout, floor.job.units)
        if floor is not floors[0]:
            said += tuple(filter(None, [refit_words(floor, floors[0])])) + compare_words(floor, floors[0])
        words.append(said)
    pictures = [[each.picture for each in drawn[view :: len(views)]] for view in range(len(views))]
    return Comparison(floors, compare_pictures(floors, pictures), words, choice_words(floors))
