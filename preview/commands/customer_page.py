"""The command that makes what a customer takes home: one page that opens offline."""

from __future__ import annotations

from collections.abc import Sequence
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
from preview.session.paper_pictures import decision_views
from preview.steps import SIZE, cameras, eye_cameras, lay_jobs, pick, viewpoint_names

if TYPE_CHECKING:
    from preview.page.contents import AllRound
    from preview.page.standing_points import StandingPoint
    from preview.picture.picture import Picture

MOST_VARIANTS = 4
MOST_POINTS = 2
FACE = 1152  # pixels


def page_scene(
    scene: str,
    variants: Sequence[str],
    viewpoints: Sequence[str],
    details: Path | None,
    out: Path | None,
    materials: Path | None = None,
) -> Path:
    """Write the page of a scene's variants and return its path.

    variants: which, the first two where none is named. viewpoints: where one may look round from, the first that the
    scene has or the program proposes where none is named.

    Raises:
        UsageError: wrong use, or the file can't be written.
    """
    from preview.page.contents import page_contents
    from preview.page.page_html import page_document
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
    drawn = _draw(base, floors, viewpoints)
    return write_whole(path, page_document(page_contents(floors, *drawn, said)))


def _chosen(jobs: Sequence[Job], variants: Sequence[str]) -> list[Job]:
    chosen = choose_variants(jobs, variants) if variants else list(jobs[:2])
    if len(chosen) > MOST_VARIANTS:
        raise UsageError(f"--variant: {len(chosen)} are named; a page compares {MOST_VARIANTS} at most")
    return chosen


def _draw(
    base: LaidFloor, floors: Sequence[LaidFloor], viewpoints: Sequence[str]
) -> tuple[list[Picture], list[tuple[StandingPoint, list[AllRound]]]]:
    """Return the pictures by which one chooses, and what is seen all round."""
    from preview.page.contents import AllRound
    from preview.page.standing_points import cut, face_cameras, standing_points

    named = pick(viewpoint_names(base), viewpoints, "viewpoint") if viewpoints else []
    view = decision_views(base, floors)
    eyes = [each for each in eye_cameras(base) if not named or each.name in named]
    points = standing_points(eyes, base.room, len(named) or MOST_POINTS)
    faces = [camera for point in points for camera in face_cameras(point, FACE)]
    views = [*cameras(base, view, SIZE), *faces]
    tell_of_light(floors)
    tell_of_views(base, view, SIZE)
    pictures: list[Picture] = []
    seen = []
    with progress(len(floors) * len(views)) as step:
        for number, drawn in enumerate(draw_views(floors, views, base)):
            if number % len(views) == 0:
                pictures.append(drawn.picture)
            else:
                seen.append(cut(drawn.picture.rgb, FACE))
            step(f"{drawn.floor.job.variant}, {drawn.picture.camera.name}")
    sides = iter(seen)
    looks = [[AllRound(floor.job.variant, tuple(next(sides) for _ in range(6))) for _ in points] for floor in floors]
    return pictures, [(point, [each[n] for each in looks]) for n, point in enumerate(points)]
