"""The commands that draw: render and demo. Each proves that it can write before it works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from preview.commands.drawing import draw, slim, with_base
from preview.commands.look import Form, check_scene, lay_scene
from preview.commands.reading import choose_variants, file_stem, read_jobs, read_size
from preview.data import data_folder
from preview.files import picture_names, slug, writable_folder, write_whole
from preview.steps import Drawn, LaidFloor, lay_jobs, pick, viewpoint_names

DEMO = "dining-room.toml"
DOCUMENTS: tuple[tuple[Form, str], ...] = (("text", "layout.txt"), ("svg", "plan.svg"))


def render_scene(
    scene: str,
    variants: Sequence[str],
    viewpoints: Sequence[str],
    size: str,
    folder: Path,
    materials: Path | None = None,
) -> list[Path]:
    """Draw a scene's variants from its viewpoints into `folder` and return the paths, variant by variant."""
    pixels = read_size(size)
    jobs = read_jobs(scene, materials)
    chosen = choose_variants(jobs, variants)
    base, *floors = with_base(jobs, chosen)
    views = pick(viewpoint_names(base), viewpoints, "viewpoint")
    writable_folder(folder)
    return [path for path, _ in _draw_into(folder, file_stem(scene, jobs), base, floors, views, pixels)]


def run_demo(size: str, folder: Path) -> Iterator[str]:
    """Check, lay, render and compare the demo scene into `folder`; yield what it understood, then each path."""
    from preview.commands.compare import comparison
    from preview.paper.compare_sheet import compare_sheet

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
    drawn = []
    for path, each in _draw_into(folder, stem, floors[0], floors, views, pixels):
        drawn.append(each)
        yield str(path)
    sheet = compare_sheet(comparison(floors, views, drawn))
    yield str(write_whole(folder / f"{stem}--compare.png", sheet))


def _draw_into(
    folder: Path,
    stem: str,
    base: LaidFloor,
    floors: Sequence[LaidFloor],
    views: Sequence[str],
    pixels: tuple[int, int],
) -> list[tuple[Path, Drawn]]:
    """Draw all, write each picture as soon as it is drawn, and return the paths with the pictures."""
    names = picture_names([(stem, floor.job.variant, view) for floor in floors for view in views], ".png")
    done = []
    for name, drawn in zip(names, draw(base, floors, views, pixels), strict=True):
        done.append((drawn.picture.save(folder / name), slim(drawn)))
    return done
