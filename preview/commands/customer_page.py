"""The command that makes what a customer takes home: one page that opens offline."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from preview.commands.drawing import tell_of_light, tell_of_views
from preview.commands.progress import progress
from preview.commands.reading import choose_variants, file_stem, read_jobs
from preview.errors import UsageError
from preview.files import check_file, write_whole
from preview.floor.laid import LaidFloor
from preview.scene.job import Job
from preview.session.drawn import draw_views
from preview.steps import SIZE, lay_jobs, pick, viewpoint_names

if TYPE_CHECKING:
    from preview.page.room_page import PageViews
    from preview.picture.picture import Picture


def page_scene(
    scene: str,
    variants: Sequence[str],
    viewpoints: Sequence[str],
    details: Path | None,
    out: Path | None,
    materials: Path | None = None,
) -> Path:
    """Write the page of a scene's variants and return its path.

    variants: which, the first two where none is named; the first is the one that is planned. viewpoints: where one may
    look round from, the first that the scene has or the program proposes where none is named.

    Raises:
        UsageError: wrong use, or the file can't be written.
    """
    from preview.page.room_page import page_views, room_page
    from preview.paper.quote.firm_details import Details, load_details

    said = load_details(details) if details is not None else Details()
    jobs = read_jobs(scene, materials)
    chosen = _chosen(jobs, variants)
    path = out or Path("previews") / f"{file_stem(scene, jobs)}--page.html"
    check_file(path, "page.html", [scene, *([details] if details else [])])
    if path.suffix.casefold() not in (".html", ".htm"):
        raise UsageError(f"--out: {path.name} does not end in .html, which a page is written as")
    floors = lay_jobs(chosen)
    base = floors[0] if chosen[0] is jobs[0] else lay_jobs(jobs[:1])[0]
    named = pick(viewpoint_names(base), viewpoints, "viewpoint") if viewpoints else []
    views = page_views(base, floors, named)
    return write_whole(path, room_page(floors, views, _drawn(base, floors, views), said))


def _chosen(jobs: Sequence[Job], variants: Sequence[str]) -> list[Job]:
    from preview.page.contents import MOST_VARIANTS

    named = [choose_variants(jobs, [each])[0] for each in variants]
    chosen = list({job.variant: job for job in named}.values()) if named else list(jobs[:2])
    if len(chosen) > MOST_VARIANTS:
        raise UsageError(f"--variant: {len(chosen)} are named; a page compares {MOST_VARIANTS} at most")
    return chosen


def _drawn(base: LaidFloor, floors: Sequence[LaidFloor], views: PageViews) -> Iterator[Picture]:
    tell_of_light(floors)
    tell_of_views(base, [views.cameras[0].name], SIZE)
    with progress(len(floors) * len(views.cameras)) as step:
        for drawn in draw_views(floors, views.cameras, base):
            yield drawn.picture
            step(f"{drawn.floor.job.variant}, {drawn.picture.camera.name}")
