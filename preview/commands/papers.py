"""The commands that make papers: the quote a customer signs, the card a layer works from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from preview.commands.drawing import tell_of_light, tell_of_views
from preview.commands.progress import progress
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.errors import UsageError
from preview.files import check_file, distinct_slugs, write_whole
from preview.floor.laid import LaidFloor
from preview.paper.plan.plan_sheet import imperial
from preview.scene.job import Job
from preview.session.paper_pictures import quote_pictures, quote_views
from preview.steps import lay_jobs

if TYPE_CHECKING:
    from preview.paper.quote.quote import Paper, Shown

DRAWINGS = (".pdf", ".dxf", ".svg")


def quote_scene(
    scene: str,
    variant: str | None,
    details: Path | None,
    paper: Paper | None,
    size: str,
    out: Path | None,
    warn: Callable[[str], None],
    materials: Path | None = None,
) -> Path:
    """Write the quote for one variant, the base scene where it is None, and return its path.

    paper: Letter where it is None and the scene is in feet or inches, else A4. `warn` is called with what the quote
    had to do without.
    """
    from preview.paper.quote.bill import bills
    from preview.paper.quote.firm_details import Details, load_details
    from preview.paper.quote.logo import small_logo
    from preview.paper.quote.quote import quote_sheet
    from preview.paper.quote.scope import warnings

    pixels = read_size(size)
    said = load_details(details) if details is not None else Details()
    jobs = read_jobs(scene, materials)
    chosen = _chosen(jobs, variant)
    read = [each for each in (details, said.firm and said.firm.logo) if each]
    path = _out(out, scene, jobs, chosen, "quote", (".pdf",), read)
    logo, trouble = small_logo(said.firm.logo) if said.firm and said.firm.logo else (None, "")
    if trouble:
        warn(trouble)
    laid = {floor.job.variant: floor for floor in lay_jobs(jobs)}
    floors = [laid.pop(chosen.variant), *laid.values()]
    costs = bills(said, floors)
    for remark in warnings(said, floors[0]):
        warn(remark)
    pictures = _pictures(floors, next(each for each in floors if each.job is jobs[0]), pixels)
    return write_whole(
        path,
        quote_sheet(
            floors,
            pictures,
            said,
            costs,
            logo,
            paper or ("letter" if imperial(chosen.units) else "a4"),
        ),
    )


def card_scene(scene: str, variant: str | None, out: Path | None, materials: Path | None = None) -> Path:
    """Write the layer's card for one variant, as a page or as a drawing by the ending of `out`; return its path."""
    jobs = read_jobs(scene, materials)
    chosen = _chosen(jobs, variant)
    path = _out(out, scene, jobs, chosen, "card", DRAWINGS)
    floor = lay_jobs([chosen])[0]
    if path.suffix.casefold() == ".dxf":
        from preview.paper.exports.layout_dxf import layout_dxf

        return write_whole(path, layout_dxf(floor))
    from preview.paper.card.card import layer_card

    form: Literal["pdf", "svg"] = "svg" if path.suffix.casefold() == ".svg" else "pdf"
    return write_whole(path, layer_card(floor, form))


def _chosen(jobs: Sequence[Job], variant: str | None) -> Job:
    return choose_variants(jobs, [variant])[0] if variant is not None else jobs[0]


def _out(
    out: Path | None,
    scene: str,
    jobs: Sequence[Job],
    chosen: Job,
    what: str,
    endings: tuple[str, ...],
    read: Sequence[Path] = (),
) -> Path:
    """Return where to write, proved to be a place that can be written to and of a kind that can be made; `read` are
    files that are read beside the scene."""
    part = distinct_slugs([job.variant for job in jobs])[chosen.variant]
    path = out or Path("previews") / f"{file_stem(scene, jobs)}--{part}--{what}.pdf"
    check_file(path, f"{what}.pdf", [scene, *read])
    if path.suffix.casefold() not in endings:
        raise UsageError(f"--out: {path.name} does not end in {' or '.join(endings)}, which a {what} is written as")
    return path


def _pictures(floors: Sequence[LaidFloor], base: LaidFloor, pixels: tuple[int, int]) -> list[Shown]:
    """Return the chosen floor's pictures, then one of each of the first floors it was compared with."""
    from preview.cached_pictures import cached_pictures
    from preview.paper.quote.quote import Shown

    views = quote_views(base)
    tell_of_light(floors)
    tell_of_views(base, views, pixels)
    wanted = quote_pictures(floors, views)
    shown = []
    with progress(sum(len(names) for _, names in wanted)) as step:
        for floor, names in wanted:
            images = cached_pictures(floor, names, pixels, base, step)
            shown += [Shown(floor.job.variant, name, rgb) for name, rgb in zip(names, images, strict=True)]
    return shown
