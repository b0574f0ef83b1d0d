"""The commands that draw: render, compare and demo. Each proves that it can write before it works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import preview
from preview.commands.look import Form, check_scene, lay_scene
from preview.commands.progress import progress
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.data import data_folder
from preview.errors import UsageError
from preview.files import picture_names, slug, writable_folder, write_whole
from preview.steps import Drawn, LaidFloor, draw_floors, lay_jobs, pick, viewpoint_names

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from preview.scene.job import Job

DEMO = "dining-room.toml"
DOCUMENTS: tuple[tuple[Form, str], ...] = (("text", "layout.txt"), ("svg", "plan.svg"))


def render_scene(scene: str, variants: Sequence[str], viewpoints: Sequence[str], size: str, folder: Path) -> list[Path]:
    """Draw a scene's variants from its viewpoints into `folder` and return the paths, variant by variant."""
    pixels = read_size(size)
    jobs = read_jobs(scene)
    chosen = choose_variants(jobs, variants)
    base, *floors = _with_base(jobs, chosen)
    views = pick(viewpoint_names(base), viewpoints, "viewpoint")
    writable_folder(folder)
    return [path for path, _ in _draw_into(folder, file_stem(scene, jobs), base, floors, views, pixels)]


def compare_scene(scene: str, variants: Sequence[str], viewpoints: Sequence[str], size: str, out: Path | None) -> Path:
    """Put a scene's variants side by side on one sheet and return its path."""
    pixels = read_size(size)
    jobs = read_jobs(scene)
    chosen = choose_variants(jobs, variants)
    base, *floors = _with_base(jobs, chosen)
    views = pick(viewpoint_names(base), viewpoints, "viewpoint")
    out = out or Path("previews") / f"{file_stem(scene, jobs)}--compare.png"
    if out.is_dir():
        raise UsageError(f"--out: {out} is a folder; name a file in it, such as {out / 'compare.png'}")
    if out.suffix.casefold() != ".png":
        raise UsageError(f"--out: {out.name} does not end in .png; the sheet is a PNG picture")
    writable_folder(out.parent)
    images = [drawn.picture.rgb for drawn in _draw(base, floors, views, pixels)]
    return write_whole(out, _sheet(floors, views, images))


def run_demo(size: str, folder: Path) -> Iterator[str]:
    """Check, lay, render and compare the demo scene into `folder`; yield what it understood, then each path."""
    pixels = read_size(size)
    writable_folder(folder)
    scene = str(data_folder("scenes") / DEMO)
    stem = slug(Path(scene).stem)
    yield check_scene(scene)
    floors = lay_jobs(read_jobs(scene))
    for floor in floors:
        for form, suffix in DOCUMENTS:
            name = f"{stem}--{slug(floor.job.variant)}--{suffix}"
            yield str(write_whole(folder / name, lay_scene(scene, floor.job.variant, form)))
    views = viewpoint_names(floors[0])
    images = []
    for path, image in _draw_into(folder, stem, floors[0], floors, views, pixels):
        images.append(image)
        yield str(path)
    yield str(write_whole(folder / f"{stem}--compare.png", _sheet(floors, views, images)))


def _with_base(jobs: Sequence[Job], chosen: Sequence[Job]) -> list[LaidFloor]:
    """Lay the chosen jobs and return them after the base scene, by whose cameras and exposure all are drawn."""
    floors = lay_jobs(chosen if chosen[0] is jobs[0] else [jobs[0], *chosen])
    return [floors[0], *floors] if chosen[0] is jobs[0] else floors


def _draw(
    base: LaidFloor, floors: Sequence[LaidFloor], views: Sequence[str], pixels: tuple[int, int]
) -> Iterator[Drawn]:
    with progress(len(floors) * len(views)) as step:
        for drawn in draw_floors(floors, views, pixels, base):
            yield drawn
            step(f"{drawn.floor.job.variant}, {drawn.picture.camera.name}")


def _draw_into(
    folder: Path,
    stem: str,
    base: LaidFloor,
    floors: Sequence[LaidFloor],
    views: Sequence[str],
    pixels: tuple[int, int],
) -> list[tuple[Path, NDArray[np.uint8]]]:
    """Draw all, write each picture as soon as it is drawn, and return the paths with the pictures' pixels."""
    from preview.picture import save_png

    names = picture_names([(stem, floor.job.variant, view) for floor in floors for view in views], ".png")
    done = []
    for name, drawn in zip(names, _draw(base, floors, views, pixels), strict=True):
        save_png(drawn.picture, folder / name, preview.__version__)
        done.append((folder / name, drawn.picture.rgb))
    return done


def _sheet(floors: Sequence[LaidFloor], views: Sequence[str], images: list[NDArray[np.uint8]]) -> bytes:
    """Set pictures that were drawn floor by floor as a row for each view."""
    from preview.paper.compare_sheet import compare_sheet

    rows = [images[view :: len(views)] for view in range(len(views))]
    return compare_sheet([floor.job for floor in floors], [floor.layout for floor in floors], views, rows)
