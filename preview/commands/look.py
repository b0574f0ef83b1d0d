"""The commands that need no picture: check and lay."""

from __future__ import annotations

from typing import Literal

from preview.commands.reading import choose_variants, read_jobs
from preview.steps import check_viewpoints, lay_jobs

Form = Literal["text", "json", "svg"]


def check_scene(scene: str) -> str:
    """Return what was understood of a scene, every variant laid to be sure that it can be."""
    from preview.paper.check_text import check_text

    floors = lay_jobs(read_jobs(scene))
    check_viewpoints(floors[0])
    return check_text([floor.job for floor in floors], [floor.room for floor in floors], [f.layout for f in floors])


def lay_scene(scene: str, variant: str | None, form: Form) -> bytes:
    """Return one variant's layout as a document in UTF-8; the base scene's where `variant` is None."""
    jobs = read_jobs(scene)
    job = choose_variants(jobs, [variant])[0] if variant is not None else jobs[0]
    floor = lay_jobs([job])[0]
    if form == "json":
        from preview.paper.layout_json import layout_json

        return layout_json(floor.layout).encode()
    if form == "svg":
        from preview.paper.plan_svg import plan_svg

        return plan_svg(floor.room, floor.layout, job)
    from preview.paper.layout_text import layout_text

    return layout_text(floor.room, floor.layout, job).encode()
