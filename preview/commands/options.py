"""The command that scores the layouts that fit a room, shows the best, and writes a choice into the scene."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Literal, TypeVar, get_args

from preview.commands.drawing import slim
from preview.commands.progress import progress
from preview.commands.reading import read_jobs, read_size
from preview.errors import UsageError
from preview.files import check_file, write_whole
from preview.options.rank import Ranked
from preview.scene.job import Job
from preview.scene.nodes import suggest
from preview.units import format_count

SHOWN = 5
Name = TypeVar("Name", bound=str)


def rank_options(
    scene: str,
    preferred: Sequence[str],
    keep: Sequence[str],
    form: Literal["text", "json"],
    pictures: Path | None,
    viewpoints: Sequence[str],
    size: str,
    save: Path | None,
    chosen: Sequence[int],
    materials: Path | None = None,
) -> Iterator[str | Path]:
    """Rank layouts for the base scene; yield the document, then the path of each file that was asked for.

    pictures: where a sheet of the scene and its best options is drawn, from `viewpoints` at `size`.
    save: where the scene is written with the `chosen` lines of the ranking, counted from 1, as variants; it may be
        the scene's own file.

    Raises:
        UsageError: a file can't be written, a criterion is unknown, or there are not so many options.
    """
    from preview.options.candidates import Fixed
    from preview.options.rank import CRITERIA, SLIVERS, order, rank
    from preview.options.search import all_candidates, search

    pixels = read_size(size)
    criteria = order(_known(preferred, CRITERIA, "--prefer"))
    fixed = _known(keep, get_args(Fixed), "--keep")
    jobs = read_jobs(scene, materials)
    if save is not None and scene == "-":
        raise UsageError("--save adds to a scene file, not to standard input; give the file's name")
    if save is not None:
        check_file(save, "room.toml")
    if pictures is not None:
        check_file(pictures, "options.png", [scene])
    if save is not None and pictures is not None and os.path.realpath(save) == os.path.realpath(pictures):
        raise UsageError(f"--pictures: {pictures} is also the file of --save; name another file for one of them")
    if pictures is not None and pictures.suffix.casefold() != ".png":
        raise UsageError(f"--pictures: {pictures.name} does not end in .png; the sheet is a PNG picture")
    tried = all_candidates(jobs, fixed)
    with progress(len(tried), "comparing", "compared") as step:
        found = search(tried, step)
    if found.spared:
        criteria = [SLIVERS, *criteria]
    ranked = rank(found.evaluated, criteria)
    for number in chosen:
        if not 1 <= number <= len(ranked):
            raise UsageError(
                f"--choose {number}: the ranking has {format_count(len(ranked), 'layout')}, counted from 1"
            )
    if form == "json":
        from preview.paper.exports.options_json import options_json

        yield options_json(jobs[0], found, ranked, criteria)
    else:
        from preview.paper.words.options_text import options_text

        yield options_text(jobs[0], found, ranked, criteria, SHOWN)
    numbers = list(dict.fromkeys(chosen))
    picked = [ranked[number - 1] for number in numbers] or ranked[:1]
    if save is not None and picked:
        yield write_whole(save, _extended(scene, jobs, picked).encode())
    if pictures is not None and ranked:
        shown = {number: ranked[number - 1] for number in numbers or range(1, min(SHOWN, len(ranked)) + 1)}
        yield write_whole(pictures, _sheet(jobs[0], shown, viewpoints, pixels))


def _known(names: Sequence[str], known: Iterable[Name], option: str) -> list[Name]:
    """Return the known words that `names` mean, in any case."""
    by_name = {str(each): each for each in known}
    for name in names:
        if name.casefold() not in by_name:
            raise UsageError(f'{option}: found "{name}"; {suggest(name, by_name)}')
    return [by_name[name.casefold()] for name in names]


def _extended(scene: str, jobs: Sequence[Job], picked: Sequence[Ranked]) -> str:
    """Return the text of a scene with the picked layouts as variants, read once more to be sure that it can be."""
    from preview.options.variant import name_of, settings
    from preview.scene.document import SCENE_FILE, file_bytes
    from preview.scene.extend import with_variants
    from preview.scene.read import load_scene, read_scene

    load_scene(scene)
    text = file_bytes(Path(scene), SCENE_FILE).decode("utf-8-sig")
    taken = [job.variant for job in jobs]
    variants = []
    for each in picked:
        values = settings(each.evaluated, jobs[0])
        if not values:
            raise UsageError(f"place {each.place} is the scene's own layout; choose another to save")
        variants.append((name_of(each.evaluated, jobs[0], taken), values))
        taken.append(variants[-1][0])
    longer = with_variants(text, variants, scene)
    read_scene(longer, scene)
    return longer


def _sheet(base: Job, shown: Mapping[int, Ranked], viewpoints: Sequence[str], pixels: tuple[int, int]) -> bytes:
    """Draw the scene and numbered options from the viewpoints, or from the one they are best told apart by."""
    from preview.options.variant import as_job, name_of
    from preview.paper.compare.compare_sheet import compare_sheet
    from preview.session import draw_floors
    from preview.session.paper_pictures import comparison, decision_views
    from preview.steps import lay_jobs, pick, viewpoint_names

    jobs = [base]
    for number, each in shown.items():
        if each.evaluated.candidate.changes:
            jobs.append(as_job(each.evaluated, f"{number}. {name_of(each.evaluated, base)}"))
    floors = lay_jobs(jobs)
    views = (
        pick(viewpoint_names(floors[0]), viewpoints, "viewpoint") if viewpoints else decision_views(floors[0], floors)
    )
    drawn = []
    with progress(len(floors) * len(views)) as step:
        for made in draw_floors(floors, views, pixels):
            drawn.append(slim(made))
            step(made.floor.job.variant)
    return compare_sheet(comparison(floors, views, drawn))
