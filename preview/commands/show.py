"""The commands that draw: render and demo. Each proves that it can write before it works."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from preview.commands.drawing import draw, slim, with_base
from preview.commands.look import Form, check_scene, lay_scene
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.data import data_folder
from preview.files import check_file, check_folder, distinct_slugs, slug, write_whole
from preview.floor.laid import LaidFloor
from preview.scene.job import Job
from preview.session import Drawn
from preview.steps import lay_jobs, pick, viewpoint_names

if TYPE_CHECKING:
    from preview.picture.picture_files import PictureFormat

ENDINGS: dict[PictureFormat, str] = {
    "png": ".png", "jpeg": ".jpg", "webp": ".webp", "avif": ".avif", "tiff": ".tif", "exr": ".exr",
}  # fmt: skip
DEMO = "dining-room.toml"
DOCUMENTS: tuple[tuple[Form, str], ...] = (("text", "layout.txt"), ("svg", "plan.svg"))


def render_scene(
    scene: str,
    variants: Sequence[str],
    viewpoints: Sequence[str],
    size: str,
    folder: Path,
    materials: Path | None = None,
    form: PictureFormat = "png",
) -> Iterator[Path]:
    """Draw a scene's variants from its viewpoints into `folder`; yield each path once it is written, by variant."""
    pixels = read_size(size)
    jobs = read_jobs(scene, materials)
    chosen = choose_variants(jobs, variants)
    base, *floors = with_base(jobs, chosen)
    views = pick(viewpoint_names(base), viewpoints, "viewpoint")
    paths = _picture_paths(folder, file_stem(scene, jobs), jobs, base, form)
    for path, _ in _draw_into(paths, base, floors, views, pixels, form):
        yield path


def run_demo(size: str, folder: Path) -> Iterator[str | Path]:
    """Check, lay, render and compare the demo scene into `folder`; yield what it understood, then each path."""
    from preview.paper.compare.compare_sheet import compare_sheet
    from preview.session.paper_pictures import comparison, decision_views

    pixels = read_size(size)
    scene = str(data_folder("scenes") / DEMO)
    jobs = read_jobs(scene)
    floors = lay_jobs(jobs)
    stem, parts = slug(Path(scene).stem), distinct_slugs([job.variant for job in jobs])
    documents = [
        (folder / f"{stem}--{parts[job.variant]}--{suffix}", job.variant, form)
        for job in jobs
        for form, suffix in DOCUMENTS
    ]
    sheet = folder / f"{stem}--compare.png"
    paths = _picture_paths(folder, stem, jobs, floors[0])
    check_folder(folder)
    for path in (*(each for each, _, _ in documents), sheet):
        check_file(path)
    yield f"{check_scene(scene)}\n"
    for path, variant, form in documents:
        yield write_whole(path, lay_scene(scene, variant, form))
    views = viewpoint_names(floors[0])
    drawn = []
    for path, each in _draw_into(paths, floors[0], floors, views, pixels):
        drawn.append(each)
        yield path
    chosen = decision_views(floors[0], floors)
    shown = [each for each in drawn if each.picture.camera.name in chosen]
    yield write_whole(sheet, compare_sheet(comparison(floors, chosen, shown)))


def _picture_paths(
    folder: Path, stem: str, jobs: Sequence[Job], base: LaidFloor, form: PictureFormat = "png"
) -> dict[tuple[str, str], Path]:
    """Return where the picture of each variant of a scene from each of its viewpoints goes, drawn in this run or not,
    so that no run takes the name of another's."""
    variants = distinct_slugs([job.variant for job in jobs])
    views = distinct_slugs(viewpoint_names(base))
    return {
        (variant, view): folder / f"{stem}--{variants[variant]}--{views[view]}{ENDINGS[form]}"
        for variant in variants
        for view in views
    }


def _draw_into(
    paths: Mapping[tuple[str, str], Path],
    base: LaidFloor,
    floors: Sequence[LaidFloor],
    views: Sequence[str],
    pixels: tuple[int, int],
    form: PictureFormat = "png",
) -> Iterator[tuple[Path, Drawn]]:
    """Draw all, write each picture as soon as it is drawn, and yield its path with it."""
    from preview.picture.picture_files import picture_file

    for floor in floors:
        for view in views:
            check_file(paths[floor.job.variant, view])
    for drawn in draw(base, floors, views, pixels):
        path = paths[drawn.floor.job.variant, drawn.picture.camera.name]
        yield write_whole(path, picture_file(drawn.picture, drawn.floor.room, form)), slim(drawn)
